"""The cover of a recording: what a player shows on its screen, drawn from the title.

It is read at a glance and at arm's length: the title as large as fits, the minutes in
figures.  Below run the colours of the plan, left and right by turns, over the waves of
the breathing sound.
"""

from __future__ import annotations

from collections.abc import Iterator

from breathmark.deliver import fonts
from breathmark.deliver import plan_look as look
from breathmark.deliver.pictures_plan import png_of
from breathmark.script.words import words_of

SIDE_PX = 600
"""The cover is square, which every player shows whole."""

_EDGE = 44
_ROOM = SIDE_PX - 2 * _EDGE
_TITLE_TOP, _TITLE_HEIGHT = 40, 262
_SIZES = (76, 68, 60, 54, 48, 42, 36, 32)
"""Sizes of the title in pixels, largest first; 32 of 600 is 2 mm on a small telephone."""

_LINE = 1.16


def cover_png(title: str, minutes: int, week: int = 1, *, language: str = "en") -> bytes:
    """The cover as PNG, 600 by 600 pixels, the same bytes for the same words.

    ``week`` is shown from the second on.  A title too long for the cover in its smallest
    size ends in an ellipsis; nothing else is ever cut.
    """
    return png_of(cover_svg(title, minutes, week, language=language))


def cover_svg(title: str, minutes: int, week: int = 1, *, language: str = "en") -> str:
    """The cover as SVG text."""
    patterns = "".join(fill.definition() for fill in (look.LEFT, look.RIGHT, look.BREATHING_STRIP))
    return "".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{SIDE_PX}" height="{SIDE_PX}" '
            f'viewBox="0 0 {SIDE_PX} {SIDE_PX}" font-family="{fonts.FAMILY}">',
            f"<defs>{patterns}</defs>",
            f'<rect width="{SIDE_PX}" height="{SIDE_PX}" fill="{look.PAPER}"/>',
            *_title(title),
            *_length(minutes, words_of(language).say("paper week", n=week) if week > 1 else ""),
            *_waves(),
            *_turns(),
            "</svg>",
        ]
    )


def _title(title: str) -> Iterator[str]:
    lines, size = fitted(title)
    y = float(_TITLE_TOP + size)
    for line in lines:
        yield (
            f'<text x="{_EDGE}" y="{y:.1f}" font-size="{size}" font-weight="700" '
            f'fill="{look.INK}">{look.xml(line)}</text>'
        )
        y += size * _LINE


def fitted(title: str) -> tuple[tuple[str, ...], int]:
    """The title in lines that fit the cover, and their size in pixels."""
    words = fonts.printable(title).split(" ") if title.strip() else ["·"]
    for size in _SIZES:
        lines = _broken(words, size)
        if lines is not None and len(lines) * size * _LINE <= _TITLE_HEIGHT:
            return lines, size
    smallest = _SIZES[-1]
    most = int(_TITLE_HEIGHT / (smallest * _LINE))
    lines = _filled(words, smallest)
    return (*lines[: most - 1], _cut(" ".join(lines[most - 1 :]), smallest)), smallest


def _width(text: str, size: float) -> float:
    return fonts.width_of(text, size, bold=True)


def _broken(words: list[str], size: int) -> tuple[str, ...] | None:
    """The words in lines, broken between words; ``None`` when a word is too long for that."""
    if any(_width(word, size) > _ROOM for word in words):
        return None
    return _filled(words, size)


def _filled(words: list[str], size: int) -> tuple[str, ...]:
    """The words in lines, a word that is wider than a line broken inside."""
    lines = [""]
    for word in words:
        joined = f"{lines[-1]} {word}".strip()
        if _width(joined, size) <= _ROOM:
            lines[-1] = joined
            continue
        if lines[-1]:
            lines.append("")
        for char in word:
            if _width(lines[-1] + char, size) > _ROOM:
                lines.append("")
            lines[-1] += char
    return tuple(lines)


def _cut(text: str, size: int) -> str:
    if _width(text, size) <= _ROOM:
        return text
    while text and _width(f"{text}…", size) > _ROOM:
        text = text[:-1].rstrip(" ,;-")
    return f"{text}…"


def _length(minutes: int, week: str) -> Iterator[str]:
    """The minutes in a dark field, and the week in a light one beside it."""
    y, height = 326, 84
    shown = [(f"{minutes} min", look.LEFT.ground, look.LEFT.text)]
    if week:
        shown.append((week, look.RIGHT.ground, look.INK))
    x = float(_EDGE)
    for text, ground, ink in shown:
        width = _width(text, 46) + 52
        yield (
            f'<rect x="{x:.1f}" y="{y}" width="{width:.1f}" height="{height}" rx="20" '
            f'fill="{ground}"/><text x="{x + width / 2:.1f}" y="{y + 58}" font-size="46" '
            f'font-weight="700" text-anchor="middle" fill="{ink}">{look.xml(text)}</text>'
        )
        x += width + 16


def _waves() -> Iterator[str]:
    """Three breaths, rising and falling, along the lower edge."""
    y, high, wide = 548, 74, SIDE_PX / 3
    for index in range(3):
        x = index * wide
        yield (
            f'<path d="M{x:.1f} {y}C{x + wide * 0.25:.1f} {y} {x + wide * 0.2:.1f} {y - high} '
            f"{x + wide * 0.4:.1f} {y - high}C{x + wide * 0.62:.1f} {y - high} "
            f'{x + wide * 0.72:.1f} {y} {x + wide:.1f} {y}Z" fill="{look.BREATHING.lines}"/>'
        )


def _turns() -> Iterator[str]:
    """Left and right by turns, with rests between them: the session's own rhythm."""
    widths = (112, 26, 112, 26, 112, 26, 112, 26, 48)
    fills = (look.LEFT, None, look.RIGHT, None)
    x = 0.0
    for index, width in enumerate(widths):
        fill = fills[index % 4]
        paint = fill.paint if fill else look.LEAD_IN.ground
        yield f'<rect x="{x:g}" y="548" width="{width}" height="52" fill="{paint}"/>'
        x += width
