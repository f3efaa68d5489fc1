"""The handout's diary: a box to tick for each session of the coming weeks."""

from __future__ import annotations

import dataclasses
import itertools
from collections.abc import Iterator, Sequence

from reportlab.lib.colors import HexColor
from reportlab.platypus import Flowable, KeepTogether

from breathmark.deliver import fonts
from breathmark.deliver import paper_look as look
from breathmark.deliver.handout_sheet import Sheet, body_style
from breathmark.deliver.paper_parts import Text, grid, paragraph, write_in
from breathmark.deliver.paper_tags import Node

WEEKS = 4
"""How many weeks a diary has, unless another paper takes over sooner."""

BOXES, WIDEST_BOX = (52.0, 48.0, 45.0, 42.0), 76.0
"""The sides of a box, in points: 15 mm and more, to be hit by an unsteady hand.  The largest
height is taken with which the diary fits its page."""

MOST_ROWS = 4
"""The most rows that a week's boxes take, one for each session of a day."""

_LABEL = 94.0

_DAYS = 7


def diary_part(sheet: Sheet) -> Iterator[Flowable]:
    """The grid and the lines for notes, on one page or on as few as hold whole weeks."""
    parts = (_story(sheet, count, box) for count, box in _layouts(sheet))
    yield from (KeepTogether(part) for part in next(parts))


def _layouts(sheet: Sheet) -> Iterator[tuple[int, float]]:
    """How many pages, and how high a box: the first one that fits, else the smallest."""
    aside = dataclasses.replace(sheet, root=Node("Document"))
    layouts = [(count, box) for count in range(1, len(weeks_of(sheet)) + 1) for box in BOXES]
    for count, box in layouts:
        pages = _story(aside, count, box)
        if all(_height(page, sheet.page.inner) <= sheet.page.tall for page in pages):
            yield count, box
    yield layouts[-1]


def _height(parts: Sequence[Flowable], width: float) -> float:
    """How tall parts are below one another, at the top of a page."""
    tall, after = 0.0, 0.0
    for number, part in enumerate(parts):
        apart = max(after, part.getSpaceBefore()) if number else 0.0
        tall += apart + part.wrap(width, 1e6)[1]
        after = part.getSpaceAfter()
    return tall


def _story(sheet: Sheet, count: int, box: float) -> list[list[Flowable]]:
    """The diary on ``count`` pages, each with the notes of its weeks."""
    node, head = sheet.section(sheet.say("paper diary"))
    parts: list[Flowable] = [head, paragraph(node, sheet.say("paper diary tick"), body_style())]
    frequency = sheet.prescribed.routine.frequency
    if frequency:
        often = sheet.say("paper often", frequency=frequency.rstrip(". "))
        parts.append(paragraph(node, often, body_style()))
    pages = []
    weeks = weeks_of(sheet)
    bounds = [len(weeks) * number // count for number in range(count + 1)]
    for begin, end in itertools.pairwise(bounds):
        parts.append(_grid(sheet, node.add("Table"), weeks[begin:end], box))
        label = look.style(look.BODY, bold=True, before=16)
        parts.append(paragraph(node, sheet.say("paper diary notes"), label))
        parts += [
            write_in(node, sheet.say("paper week", n=week), sheet.page.inner, height=38)
            for week in weeks[begin:end]
        ]
        pages.append(parts)
        parts = []
    standing = look.style(look.BODY, before=20)
    pages[-1].append(paragraph(node, sheet.say("paper standing"), standing))
    return pages


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


def _grid(sheet: Sheet, table: Node, weeks: range, box: float) -> Flowable:
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
    often = rows_a_week(sheet)
    for week in [week for week in weeks for _ in range(often)]:
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
    if often > 1:  # the rows of a week belong together
        firsts = range(1 + often, len(rows), often)
        commands += [("LINEABOVE", (0, row), (-1, row), 4, deep) for row in firsts]
    heights = [None, *[box] * (len(rows) - 1)]
    return grid(rows, [_LABEL, *[wide] * boxes], commands, heights)
