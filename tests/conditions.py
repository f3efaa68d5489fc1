"""Conditions in which a recording is listened to: a noisy room, and an ear of eighty years.

Both are the plainest that a standard or a publication knows.  The noise has the long-term
spectrum of the speech itself, steady, from a fixed seed.  The ear is the model of the Speech
Intelligibility Index (ANSI S3.5-1997, second-hand): what is heard competes with an internal
noise, which at normal hearing lies where the threshold in quiet is; a loss weakens what
reaches it.  A filter alone would be undone by the recogniser, which levels what it hears.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.signal import firwin2, oaconvolve, welch

from breathmark.script.session import Session
from breathmark.sound.hearing import Sex, shift_at_db

SEED = 7029
SNR_DB = 15.0
"""Speech over noise, both as root mean square: of speech over the samples that sound."""

LISTENED_AT_DB_SPL = 62.35
"""The level of speech at the ear, over the samples that sound: that of a talker with normal
effort, a metre away (ANSI S3.5-1997, second-hand).  Nobody has turned the volume up."""

THIRDS_HZ = (
    *(160, 200, 250, 315, 400, 500, 630, 800, 1000),
    *(1250, 1600, 2000, 2500, 3150, 4000, 5000, 6300, 8000),
)
INTERNAL_NOISE_DB = (
    *(0.6, -1.7, -3.9, -6.1, -8.2, -9.7, -10.8, -11.9, -12.5),
    *(-13.5, -15.4, -17.7, -21.2, -24.2, -25.9, -23.6, -15.8, -7.1),
)
"""The reference internal noise at :data:`THIRDS_HZ`, as spectrum level: dB SPL in 1 Hz (ANSI
S3.5-1997, table 3, second-hand)."""

_TAPS = 1025
_FRAME_S = 0.02
_ACTIVE_DB = 30.0  # below the loudest frame; what is quieter does not count as sounding

Samples = npt.NDArray[np.int16]
Wave = npt.NDArray[np.float64]


@dataclass(frozen=True, kw_only=True, slots=True)
class Talk:
    """A recording as a condition takes it: its samples, and where in it speech sounds."""

    samples: Samples
    rate_hz: int
    speech: Wave

    @property
    def rms(self) -> float:
        """The root mean square of the sounding speech, in units of the samples."""
        return float(np.sqrt(np.mean(self.speech**2)))


def talk_of(samples: Samples, rate_hz: int, session: Session) -> Talk:
    """The decoded recording of ``session`` with its speech: the frames of lines that sound."""
    per, width = session.rate_hz, round(_FRAME_S * rate_hz)
    lines = [
        samples[line.start * rate_hz // per : line.end * rate_hz // per].astype(np.float64)
        for line in session.spoken
    ]
    frames = np.concatenate([line[: len(line) // width * width] for line in lines])
    frames = frames.reshape(-1, width)
    power = np.mean(frames**2, axis=1)
    sounding = frames[power > np.quantile(power, 0.99) * 10 ** (-_ACTIVE_DB / 10)]
    return Talk(samples=samples, rate_hz=rate_hz, speech=sounding.reshape(-1))


def in_noise(talk: Talk, beside: Talk | None = None, snr_db: float = SNR_DB) -> Samples:
    """``talk`` in noise with the spectrum of the speech of ``beside`` (else its own).

    The level of the noise is ``snr_db`` below that speech.  Giving the same ``beside`` for
    two recordings puts both into the same noise, whatever was done to their speech.
    """
    room = beside or talk
    hz, power = welch(room.speech, fs=room.rate_hz, nperseg=1024)
    noise = _shaped_noise(len(talk.samples), hz, 10 * np.log10(power + 1e-12), talk.rate_hz)
    noise *= room.rms * 10 ** (-snr_db / 20) / np.sqrt(np.mean(noise**2))
    return _as_samples(talk.samples + noise)


def to_ear(
    talk: Talk,
    beside: Talk | None = None,
    *,
    age: float = 80,
    level_db_spl: float = LISTENED_AT_DB_SPL,
) -> Samples:
    """``talk`` as it arrives at an ear of the median hearing of men of ``age`` years.

    It is weakened by the shift at each frequency (ISO 7029:2017, ages from 18 to 80) and
    meets the internal noise of a normal ear; then all is made louder again, which changes
    nothing between the two.  The volume is set so that ``beside`` (else ``talk``) is heard
    at ``level_db_spl``, and left there.
    """
    hz = np.linspace(0, talk.rate_hz / 2, 513)
    lost = shift_at_db(Sex.MEN, age, hz)
    heard = _filtered(talk.samples.astype(np.float64), hz, -lost, talk.rate_hz)
    # White noise of power 1 has the spectrum level -10 log10(rate / 2) in 1 Hz.
    unit_db = level_db_spl - 20 * np.log10((beside or talk).rms) - 10 * np.log10(talk.rate_hz / 2)
    internal = np.interp(np.log(np.maximum(hz, 1)), np.log(THIRDS_HZ), INTERNAL_NOISE_DB)
    heard += _shaped_noise(len(heard), hz, internal - unit_db, talk.rate_hz)
    return _as_samples(heard * 10 ** (lost.min() / 20))


def noise_to_ear(talk: Talk, beside: Talk | None = None) -> Samples:
    """``talk`` in the noisy room of :func:`in_noise`, and both at the ear of :func:`to_ear`."""
    there = in_noise(talk, beside)
    return to_ear(Talk(samples=there, rate_hz=talk.rate_hz, speech=talk.speech), beside)


def _shaped_noise(length: int, hz: Wave, gain_db: Wave, rate_hz: int) -> Wave:
    """White noise of power 1 from the fixed seed, through a filter of ``gain_db`` at ``hz``."""
    white = np.random.default_rng(SEED).standard_normal(length)
    return _filtered(white, hz, gain_db, rate_hz)


def _filtered(wave: Wave, hz: Wave, gain_db: Wave, rate_hz: int) -> Wave:
    """``wave`` through a linear-phase filter: as long, and not moved in time."""
    taps = firwin2(_TAPS, hz, 10 ** (gain_db / 20), fs=rate_hz)
    out: Wave = oaconvolve(wave, taps, mode="same")
    return out


def _as_samples(wave: Wave) -> Samples:
    return np.clip(np.rint(wave), -32_768, 32_767).astype(np.int16)
