"""``plan.png``: the picture of the plan for programs that show no SVG."""

from __future__ import annotations

import re

from breathmark.deliver import fonts
from breathmark.deliver.plan_svg import plan_svg
from breathmark.problems import Fault
from breathmark.script.session import Session

_ZOOM = 2.0
_MOST_SIDE_PX = 8000
"""The longest side: what viewers and printers still open without trouble."""

_SIZE = re.compile(r'<svg [^>]*?width="(?P<width>\d+)" height="(?P<height>\d+)"')


def plan_png(session: Session) -> bytes:
    """``plan.svg`` as PNG, 2400 pixels wide unless it would be very long.

    Only our own typefaces are used, so that it is the same on every machine.
    """
    return png_of(plan_svg(session), zoom=_ZOOM)


def png_of(svg: str, *, zoom: float = 1.0) -> bytes:
    """An SVG picture of our own as PNG bytes, ``zoom`` pixels for one of its units.

    Raises :class:`~breathmark.problems.Fault` when it cannot be drawn.
    """
    import resvg_py

    size = _SIZE.search(svg)
    if size is None:
        raise Fault("a picture of ours does not say how large it is")
    longest = max(int(size["width"]), int(size["height"]))
    try:
        png = resvg_py.svg_to_bytes(
            svg_string=svg,
            skip_system_fonts=True,
            font_files=[str(path) for path in fonts.font_files()],
            font_family=fonts.FAMILY,
            sans_serif_family=fonts.FAMILY,
            zoom=min(zoom, _MOST_SIDE_PX / longest),
        )
    except ValueError as error:
        raise Fault(f"a picture of ours could not be drawn: {error}") from None
    return bytes(png)
