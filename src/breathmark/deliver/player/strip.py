"""The whole session as one strip of colour, behind the handle that shows the place."""

from __future__ import annotations

from breathmark.deliver.plan_marks import Moments
from breathmark.script.session import Session

_WIDTH, _HEIGHT = 1000, 40


def strip_svg(session: Session) -> str:
    """The strip as an SVG element that stretches to any width, in the picture's colours.

    It is decoration: everything in it is told in words elsewhere on the page.
    """
    moments, px = Moments.of(session), _WIDTH / max(1, session.length)
    spans = [
        f'<rect class="fill-{moments.fill_of(span).name}" x="{span.start * px:.2f}" '
        f'width="{span.length * px:.2f}" height="{_HEIGHT}"/>'
        for block in session.blocks
        for span in block.spans
        if span.length
    ]
    bounds = "".join(f"M{block.start * px:.2f} 0V{_HEIGHT}" for block in session.blocks[1:])
    return (
        f'<svg class="strip" viewBox="0 0 {_WIDTH} {_HEIGHT}" preserveAspectRatio="none" '
        f'aria-hidden="true" focusable="false">{"".join(spans)}'
        f'<path class="bounds" vector-effect="non-scaling-stroke" d="{bounds}"/></svg>'
    )
