"""How papers look: sizes, colours, and the styles of their texts.

Large print is 16 pt and more, ragged right, at most 70 characters a line (RNIB clear
print); text has a contrast of 7:1 at least (WCAG 2.2, 1.4.6).  Colours are those of the
plan's picture, and nothing is told by colour alone.
"""

from __future__ import annotations

from dataclasses import dataclass

from reportlab.lib.colors import HexColor
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.styles import ParagraphStyle

from breathmark.deliver import fonts
from breathmark.deliver import plan_look as look

PAPERS = {"a4": A4, "letter": LETTER}
"""The sizes of paper by name, in points: width and height."""

WHITE = "#FFFFFF"
INK = look.INK
DEEP = look.LEFT.ground
"""The colour of what stands out: headings' numbers, rules, the stop box."""
TINT = "#E7EEF1"
"""The ground of the dose: pale enough that ink on it keeps its contrast on any printer."""
RULE = look.SOFT_INK

MEASURE = 486.0
"""How wide the text of large print is, in points: some 60 letters, on either paper."""

BODY, LARGE, SECTION, TITLE, SMALL = 16.0, 18.0, 22.0, 28.0, 12.0
"""Type sizes in points: running text, labels and dose, headings, the title, page numbers."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Page:
    """A sheet of paper: its size and its margins, in points."""

    width: float
    height: float
    margin: float = 50.0
    foot: float = 58.0

    @property
    def inner(self) -> float:
        """The width between the margins."""
        return self.width - 2 * self.margin

    @property
    def tall(self) -> float:
        """The height between the margins."""
        return self.height - self.margin - self.foot


def page_of(paper: str) -> Page:
    """The page of large print for a name in ``PAPERS``; KeyError for another."""
    width, height = PAPERS[paper]
    return Page(width=width, height=height, margin=(width - MEASURE) / 2)


def style(
    size: float,
    *,
    bold: bool = False,
    colour: str = INK,
    before: float = 0.0,
    after: float = 0.0,
    indent: float = 0.0,
    with_next: bool = False,
    ground: str | None = None,
    pad: tuple[float, float] = (0.0, 0.0),
    leading: float | None = None,
) -> ParagraphStyle:
    """A style of text; lengths in points.  ``pad`` is the ground's up-and-down and sides."""
    up, side = pad
    fonts.register_fonts()
    return ParagraphStyle(
        name=f"{size:g}",
        fontName=fonts.BOLD if bold else fonts.REGULAR,
        bulletFontName=fonts.BOLD,
        bulletFontSize=size,
        fontSize=size,
        leading=leading or size * 1.35,
        textColor=HexColor(colour),
        spaceBefore=before + up,
        spaceAfter=after + up,
        leftIndent=indent + side,
        rightIndent=side,
        bulletIndent=0,
        keepWithNext=1 if with_next else 0,
        backColor=HexColor(ground) if ground else None,
        borderPadding=(up, side, up, side),
        allowWidows=0,
        allowOrphans=0,
        splitLongWords=1,
        spaceShrinkage=0,  # else a line may be a little longer than its room
    )
