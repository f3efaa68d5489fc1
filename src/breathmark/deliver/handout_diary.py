"""The handout's diary: a box to tick for each session of the coming weeks."""

from __future__ import annotations

from collections.abc import Iterator

from reportlab.lib.colors import HexColor
from reportlab.platypus import Flowable, KeepTogether

from breathmark.deliver import fonts
from breathmark.deliver import paper_look as look
from breathmark.deliver.handout_sheet import Sheet, body_style
from breathmark.deliver.paper_parts import Text, grid, paragraph, write_in
from breathmark.deliver.paper_tags import Node

WEEKS = 4
"""How many weeks a diary has, unless another paper takes over sooner."""

BOX, WIDEST_BOX = 52.0, 76.0
"""The sides of a box, in points: 18 mm and more, to be hit by an unsteady hand."""

MOST_ROWS = 4
"""The most rows that a week's boxes take, one for each session of a day."""

_LABEL = 94.0

_DAYS = 7


def diary_part(sheet: Sheet) -> Iterator[Flowable]:
    """The grid, kept on one page with its heading."""
    node, head = sheet.section(sheet.say("paper diary"))
    parts: list[Flowable] = [head, paragraph(node, sheet.say("paper diary tick"), body_style())]
    frequency = sheet.prescribed.routine.frequency
    if frequency:
        often = sheet.say("paper often", frequency=frequency.rstrip(". "))
        parts.append(paragraph(node, often, body_style()))
    parts.append(_grid(sheet, node.add("Table")))
    label = look.style(look.BODY, bold=True, before=16)
    parts.append(paragraph(node, sheet.say("paper diary notes"), label))
    parts += [
        write_in(node, sheet.say("paper week", n=week), sheet.page.inner, height=38)
        for week in weeks_of(sheet)
    ]
    parts.append(paragraph(node, sheet.say("paper standing"), look.style(look.BODY, before=20)))
    yield KeepTogether(parts)


def weeks_of(sheet: Sheet) -> range:
    """The weeks that this paper is for, up to the one from which another counts."""
    prescribed = sheet.prescribed
    written = (*prescribed.routine.weeks, *(prescribed.patient.weeks if prescribed.patient else ()))
    later = [one.from_week for one in written if one.from_week > prescribed.week]
    end = min([prescribed.week + WEEKS, *later])
    return range(prescribed.week, end)


def boxes_a_week(sheet: Sheet) -> int:
    """A box for each day of the frequency; seven where it is not plain."""
    days = sheet.prescribed.routine.days_a_week
    return min(days, _DAYS) if days else _DAYS


def rows_a_week(sheet: Sheet) -> int:
    """A row for each session of a day; more than :data:`MOST_ROWS` would fill pages: one."""
    times = sheet.prescribed.routine.times_a_day
    return times if times <= MOST_ROWS else 1


def _grid(sheet: Sheet, table: Node) -> Flowable:
    boxes = boxes_a_week(sheet)
    bold = look.style(look.BODY, bold=True)
    wide = min(WIDEST_BOX, (sheet.page.inner - _LABEL) / boxes)
    number = look.style(look.BODY)
    number.alignment = 1
    head = table.add("TR")
    head.add("TH")
    rows: list[list[Flowable | str]] = [
        ["", *(paragraph(head, str(day), number, role="TH") for day in range(1, boxes + 1))]
    ]
    for week in [week for week in weeks_of(sheet) for _ in range(rows_a_week(sheet))]:
        row = table.add("TR")
        text = fonts.markup(sheet.say("paper week", n=week))
        rows.append([Text(text, bold, node=row.add("TH", Scope="Row")), *[""] * boxes])
        for _ in range(boxes):
            row.add("TD")
    deep = HexColor(look.DEEP)
    commands = [
        ("GRID", (1, 1), (-1, -1), 1.5, deep),
        ("VALIGN", (0, 1), (0, -1), "MIDDLE"),
        ("BOTTOMPADDING", (0, 0), (-1, 0), 4),
    ]
    heights = [None, *[BOX] * (len(rows) - 1)]
    return grid(rows, [_LABEL, *[wide] * boxes], commands, heights)
