"""What every part of the record's page needs: its sizes, its headings, its tables."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from reportlab.lib.colors import HexColor
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable

from breathmark.deliver import fonts
from breathmark.deliver import paper_look as look
from breathmark.deliver.paper_parts import Text, WriteIn, grid, heading, paragraph
from breathmark.deliver.paper_tags import Node
from breathmark.deliver.record import Prescribed

FACT = 8.0
"""The size of everything but headings, in points: smaller than patients' print, on purpose."""

LEADING = 9.5
_LABEL = 66.0
_GAP = 8.0


@dataclass(frozen=True, kw_only=True, slots=True)
class RecordSheet:
    """The record being written."""

    prescribed: Prescribed
    page: look.Page
    root: Node

    def section(self, text: str) -> tuple[Node, Flowable]:
        """A new section with its heading."""
        node = self.root.add("Sect")
        return node, heading(node, text, 2, head_style())

    def fact(self, parent: Node, text: str, *, bold: bool = False, role: str = "P") -> Text:
        """A line of the page."""
        return paragraph(parent, text, fact_style(bold=bold), role=role)

    def facts(self, parent: Node, rows: Sequence[tuple[str, str | None]], width: float) -> Flowable:
        """Labels with what is said of each; ``None`` leaves a line to write on."""
        table = parent.add("Table")
        cells = []
        for label, text in rows:
            row = table.add("TR")
            named = self.fact(row, label, bold=True, role="TH")
            row.nodes[0].attributes["Scope"] = "Row"
            said = row.add("TD")
            cells.append([named, _cell(text, said, width - _LABEL)])
        return grid(cells, [_LABEL, width - _LABEL], [("BOTTOMPADDING", (0, 0), (-1, -1), 1)])

    def table(
        self,
        parent: Node,
        names: Sequence[str],
        rows: Sequence[Sequence[str]],
        parts: Sequence[int],
    ) -> Flowable:
        """Rows under their names, repeated on a new page; ``parts`` share out the width."""
        table = parent.add("Table")
        top = table.add("TR")
        cells = [[self.fact(top, name, bold=True, role="TH") for name in names]]
        for row in rows:
            node = table.add("TR")
            cells.append([self.fact(node, text, role="TD") for text in row])
        widths = [self.page.inner * part / sum(parts) for part in parts]
        rule = HexColor(look.RULE)
        commands = [
            ("LINEBELOW", (0, 0), (-1, 0), 0.7, rule),
            ("RIGHTPADDING", (0, 0), (-2, -1), _GAP),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 1.2),
        ]
        return grid(cells, widths, commands, repeat=1)


def _cell(text: str | None, node: Node, width: float) -> Flowable:
    if text is None:
        return WriteIn("", node, width - _GAP, FACT, (LEADING + 2, 0))
    return Text(fonts.markup(text), fact_style(), node=node)


def fact_style(*, bold: bool = False, before: float = 0.0) -> ParagraphStyle:
    """The style of a line."""
    return look.style(FACT, bold=bold, leading=LEADING, before=before)


def head_style() -> ParagraphStyle:
    """The style of a section's heading."""
    return look.style(
        9.5, bold=True, colour=look.DEEP, leading=12, before=5, after=2, with_next=True
    )


def item_style() -> ParagraphStyle:
    """The style of a line of a list."""
    return look.style(FACT, leading=LEADING, indent=9)
