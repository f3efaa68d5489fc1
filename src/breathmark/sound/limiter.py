"""A limiter that looks both ways: no true peak above the ceiling, no audible corner.

Where a chunk of 1.3 ms (at 24 kHz) would peak above the ceiling, the gain it needs is
spread 20 ms to both sides: first the lowest need in reach, then a smooth mean of that
over the same reach.  A mean of values none of which is above the need is not above
it, so every peak is met by construction, whatever the signal; and the gain is a
smooth curve, so nothing clicks.  Everything else passes untouched, bit for bit.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from breathmark.sound.truepeak import CHUNK, Between
from breathmark.units import samples

REACH_MS: Final = 20
"""How far to each side of a peak the gain is drawn down."""

_GUARD: Final = 10 ** (-0.03 / 20)
"""Kept below the ceiling for the bend of the gain between samples and for rounding."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Limited:
    """A block after the limiter, and whether the limiter changed it."""

    block: NDArray[np.float32]
    touched: bool


class Limiter:
    """Amplifies mono sound by ``gain`` and holds its true peak at ``ceiling``.

    Both are factors, the ceiling of full scale 1.0.
    """

    def __init__(self, *, rate_hz: int, gain: float, ceiling: float) -> None:
        self._between = Between(rate_hz)
        self._gain = np.float32(gain)
        self._ceiling = np.float32(ceiling * _GUARD)
        self._reach = samples(REACH_MS, rate_hz) // CHUNK
        self.margin = (2 * self._reach + 5) * CHUNK
        """Samples on each side of a block that decide about its gain."""
        bell = np.hanning(2 * self._reach + 3)[1:-1]
        self._bell = bell / bell.sum()

    def run(self, blocks: Iterable[NDArray[np.float32]]) -> Iterator[Limited]:
        """The limited blocks, each as long as it came.

        All blocks but the last must be whole chunks of 32 samples and may be of any
        number; raises ``ValueError`` otherwise.
        """
        before = np.zeros(self.margin, np.float32)
        waiting: deque[NDArray[np.float32]] = deque()
        ahead = 0  # samples waiting behind the first
        for block in blocks:
            if waiting and len(waiting[-1]) % CHUNK:
                raise ValueError(f"only the last block may not be a multiple of {CHUNK} samples")
            ahead += len(block) if waiting else 0
            waiting.append(block)
            while ahead >= self.margin:
                now = waiting.popleft()
                ahead -= len(waiting[0])
                yield self._limited(before, now, waiting)
                before = _last(self.margin, before, now)
        while waiting:
            now = waiting.popleft()
            yield self._limited(before, now, waiting)
            before = _last(self.margin, before, now)

    def _limited(
        self,
        before: NDArray[np.float32],
        block: NDArray[np.float32],
        after: Iterable[NDArray[np.float32]],
    ) -> Limited:
        """``block`` with its gain, decided with what comes before and after it."""
        coming = np.concatenate((*after, np.zeros(self.margin + CHUNK, np.float32)))
        rest = -len(block) % CHUNK
        around = np.concatenate((before, block, coming[: self.margin + rest]))
        around *= self._gain
        out = around[self.margin : self.margin + len(block)]
        need = self._need(around)
        if need is None:
            return Limited(block=out, touched=False)
        curve = self._curve(need)[self.margin : self.margin + len(block)]
        return Limited(block=out * curve, touched=bool((curve < 1).any()))

    def _need(self, sound: NDArray[np.float32]) -> NDArray[np.float64] | None:
        """The gain each chunk needs; ``None`` when none needs any."""
        chunks, peaks = self._between.peaks(sound, float(self._ceiling))
        high = peaks > self._ceiling
        if not high.any():
            return None
        need = np.ones(len(sound) // CHUNK)
        need[chunks[high]] = self._ceiling / peaks[high]
        return need

    def _curve(self, need: NDArray[np.float64]) -> NDArray[np.float32]:
        """The gain of each sample: nowhere above the need of its chunk, and smooth."""
        wide = self._reach + 1
        padded = np.pad(need, wide, constant_values=1)
        lowest = sliding_window_view(padded, 2 * wide + 1).min(axis=1)
        padded = np.pad(lowest, self._reach, constant_values=1)
        nodes = np.convolve(padded, self._bell, "valid")
        return _joined(np.minimum(nodes, 1).astype(np.float32))


def _joined(nodes: NDArray[np.float32]) -> NDArray[np.float32]:
    """Straight lines from the middle of each chunk to the middle of the next."""
    steps = np.diff(nodes, prepend=nodes[:1], append=nodes[-1:])
    away = (np.arange(CHUNK, dtype=np.float32) - (CHUNK - 1) / 2) / np.float32(CHUNK)
    half = CHUNK // 2
    lines = np.empty((len(nodes), CHUNK), np.float32)
    lines[:, :half] = nodes[:, None] + steps[:-1, None] * away[:half]
    lines[:, half:] = nodes[:, None] + steps[1:, None] * away[half:]
    return lines.reshape(-1)


def _last(
    count: int, before: NDArray[np.float32], block: NDArray[np.float32]
) -> NDArray[np.float32]:
    """The last ``count`` samples up to the end of ``block``."""
    if len(block) >= count:
        return block[-count:]
    return np.concatenate((before, block))[-count:]
