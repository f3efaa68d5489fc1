"""Loudness and true peak of a signal given block by block (ITU-R BS.1770-4, EBU R 128)."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from breathmark.sound.truepeak import PeakMeter
from breathmark.sound.weighting import PowerMeter

ABSOLUTE_GATE_LUFS: Final = -70.0
RELATIVE_GATE_LU: Final = -10.0
_OFFSET: Final = -0.691
_HOPS_A_BLOCK: Final = 4  # 400 ms in steps of 100 ms

Samples = NDArray[np.float32] | NDArray[np.int16]


class LoudnessMeter:
    """Integrated loudness and true peak.

    ``channels`` is 1 or 2 (left and right weigh the same).  ``rate_hz`` is from 8 to
    48 kHz.  Memory grows by 8 bytes for each 100 ms.
    """

    def __init__(self, rate_hz: int, channels: int = 1) -> None:
        if channels not in {1, 2}:
            raise ValueError(f"one or two channels can be metered, not {channels}")
        self._channels = channels
        self._power = tuple(PowerMeter(rate_hz) for _ in range(channels))
        self._peaks = tuple(PeakMeter(rate_hz) for _ in range(channels))

    def add(self, block: Samples) -> None:
        """Hear the next samples.

        ``block`` is ``(samples,)``, or ``(samples, channels)`` for two channels; int16,
        or float32 with full scale 1.0.  Raises ``ValueError`` for anything else.
        """
        heard = _channels_of(block, self._channels)
        for power, peak, channel in zip(self._power, self._peaks, heard, strict=True):
            power.add(channel)
            peak.add(channel)

    def powers(self) -> NDArray[np.float64]:
        """The K-weighted power of each whole 100 ms so far, channels added."""
        added: NDArray[np.float64] = np.sum([power.powers() for power in self._power], axis=0)
        return added

    def integrated_lufs(self) -> float:
        """The gated loudness of all so far; ``-inf`` when nothing passes the gates."""
        return integrated_lufs(self.powers())

    def true_peak_dbtp(self) -> float:
        """The true peak of all so far, in decibels of full scale; ``-inf`` for silence."""
        return decibels(max(meter.peak() for meter in self._peaks))


def _channels_of(block: Samples, channels: int) -> NDArray[np.float32]:
    """The block as float32, channels first."""
    shape = (len(block),) if channels == 1 else (len(block), channels)
    if block.shape != shape:
        raise ValueError(f"a block of shape {block.shape} came where {shape} was due")
    if block.dtype == np.int16:
        block = block.astype(np.float32) * np.float32(1 / 32768)
    elif block.dtype != np.float32:
        raise ValueError(f"samples must be float32 or int16, not {block.dtype}")
    return np.ascontiguousarray(block.reshape(len(block), channels).T, np.float32)


def integrated_lufs(powers: NDArray[np.float64]) -> float:
    """Gated loudness from the K-weighted powers of successive 100 ms steps.

    BS.1770-4, annex 1: blocks of 400 ms overlapping by 75 per cent; those above
    -70 LUFS; of these, those above their mean less 10 LU.
    """
    if len(powers) < _HOPS_A_BLOCK:
        return -np.inf
    sums = np.concatenate(([0.0], np.cumsum(powers)))
    blocks = (sums[_HOPS_A_BLOCK:] - sums[:-_HOPS_A_BLOCK]) / _HOPS_A_BLOCK
    blocks = blocks[blocks > _power(ABSOLUTE_GATE_LUFS)]
    if not len(blocks):
        return -np.inf
    blocks = blocks[blocks > blocks.mean() * 10 ** (RELATIVE_GATE_LU / 10)]
    return _OFFSET + float(10 * np.log10(blocks.mean()))


def _power(lufs: float) -> float:
    return float(10 ** ((lufs - _OFFSET) / 10))


def decibels(factor: float) -> float:
    """A factor of full scale in decibels; ``-inf`` for zero.

    >>> round(decibels(0.5), 2)
    -6.02
    """
    return float(20 * np.log10(factor)) if factor > 0 else -np.inf
