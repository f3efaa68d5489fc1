"""The quiet background: a soft, slowly moving noise under a whole session.

It says that the recording goes on.  It is made from random numbers of our own (see
:mod:`breathmark.sound.breath`), each sample from its place in the session alone, so any
stretch can be made by itself and nothing is held.  Its power falls with frequency as that
of pink noise does, from 100 Hz up, and softer still above 1 kHz: below the consonants.
"""

from __future__ import annotations

from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from breathmark.sound.breath import noise
from breathmark.units import samples

LEVEL_DBFS: Final = -44.0
"""RMS where nothing is said: 22 dB under speech at -22 dBFS (our own choice)."""

SWELL_DB: Final = 1.5
"""How far it rises and falls, most of the time."""

FADE_MS: Final = 4_000
"""From and to silence, at both ends of a session."""

_SEED: Final = 64  # beyond the breathing sound's
_SWELL_S: Final = 7  # between two points that it swells through
_TAPS: Final = 1_025  # of the filter, at any rate
_POINTS: Final = 1 << 13


def background(start: int, end: int, length: int, rate_hz: int) -> NDArray[np.float32]:
    """The background of a session of ``length`` samples, from ``start`` to ``end``.

    Mono, full scale 1.0; the same every time, however it is cut.
    """
    half = _TAPS // 2
    raw = noise(_SEED, end - start + 2 * half, first=start)
    size = 1 << (len(raw) - 1).bit_length()
    spectrum = np.fft.rfft(raw, size) * _response(rate_hz, size)
    sound = np.fft.irfft(spectrum, size)[2 * half : 2 * half + end - start]
    made: NDArray[np.float32] = (sound * _swell(start, end, length, rate_hz)).astype(np.float32)
    return made


def _swell(start: int, end: int, length: int, rate_hz: int) -> NDArray[np.float64]:
    """The level of each sample: slow waves, and a fade at both ends of the session."""
    step = _SWELL_S * rate_hz
    first = start // step
    points = noise(_SEED + 1, end // step - first + 2, first=first)
    place = np.arange(start, end) / step - first
    below = place.astype(np.intp)
    bend = 0.5 - 0.5 * np.cos(np.pi * (place - below))
    level_db = LEVEL_DBFS + SWELL_DB * (points[below] * (1 - bend) + points[below + 1] * bend)
    fade = min(samples(FADE_MS, rate_hz), length // 2) or 1
    near = np.minimum(np.arange(start, end), length - 1 - np.arange(start, end))
    ends = np.sin(np.pi / 2 * np.minimum(near / fade, 1)) ** 2
    swell: NDArray[np.float64] = 10 ** (level_db / 20) * ends
    return swell


@cache
def _response(rate_hz: int, size: int) -> NDArray[np.complex128]:
    """The filter's spectrum for transforms of ``size``; noise of it has a power of 1."""
    hz = np.linspace(0, rate_hz / 2, _POINTS // 2 + 1)
    pink = np.sqrt(100 / np.maximum(hz, 100)) * np.minimum(hz / 100, 1) ** 2
    wanted = pink / (1 + (hz / 1000) ** 2)
    taps = np.roll(np.fft.irfft(wanted, _POINTS), _TAPS // 2)[:_TAPS] * np.hanning(_TAPS + 2)[1:-1]
    taps /= np.sqrt(np.sum(taps**2) / 3)  # even numbers from -1 to 1 have a power of 1/3
    return np.fft.rfft(taps, size)
