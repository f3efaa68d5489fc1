"""The legend of the picture: only what is in it."""

from __future__ import annotations

from collections.abc import Iterator

from breathmark.deliver import plan_look as look
from breathmark.deliver.plan_marks import Moments, glyph
from breathmark.script.session import Purpose, Sounded, Tone

_TONES = (Tone.START, Tone.HALFWAY, Tone.COUNTDOWN, Tone.END)
_LINE = 26
_SWATCH = 34


def legend(moments: Moments, x: float, y: float, width: float) -> tuple[str, float]:
    """The legend as SVG with its upper left corner at ``x``, ``y``, and its height in pixels."""
    at_x, at_y = 0.0, 0.0
    parts = []
    for swatch, text in _entries(moments):
        entry_width = _SWATCH + look.text_width(text, 12) + 26
        if at_x + entry_width > width and at_x:
            at_x, at_y = 0.0, at_y + _LINE
        parts.append(
            f'<g transform="translate({at_x:.1f} {at_y:.1f})">{swatch}'
            f'<text class="bm-small" x="{_SWATCH}" y="13">{look.xml(text)}</text></g>'
        )
        at_x += entry_width
    rule = f'<path d="M0 -14H{width}" stroke="{look.GRID}"/>'
    return f'<g transform="translate({x} {y})">{rule}{"".join(parts)}</g>', at_y + _LINE


def _entries(moments: Moments) -> Iterator[tuple[str, str]]:
    """Each swatch with its text, 26 by 18 pixels."""
    session, words = moments.session, moments.words
    spans = (span for block in session.blocks for span in block.spans if span.length)
    used = {moments.fill_of(span).name for span in spans}
    shown = (fill for fill in look.FILLS if fill.name in used)
    yield from ((_box(fill), words.say(f"picture legend {fill.name}")) for fill in shown)
    tones = {event.tone for event in session.events if isinstance(event, Sounded)}
    for tone in _TONES:
        if tone in tones:
            text = words.say(f"picture legend {tone} tone")
            sign = glyph(tone, 9 if tone is not Tone.HALFWAY else 13)
            yield f'<path d="{sign}" fill="{look.INK}" transform="translate(0 1)"/>', text
    counted = {line.purpose is Purpose.COUNT for line in session.spoken}
    if False in counted:
        yield (
            f'<rect y="5" width="26" height="8" rx="2" fill="{look.SPEECH}"/>',
            words.say("picture legend talking"),
        )
    if True in counted:
        strokes = "M4 5v5h2.4v-5zM12 5v5h2.4v-5zM20 5v5h2.4v-5z"
        yield f'<path d="{strokes}" fill="{look.COUNTS}"/>', words.say("picture legend counting")


def _box(fill: look.Fill) -> str:
    box = (
        f'<rect x="0.5" y="0.5" width="25" height="17" rx="3" fill="{fill.paint}" '
        f'stroke="{fill.edge}"/>'
    )
    if fill is look.BREATHING:
        box += f'<path d="M1 17C7 17 7 3 13 3S19 17 25 17z" fill="{fill.lines}"/>'
    return box
