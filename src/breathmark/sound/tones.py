"""The four tones a patient learns to know: start, halfway, countdown, end.

They are meant for older ears and must not be taken for an alarm:

===================== ==================================== ==========================
limit                 what it asks                         what the tones do
===================== ==================================== ==========================
ISO 24500:2010        no fundamental above 2.5 kHz;        1080 to 1667 Hz;
(second-hand)         start 100 ms, stop 600 ms; not       100 ms and 600 ms; no tone
                      500/200 or 100/100 ms on and off     repeats faster than 1 s
IEC 60601-1-8         alarms have a fundamental of 150 to  above 1000 Hz, a sine each,
(second-hand)         1000 Hz, four harmonics or more,     one pulse each
                      three or ten quick pulses
ISO 7029:2017         hearing at 4 kHz is lost first       nothing above 1.7 kHz
(second-hand)
===================== ==================================== ==========================

Each has a pitch, a contour and a length of its own: the countdown is a short low
pip, start a longer, higher one, halfway a step up, end a step down that rings out.
Levels are those of speech (clips at -22 dBFS RMS) and a little above: the short tones
are the stronger ones, because the ear sums loudness over some 200 ms (from memory),
and men of 70 hear 5 to 8 dB less at 1.2 to 1.6 kHz than at 500 Hz (ISO 7029).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from breathmark.script.session import TONE_MS, Tone
from breathmark.units import samples


@dataclass(frozen=True, kw_only=True, slots=True)
class Shape:
    """How one tone goes.

    ``pitch`` is the contour: (milliseconds from the onset, Hz), straight lines
    between them.  ``attack_ms`` and ``release_ms`` are raised-cosine ramps inside the
    tone's length.  ``level_dbfs`` is the RMS level of the steady part, where a
    full-scale sine has -3 dBFS.
    """

    pitch: tuple[tuple[float, float], ...]
    attack_ms: int
    release_ms: int
    level_dbfs: float


SHAPES = {
    Tone.START: Shape(pitch=((0, 1600), (100, 1600)), attack_ms=4, release_ms=20, level_dbfs=-17.0),
    Tone.HALFWAY: Shape(
        pitch=((0, 1250), (120, 1250), (150, 1667), (300, 1667)),
        attack_ms=5,
        release_ms=110,
        level_dbfs=-20.0,
    ),
    Tone.COUNTDOWN: Shape(
        pitch=((0, 1200), (60, 1200)), attack_ms=4, release_ms=16, level_dbfs=-17.0
    ),
    Tone.END: Shape(
        pitch=((0, 1440), (110, 1440), (190, 1080), (600, 1080)),
        attack_ms=5,
        release_ms=380,
        level_dbfs=-19.0,
    ),
}
"""The tones' shapes (our own choice inside the limits above)."""


def tone(kind: Tone, rate_hz: int) -> NDArray[np.float32]:
    """The samples of a tone: mono, full scale 1.0, exactly ``TONE_MS[kind]`` long.

    The array is shared and read-only.
    """
    return _tone(kind, rate_hz)


@cache
def _tone(kind: Tone, rate_hz: int) -> NDArray[np.float32]:
    shape = SHAPES[kind]
    length = samples(TONE_MS[kind], rate_hz)
    times_ms = np.arange(length) * (1000 / rate_hz)
    marks_ms, pitches_hz = zip(*shape.pitch, strict=True)
    pitch_hz = np.interp(times_ms, marks_ms, pitches_hz)
    turns = np.concatenate(([0.0], np.cumsum(pitch_hz[:-1]) / rate_hz))
    peak = np.sqrt(2) * 10 ** (shape.level_dbfs / 20)
    sound = peak * np.sin(2 * np.pi * turns)
    sound[: samples(shape.attack_ms, rate_hz)] *= ramp(samples(shape.attack_ms, rate_hz))
    sound[-samples(shape.release_ms, rate_hz) :] *= ramp(samples(shape.release_ms, rate_hz))[::-1]
    made: NDArray[np.float32] = sound.astype(np.float32)
    made.flags.writeable = False
    return made


def ramp(length: int) -> NDArray[np.float64]:
    """A raised-cosine rise of ``length`` samples from just above 0 to just below 1.

    >>> ramp(2).round(3).tolist()
    [0.146, 0.854]
    """
    rise: NDArray[np.float64] = 0.5 - 0.5 * np.cos(np.pi * (np.arange(length) + 0.5) / length)
    return rise
