"""Finding a tone in finished sound: where it begins, or that it is not there.

The tone itself is slid along the sound near the expected place (a matched filter).
At each position the sound is compared in two ways: how much of its energy there has
exactly the tone's form (1 for the tone alone, at any level), and whether the samples
are louder than -60 dBFS at all.  The best position is the onset when the form agrees
by :data:`LIKENESS` or more.  No tone reaches half of that against another kind, nor
does speech or the breathing sound (measured: 0.33 at most).
"""

from __future__ import annotations

from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from breathmark.script.session import Tone
from breathmark.sound.tones import tone

LIKENESS: Final = 0.8
"""Least correlation that counts; MP3 at 64 kbit/s leaves more than 0.999 (measured)."""

_AROUND_MS: Final = 60
"""Searched on both sides of the window, lest the flank of a tone that begins outside
it be taken for one that begins at its edge."""

_FAINT: Final = 1e-3  # -60 dBFS RMS


def find_onset(
    samples: NDArray[np.float32] | NDArray[np.int16],
    kind: Tone,
    rate_hz: int,
    expected: int,
    window: int,
) -> int | None:
    """The sample where a tone of ``kind`` begins, or ``None`` when it is not there.

    ``samples`` is the whole recording, mono, float32 of full scale 1.0 or int16; the
    onset is looked for from ``expected - window`` to ``expected + window``.  A tone
    that is cut off by either end of the recording is not found.
    """
    form = tone(kind, rate_hz)
    wide = window + rate_hz * _AROUND_MS // 1000
    first = max(expected - wide, 0)
    last = min(expected + wide, len(samples) - len(form))
    if window < 0 or last < first:
        return None
    heard = samples[first : last + len(form)].astype(np.float32)
    if samples.dtype == np.int16:
        heard *= np.float32(1 / 32768)
    likeness = _likeness(heard, kind, rate_hz)
    best = int(np.argmax(likeness))
    found = likeness[best] >= LIKENESS and abs(first + best - expected) <= window
    return first + best if found else None


def _likeness(heard: NDArray[np.float32], kind: Tone, rate_hz: int) -> NDArray[np.float64]:
    """How much ``heard`` is like the tone at each position, from -1 to 1."""
    length = len(tone(kind, rate_hz))
    size = _fast_size(len(heard))
    spectrum, energy = _form(kind, rate_hz, size)
    match = np.fft.irfft(np.fft.rfft(heard, size) * spectrum, size)[: len(heard) - length + 1]
    sums = np.concatenate(([0.0], np.cumsum(heard.astype(np.float64) ** 2)))
    there = sums[length:] - sums[:-length]
    clear = there >= length * _FAINT**2
    likeness = np.zeros(len(match))
    likeness[clear] = match[clear] / np.sqrt(there[clear] * energy)
    return likeness


@cache
def _form(kind: Tone, rate_hz: int, size: int) -> tuple[NDArray[np.complex64], float]:
    """The spectrum to correlate with, and the tone's energy."""
    form = tone(kind, rate_hz)
    return np.conj(np.fft.rfft(form, size)), float(form.astype(np.float64) @ form)


def _fast_size(least: int) -> int:
    """The next size that transforms fast: a power of two, or three quarters of one."""
    power = 1 << (least - 1).bit_length()
    return power * 3 // 4 if power * 3 // 4 >= least else power
