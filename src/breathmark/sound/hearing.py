"""Speech and tones for older ears: what age takes, and how much of it is given back.

ISO 7029:2017 tells how far the median threshold of hearing has shifted at an age: most
at the high frequencies, where consonants are.  Half of the shift is given back, as
hearing aids do at first (the half-gain rule, from memory), as far as it goes beyond the
shift at 500 Hz: what is left, the volume knob does.  Then soft sounds are raised against
loud ones, quickly, as hearing aids do (compression): an old ear hears loud sounds as loud as
ever and soft ones not at all.  The loudness of the whole stays where it is, so both move
power from vowels to consonants.
"""

from __future__ import annotations

import enum
from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from breathmark.routine.listening import Hearing

FREQUENCIES_HZ: Final = (500, 1000, 2000, 4000)
"""Where the shift is known here; the standard has more, which are not at hand."""

MOST_GAIN_DB: Final = 16.0
"""No frequency is raised further against 500 Hz: past this, speech turns sharp (our own)."""

RATIO: Final = {Hearing.USUAL: 1.0, Hearing.OLDER: 2.0, Hearing.HARD_OF_HEARING: 3.0}
"""By how many decibels a sound has to be softer for one decibel less, below the line's own
level: hearing aids have 1.5 to 3 (common practice).  Behind an ear of eighty a recogniser
loses 6.4 words of a hundred without, about 4.5 with 2, about 4 with 3 (measured, calm)."""

MOST_RAISED_DB: Final = {Hearing.USUAL: 0.0, Hearing.OLDER: 9.0, Hearing.HARD_OF_HEARING: 15.0}
"""No sound is raised further against the loudest."""

TONE_GAIN_DB: Final = {Hearing.USUAL: 0.0, Hearing.OLDER: 2.0, Hearing.HARD_OF_HEARING: 4.0}
"""How much louder tones are beside speech: half of what more the shift takes at their 1.1 to
1.7 kHz than at 500 Hz, where most of the power of speech is (3 to 8 dB at 70)."""

CEILING_DBTP: Final = {Hearing.USUAL: -1.5, Hearing.OLDER: -2.0, Hearing.HARD_OF_HEARING: -2.0}
"""The highest true peak before encoding: raised consonants swell more in MP3 (0.55 dB measured),
and have to stay under -1 when decoded."""

_LOWER_DB: Final = (0.0, 0.75, 1.5, 2.5, 4.0)
"""By how much that ceiling comes down where a coder makes more of the peaks: AAC and Opus took
5 of 18 sessions past -1 dBTP and MP3 none; peaks swelled by 1.5 dB at most, in French at 48 kHz
by 2.1 (measured)."""

_FILTER_MS: Final = 10  # of the impulse response, both sides together
_AT_ONCE_MS: Final = 16  # what is raised together: shorter than a consonant
_ABOVE_DB: Final = 3.0  # the line's own level; what is louder stays as it is
_ACTIVE_DB: Final = 30.0  # below the loudest; what is softer does not count for that level
_FAINT_DB, _SILENT_DB = 35.0, 45.0
"""Below the loudest: from the first on a sound is raised by less, and from the second on not
at all, for it is the room of a recorded voice and no sound of its own."""

_POINTS: Final = 1 << 12


def ceilings_dbtp(hearing: Hearing) -> tuple[float, ...]:
    """The ceilings to try before encoding, one after another, until the decoded peak is low.

    >>> ceilings_dbtp(Hearing.USUAL)
    (-1.5, -2.25, -3.0, -4.0, -5.5)
    """
    return tuple(CEILING_DBTP[hearing] - lower_db for lower_db in _LOWER_DB)


class Sex(enum.StrEnum):
    """The two populations of the standard."""

    MEN = "men"
    WOMEN = "women"


_SHIFT: Final = {
    Sex.MEN: ((4.59e-4, 2.537), (7.02e-4, 2.494), (1.56e-3, 2.404), (3.40e-3, 2.325)),
    Sex.WOMEN: ((2.61e-4, 2.708), (2.21e-4, 2.805), (3.12e-4, 2.792), (7.37e-4, 2.660)),
}
"""ISO 7029:2017, 4.2, second-hand: the coefficients a and b at each frequency."""

_YOUNG: Final = 18  # years; the shift is counted from there

