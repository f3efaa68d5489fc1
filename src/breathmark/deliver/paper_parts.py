"""The parts of a paper: headings, paragraphs, lists, lines to write on, pictures, tables.

Each part knows its place in the document's structure (:mod:`.paper_tags`), so that what
is seen and what a screen reader tells are one.
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.utils import ImageReader
from reportlab.platypus import Flowable, Paragraph, Table

from breathmark.deliver import fonts
from breathmark.deliver import paper_look as look
from breathmark.deliver.paper_tags import Node
from breathmark.deliver.pictures import Picture

BADGE = 34.0
"""The side of the square that holds an exercise's number, in points."""


class Text(Paragraph):  # type: ignore[misc]  # the library ships no types
    """A paragraph that is marked as content of its node, on both pages if it is split."""

    def __init__(
        self,
        text: str | None,
        style: ParagraphStyle,
        bulletText: str | None = None,
        frags: Any = None,
        *,
        node: Node | None = None,
    ) -> None:
        super().__init__(text, style, bulletText, frags=frags)
        self.node = node

    def split(self, availWidth: float, availHeight: float) -> list[Flowable]:
        """The parts of a paragraph keep its node."""
        parts: list[Flowable] = super().split(availWidth, availHeight)
        for part in parts:
            if isinstance(part, Text):
                part.node = self.node
        return parts

    def draw(self) -> None:
        """Draw it inside its marks."""
        if self.node is None:
            super().draw()
            return
        with self.canv.content_of(self.node):
            self.draw_inside()

    def draw_inside(self) -> None:
        """What is drawn between the marks."""
        _end_lines_with_spaces(self.blPara)
        super().draw()


def _end_lines_with_spaces(lines: Any) -> None:
    """Let every line but the last end in a space, so that words copied or read stay apart."""
    for line in lines.lines[:-1]:
        if lines.kind == 0:  # plain: (space left, words), joined with spaces
            line[1].append("")
        elif line.words and not line.words[-1].text.endswith(" "):
            line.words[-1].text += " "


class Heading(Text):
    """A heading, which is in the outline, too; ``number`` is drawn in a square before it."""

    plain = ""
    depth = 0
    number = ""

    def draw_inside(self) -> None:
        """The heading, its place in the outline, and its number."""
        if self.node is not None:
            page, mark = self.node.drawn[0]
            key = f"heading-{page}-{mark}"
            self.canv.bookmarkHorizontal(key, 0, self.height + 12)
            self.canv.addOutlineEntry(self.plain, key, self.depth, closed=False)
        if self.number:
            self._draw_number()
        super().draw_inside()

    def _draw_number(self) -> None:
        canvas = self.canv
        canvas.saveState()
        middle = self.height - self.style.leading / 2
        canvas.setFillColor(HexColor(look.DEEP))
        canvas.roundRect(0, middle - BADGE / 2, BADGE, BADGE, 7, stroke=0, fill=1)
        canvas.setFillColor(HexColor(look.WHITE))
        canvas.setFont(fonts.BOLD, 20)
        canvas.drawCentredString(BADGE / 2, middle - 7, self.number)
        canvas.restoreState()


def heading(
    parent: Node, text: str, level: int, style: ParagraphStyle, *, number: str = ""
) -> Heading:
    """A heading of a level from 1, in the outline under its text."""
    made = Heading(fonts.markup(text), style, node=parent.add(f"H{level}"))
    made.plain = fonts.printable(f"{number}. {text}" if number else text)
    made.depth = level - 1
    made.number = number
    return made


def paragraph(parent: Node, text: str, style: ParagraphStyle, role: str = "P") -> Text:
    """A paragraph of plain text."""
    return Text(fonts.markup(text), style, node=parent.add(role))


def bullets(parent: Node, lines: Iterable[str], style: ParagraphStyle) -> list[Flowable]:
    """A list with a dot before each line; ``style`` has the indent."""
    listed = parent.add("L")
    return [
        Text(fonts.markup(line), style, "•", node=listed.add("LI").add("LBody")) for line in lines
    ]


class WriteIn(Flowable):  # type: ignore[misc]
    """A label with a line behind it; ``heights`` are the space for writing and that below."""

    def __init__(
        self, label: str, node: Node, width: float, size: float, heights: tuple[float, float]
    ) -> None:
        super().__init__()
        self.label = fonts.printable(label)
        self.node = node
        self.width = width
        self.size = size
        self.height, self.below = sum(heights), heights[1]

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        """The size it was made with."""
        return self.width, self.height

    def draw(self) -> None:
        """The label is content, the line is not."""
        canvas = self.canv
        start = fonts.width_of(self.label, self.size) + 10
        canvas.setFillColor(HexColor(look.INK))
        with canvas.content_of(self.node):
            canvas.setFont(fonts.REGULAR, self.size)
            canvas.drawString(0, self.below + 5, self.label)
        with canvas.artifact():
            canvas.setStrokeColor(HexColor(look.RULE))
            canvas.setLineWidth(1)
            canvas.line(min(start, self.width), self.below + 1, self.width, self.below + 1)


def write_in(
    parent: Node,
    label: str,
    width: float,
    *,
    size: float = look.BODY,
    height: float = 34.0,
    after: float = 0.0,
) -> WriteIn:
    """A label with a line behind it to write on."""
    return WriteIn(label, parent.add("P"), width, size, (height, after))


class Photo(Flowable):  # type: ignore[misc]
    """A picture no larger than a frame, left-aligned, with words for who cannot see it."""

    def __init__(self, picture: Picture, node: Node, most: tuple[float, float]) -> None:
        super().__init__()
        scale = min(most[0] / picture.width, most[1] / picture.height)
        self.picture = picture
        self.node = node
        self.width, self.height = picture.width * scale, picture.height * scale
        self.spaceBefore, self.spaceAfter = 8, 8

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        """The size in which it is shown."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw it inside its marks."""
        with self.canv.content_of(self.node):
            reader = ImageReader(io.BytesIO(self.picture.data))
            self.canv.drawImage(reader, 0, 0, self.width, self.height)


class Grid(Table):  # type: ignore[misc]
    """A table whose rules and grounds are decoration."""

    def _drawBkgrnd(self) -> None:
        with self.canv.artifact():
            super()._drawBkgrnd()

    def _drawLines(self) -> None:
        with self.canv.artifact():
            super()._drawLines()


def grid(
    rows: Sequence[Sequence[Any]], widths: Sequence[float], commands: Sequence[tuple[Any, ...]],
    heights: Sequence[float | None] | None = None, *, repeat: int = 0,
) -> Grid:  # fmt: skip
    """A table without padding of its own; ``commands`` are the PDF library's."""
    plain = [
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("RIGHTPADDING", (0, 0), (-1, -1), 0),
        ("TOPPADDING", (0, 0), (-1, -1), 0),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("FONTNAME", (0, 0), (-1, -1), fonts.REGULAR),  # of empty cells, too
    ]
    return Grid(
        rows,
        colWidths=widths,
        rowHeights=heights,
        style=[*plain, *commands],
        hAlign="LEFT",
        repeatRows=repeat,
    )
