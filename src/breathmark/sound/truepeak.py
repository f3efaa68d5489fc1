"""True peak: the highest point of the wave between the samples (BS.1770-4, annex 2).

The standard reads the peak from the signal oversampled to 192 kHz: four times at
48 kHz, so eight times at 24 kHz.  Only places that could matter are oversampled, and
nothing is approximated by that, for a point between two samples is a weighted sum of
the 32 samples around it, and so cannot be higher than

- the highest of them times the sum of the weights' magnitudes (2.5), nor
- the higher of the two beside it plus 0.46 times the sharpest bend among the 32
  (the weights less a straight line, summed twice, are weights of the bends).

Where such a bound stays under what is asked for, the answer is known.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

CHUNK: Final = 32
"""Samples that are looked at together."""

_SIDE: Final = 16  # samples on each side of a point that take part in it: half a chunk
_WINDOW: Final = CHUNK + 2 * _SIDE
_HALVES: Final = np.arange(-1, 3)  # the halves of chunks that make up a window
_KAISER: Final = 6.0  # shape of the window over the sinc: exact to 0.44 of the rate
_OVERSAMPLED_HZ: Final = 192_000
_FEW: Final = 32  # chunks at a time: small enough for OpenBLAS to stay on one thread


def interpolation(rate_hz: int) -> NDArray[np.float64]:
    """Weights of the 32 samples around each point between two samples.

    Shape (points between two samples, 32); each row sums to 1 and hits a straight
    line exactly.
    """
    factor = -(-_OVERSAMPLED_HZ // rate_hz)
    shifts = np.arange(1, factor) / factor
    taps = np.arange(-_SIDE + 1, _SIDE + 1)
    away = shifts[:, None] - taps
    window = np.i0(_KAISER * np.sqrt(np.maximum(0, 1 - (away / _SIDE) ** 2)))
    weights: NDArray[np.float64] = np.sinc(away) * window
    weights /= weights.sum(axis=1, keepdims=True)
    short = shifts - weights @ taps
    weights[:, _SIDE - 1] -= short
    weights[:, _SIDE] += short
    return weights


class Between:
    """Finds true peaks of mono sound at ``rate_hz``, chunk by chunk.

    Sounds are given in whole chunks, of which the first and the last are context.
    """

    def __init__(self, rate_hz: int) -> None:
        weights = interpolation(rate_hz)
        self.most = float(np.abs(weights).sum(axis=1).max())
        """How many times the highest sample a point between samples can be, at most."""
        straight = np.zeros_like(weights)
        straight[:, _SIDE] = np.arange(1, len(weights) + 1) / (len(weights) + 1)
        straight[:, _SIDE - 1] = 1 - straight[:, _SIDE]
        of_bends = np.cumsum(np.cumsum(weights - straight, axis=1), axis=1)
        self._of_bends = np.float32(np.abs(of_bends).sum(axis=1).max())
        placed = np.zeros((_WINDOW, CHUNK, len(weights)), np.float32)
        for sample in range(CHUNK):
            placed[sample + 1 : sample + 1 + 2 * _SIDE, sample] = weights.T
        self._matrix = placed.reshape(_WINDOW, -1)

    def peaks(
        self, sound: NDArray[np.float32], floor: float
    ) -> tuple[NDArray[np.intp], NDArray[np.float32]]:
        """The chunks of ``sound`` that may exceed ``floor``, and their true peaks."""
        chunks, bounds = self.candidates(sound, floor)
        for first in range(0, len(chunks), _FEW):
            now = slice(first, first + _FEW)
            bounds[now] = self._peaks_of(sound, chunks[now])
        return chunks, bounds

    def highest(self, sound: NDArray[np.float32], peak: float) -> float:
        """The higher of ``peak`` and the true peak of ``sound``."""
        chunks, bounds = self.candidates(sound, peak)
        order = np.argsort(-bounds, kind="stable")
        chunks, bounds = chunks[order], bounds[order]
        for first in range(0, len(chunks), _FEW):
            if bounds[first] <= peak:
                break
            peak = max(peak, float(self._peaks_of(sound, chunks[first : first + _FEW]).max()))
        return peak

    def candidates(
        self, sound: NDArray[np.float32], floor: float
    ) -> tuple[NDArray[np.intp], NDArray[np.float32]]:
        """The chunks that may exceed ``floor``, and bounds of their true peaks."""
        if max(float(sound.max()), -float(sound.min())) * self.most <= floor:
            return np.zeros(0, np.intp), np.zeros(0, np.float32)
        highest = _chunk_maxima(sound)
        around = np.maximum(np.maximum(highest[:-2], highest[1:-1]), highest[2:])
        chunks = np.flatnonzero(around * self.most > floor) + 1
        windows = _windows(sound, chunks)
        beside = np.abs(windows[:, _SIDE : _SIDE + CHUNK + 1]).max(axis=1)
        bends = np.abs(np.diff(windows, 2)).max(axis=1)
        bounds = np.minimum(beside + self._of_bends * bends, around[chunks - 1] * self.most)
        may = bounds > floor
        return chunks[may], bounds[may].astype(np.float32)

    def _peaks_of(
        self, sound: NDArray[np.float32], chunks: NDArray[np.intp]
    ) -> NDArray[np.float32]:
        """The true peak in each of the given chunks."""
        windows = _windows(sound, chunks)
        between = np.abs(windows @ self._matrix).max(axis=1)
        at: NDArray[np.float32] = np.abs(windows[:, _SIDE:-_SIDE]).max(axis=1)
        highest: NDArray[np.float32] = np.maximum(at, between)
        return highest


def _windows(sound: NDArray[np.float32], chunks: NDArray[np.intp]) -> NDArray[np.float32]:
    """Each chunk with the samples around it that take part in its peaks."""
    halves = sound.reshape(-1, _SIDE).take(2 * chunks[:, None] + _HALVES, axis=0)
    return halves.reshape(-1, _WINDOW)


def _chunk_maxima(sound: NDArray[np.float32]) -> NDArray[np.float32]:
    """The highest magnitude in each chunk, by halving (faster than a short axis)."""
    heights: NDArray[np.float32] = np.abs(sound)
    while len(heights) > len(sound) // CHUNK:
        heights = np.maximum(heights[::2], heights[1::2])
    return heights


class PeakMeter:
    """The true peak of one channel, given block by block."""

    def __init__(self, rate_hz: int) -> None:
        self._between = Between(rate_hz)
        self._held = np.zeros(CHUNK, np.float32)
        self._peak = 0.0

    def add(self, block: NDArray[np.float32]) -> None:
        """Hear the next samples, full scale 1.0."""
        sound = np.concatenate((self._held, block))
        whole = len(sound) // CHUNK
        if whole >= 3:
            self._peak = self._between.highest(sound[: whole * CHUNK], self._peak)
            sound = sound[(whole - 2) * CHUNK :]
        self._held = sound

    def peak(self) -> float:
        """The highest point so far, as a factor of full scale; silence follows."""
        rest = -len(self._held) % CHUNK + 2 * CHUNK
        ending = np.concatenate((self._held, np.zeros(rest, np.float32)))
        return self._between.highest(ending, self._peak)
