"""How soft sounds step back, smoothly, while something is said or sounded over them."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from typing import Final

import numpy as np
from numpy.typing import NDArray

from breathmark.script.session import Sounded, Spoken
from breathmark.sound.tones import ramp
from breathmark.units import samples

_IN_MS: Final = 250
_OUT_MS: Final = 400


def ducking(
    start: int, length: int, foreground: tuple[Spoken | Sounded, ...], rate_hz: int, by_db: float
) -> NDArray[np.float32] | None:
    """The gain from sample ``start`` of a sound under ``foreground``; ``None`` for no change.

    Shape ``(length,)``: 1 where the sound is alone, ``by_db`` lower from the first to the
    last sample of a line or tone, raised-cosine ramps of 250 ms before it and 400 ms after.
    ``foreground`` is in order and free of overlaps, as a session's is.
    """
    fall, rise = samples(_IN_MS, rate_hz), samples(_OUT_MS, rate_hz)
    first_over = bisect_right(foreground, start - rise, key=lambda line: line.end)
    past = bisect_left(foreground, start + length + fall, key=lambda line: line.start)
    over = foreground[first_over:past]
    if not over:
        return None
    depth = np.zeros(length, np.float32)
    for line in over:
        shape = np.concatenate((ramp(fall), np.ones(line.length), ramp(rise)[::-1]))
        at = line.start - fall - start
        first, last = max(at, 0), min(at + len(shape), length)
        np.maximum(depth[first:last], shape[first - at : last - at], out=depth[first:last])
    return 1 - depth * np.float32(1 - 10 ** (-by_db / 20))
