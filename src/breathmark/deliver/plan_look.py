"""How the picture of a session looks: colours, patterns, type, and text that fits.

Each sort of span has a colour, a pattern and a label, so that none of them is told by
colour alone and a grey print still reads: left is dark, right is light.  Contrast is
held by a test (WCAG 2.2: 4.5:1 for text, 3:1 for what carries meaning).
"""

from __future__ import annotations

import html
import unicodedata
from dataclasses import dataclass

from breathmark.deliver.plan_heard import clean

PAPER = "#FCFAF4"
INK = "#1D2930"
SOFT_INK = "#56626A"
GRID = "#DDD7C9"
TRACK = "#F3EFE4"

FONT = (
    "system-ui, -apple-system, 'Segoe UI', Roboto, 'Helvetica Neue', Arial, 'Noto Sans', sans-serif"
)


@dataclass(frozen=True, kw_only=True, slots=True)
class Fill:
    """One sort of span: its ground, the lines of its pattern, its edge, its text.

    ``pattern`` is SVG path data inside a tile of ``tile`` by ``tile`` pixels; empty
    means a plain ground.  The legend says in words what each ``name`` is.
    """

    name: str
    ground: str
    lines: str
    edge: str
    text: str
    pattern: str = ""
    tile: int = 8

    @property
    def paint(self) -> str:
        """What goes into a ``fill`` attribute."""
        return f"url(#bm-{self.name})" if self.pattern else self.ground

    def definition(self) -> str:
        """The pattern's definition, if it has one."""
        if not self.pattern:
            return ""
        size = f'width="{self.tile}" height="{self.tile}"'
        return (
            f'<pattern id="bm-{self.name}" patternUnits="userSpaceOnUse" {size}>'
            f'<rect {size} fill="{self.ground}"/>'
            f'<path d="{self.pattern}" fill="none" stroke="{self.lines}" stroke-width="1.2"/>'
            "</pattern>"
        )


_FALLING = "M-2 -2L10 10M-2 6L2 10M6 -2L10 2"
_RISING = "M-2 10L10 -2M-2 2L2 -2M6 10L10 6"

LEFT = Fill(
    name="left", pattern=_FALLING,
    ground="#0F4C5C", lines="#2F6B7B", edge="#0F4C5C", text="#FFFFFF",
)  # fmt: skip
RIGHT = Fill(
    name="right", pattern=_RISING,
    ground="#F2B45A", lines="#E09A38", edge="#8F5A0A", text=INK,
)  # fmt: skip
BOTH = Fill(
    name="both",
    ground="#7C5C9E", lines="#7C5C9E", edge="#5A3F7A", text="#FFFFFF",
)  # fmt: skip
BREATHING = Fill(
    name="breathing",
    ground="#E3F0EA", lines="#2C7A62", edge="#2C7A62", text="#FFFFFF",
)  # fmt: skip
BREATHING_STRIP = Fill(
    name="breaths", pattern="M-1 6C1 6 1 2 4 2S7 6 9 6",
    ground="#2C7A62", lines="#BFE3D4", edge="#2C7A62", text="#FFFFFF",
)  # fmt: skip
"""Paced breathing where there is no room for its waves."""

LEAD_IN = Fill(
    name="lead-in",
    ground="#E9E1CD", lines="#E9E1CD", edge="#857A5C", text=INK,
)  # fmt: skip
REST = Fill(
    name="rest", pattern="M1.4 2h1.2M5.4 6h1.2",
    ground="#FFFFFF", lines="#7F8A91", edge="#7F8A91", text=INK,
)  # fmt: skip
SIDE_CHANGE = Fill(
    name="side-change", pattern="M2 1L5 4L2 7",
    ground="#FFFFFF", lines="#7F8A91", edge="#7F8A91", text=INK,
)  # fmt: skip
PAUSE = Fill(
    name="pause", pattern="M0 2h8M0 6h8",
    ground="#FFFFFF", lines="#A9B1B6", edge="#7F8A91", text=INK,
)  # fmt: skip
AROUND = Fill(
    name="around", pattern="M4 0v8",
    ground="#DFE7EB", lines="#BCCAD2", edge="#6E7F89", text=INK,
)  # fmt: skip

FILLS = (BOTH, LEFT, RIGHT, BREATHING, LEAD_IN, REST, SIDE_CHANGE, PAUSE, AROUND)
"""Every sort of span, in the order of the legend."""

SPEECH = "#34434C"
COUNTS = "#7A868D"

STYLE = f"""
.bm-plan text {{ font-family: {FONT}; fill: {INK}; }}
.bm-title {{ font-size: 27px; font-weight: 700; }}
.bm-facts {{ font-size: 15px; }}
.bm-number {{ font-size: 24px; font-weight: 300; }}
.bm-name {{ font-size: 15px; font-weight: 600; }}
.bm-small {{ font-size: 12px; }}
.bm-clock {{ font-size: 11px; }}
.bm-label {{ font-size: 12px; font-weight: 600; }}
"""


def contrast(one: str, other: str) -> float:
    """The contrast ratio of two colours ``#RRGGBB``, 1 to 21 (WCAG 2.2, relative luminance).

    >>> round(contrast("#767676", "#FFFFFF"), 2)
    4.54
    """
    lighter, darker = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def _luminance(colour: str) -> float:
    channels = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    # WCAG 2.2, definition of relative luminance; 0.04045 as in the sRGB standard.
    red, green, blue = (
        c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def xml(text: str) -> str:
    """Text that may stand in an element or an attribute of an XML 1.0 file."""
    return html.escape(clean(text))


def text_width(text: str, size: float, *, bold: bool = False) -> float:
    """About how wide a text is in pixels, rather too wide than too narrow.

    The letter widths are those of a wide common typeface, rounded up.
    """
    return size * (1.12 if bold else 1.0) * sum(_letter_width(char) for char in text)


def _letter_width(char: str) -> float:
    if unicodedata.combining(char) or char in "\u200c\u200d":
        return 0.0
    if unicodedata.east_asian_width(char) in "WF":
        return 1.05
    if char in "iljtfrI.,:;'|!()[] ·":
        return 0.37
    if char in "mwMW@%—…" or ord(char) > 0x2FFF:
        return 0.95
    return 0.68 if char.isupper() else 0.6


def shortened(text: str, size: float, width: float, *, bold: bool = False) -> str:
    """``text`` cut to ``width`` pixels, with an ellipsis where it was cut."""
    if text_width(text, size, bold=bold) <= width:
        return text
    kept, room = 0, width - text_width("…", size, bold=bold)
    for char in text:
        room -= text_width(char, size, bold=bold)
        if room < 0:
            break
        kept += 1
    return text[:kept].rstrip(" ,;-") + "…"


def two_lines(text: str, size: float, width: float, *, bold: bool = False) -> tuple[str, ...]:
    """``text`` in one line or two of ``width`` pixels, broken at a space, else shortened."""
    if text_width(text, size, bold=bold) <= width:
        return (text,)
    first, _, rest = text.partition(" ")
    while rest:
        word, _, after = rest.partition(" ")
        if text_width(f"{first} {word}", size, bold=bold) > width:
            break
        first, rest = f"{first} {word}", after
    if not rest or text_width(first, size, bold=bold) > width:
        return (shortened(text, size, width, bold=bold),)
    return first, shortened(rest, size, width, bold=bold)