_AGE: Final = {Hearing.OLDER: 70, Hearing.HARD_OF_HEARING: 80}
"""Whose shift is given back: that of men, which is the larger one up to about 80."""


def shift_db(sex: Sex, age: float) -> tuple[float, ...]:
    """The median shift of the threshold at :data:`FREQUENCIES_HZ`, in decibels.

    ISO 7029:2017, 4.2: a (age - 18) ** b (second-hand); ``age`` is in years, from 18 to 80.

    >>> [round(shift, 2) for shift in shift_db(Sex.MEN, 70)]
    [10.36, 13.37, 20.82, 33.2]
    """
    if not _YOUNG <= age <= 80:
        raise ValueError(f"the standard knows ears from 18 to 80 years, not {age}")
    return tuple(a * (age - _YOUNG) ** b for a, b in _SHIFT[sex])


def shift_at_db(sex: Sex, age: float, hz: NDArray[np.float64]) -> NDArray[np.float64]:
    """The shift at any frequency: straight lines over octaves, level beyond both ends."""
    octaves = np.log2(np.maximum(hz, 1.0))
    lost: NDArray[np.float64] = np.interp(octaves, np.log2(FREQUENCIES_HZ), shift_db(sex, age))
    return lost


def gain_db(hearing: Hearing, hz: NDArray[np.float64]) -> NDArray[np.float64]:
    """What speech is given at each frequency, in decibels: 0 up to 500 Hz, rising from there."""
    if hearing is Hearing.USUAL:
        return np.zeros(len(hz))
    lost = shift_at_db(Sex.MEN, _AGE[hearing], hz)
    given: NDArray[np.float64] = np.minimum((lost - lost.min()) / 2, MOST_GAIN_DB)
    return given


def shaped(line: NDArray[np.float32], hearing: Hearing, rate_hz: int) -> NDArray[np.float32]:
    """A line of speech, shaped for ``hearing``: as long, in its place, and as strong as before.

    Filter and compression look as far ahead as back, so nothing moves in time; the power of
    the line (its mean square) stays what it was.
    """
    if hearing is Hearing.USUAL or not line.any():
        return line
    taps = filter_taps(hearing, rate_hz)
    size = 1 << (len(line) + len(taps) - 2).bit_length()
    spectrum = np.fft.rfft(line, size) * np.fft.rfft(taps, size)
    begin = len(taps) // 2
    out = np.fft.irfft(spectrum, size)[begin : begin + len(line)]
    out *= 10 ** (_raised_db(out, hearing, rate_hz) / 20)
    out *= np.sqrt(np.mean(line.astype(np.float64) ** 2) / np.mean(out**2))
    return out.astype(np.float32)


def _raised_db(line: NDArray[np.float64], hearing: Hearing, rate_hz: int) -> NDArray[np.float64]:
    """How far each sample of a line is raised, by how soft the sound around it is."""
    bell = np.hanning(rate_hz * _AT_ONCE_MS // 2000 * 2 + 3)[1:-1]
    bell /= bell.sum()
    if len(line) < len(bell):
        return np.zeros(len(line))
    level_db = 10 * np.log10(np.maximum(np.convolve(line**2, bell, "same"), 1e-12))
    under_db = level_db.max() - level_db
    active = 10 ** (level_db[under_db < _ACTIVE_DB] / 10)
    own_db = 10 * np.log10(active.mean()) + _ABOVE_DB
    raised = np.maximum(own_db - level_db, 0) * (1 - 1 / RATIO[hearing])
    raised = np.minimum(raised, MOST_RAISED_DB[hearing])
    raised *= np.clip((_SILENT_DB - under_db) / (_SILENT_DB - _FAINT_DB), 0, 1)
    smooth: NDArray[np.float64] = np.convolve(raised, bell, "same")
    return smooth


@cache
def filter_taps(hearing: Hearing, rate_hz: int) -> NDArray[np.float64]:
    """The impulse response that gives :func:`gain_db`: symmetrical, an odd number of taps."""
    gain = 10 ** (gain_db(hearing, np.linspace(0, rate_hz / 2, _POINTS // 2 + 1)) / 20)
    half = rate_hz * _FILTER_MS // 2000
    whole = np.roll(np.fft.irfft(gain, _POINTS), half)[: 2 * half + 1]
    taps: NDArray[np.float64] = whole * np.hanning(2 * half + 3)[1:-1]
    taps.flags.writeable = False
    return taps
