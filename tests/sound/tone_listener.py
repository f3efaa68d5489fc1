"""A listener that knows sounds by their bands over time, and the patterns it must not mix up.

It hears as an ear does, coarsely: power in bands as wide as the ear's own (ERB: Glasberg and
Moore 1990, Hear Res 47:103-38, from memory) every 10 ms, and what stands out of the steady
noise in each.  It learned each sound once, clean; what it hears is the one that its picture
explains best, or none if no picture explains it well.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
import numpy.typing as npt

from breathmark.script.session import Tone
from breathmark.sound.hearing import Sex, shift_at_db
from breathmark.sound.tones import ramp, tone

RATE_HZ = 24_000
SCENE_S = 2.0
"""How long it listens at a time; a sound begins in its first half."""

NOISE_DBFS = -40.0
"""The faint noise that it learned in: 18 dB under speech."""

OWN_NOISE_DBFS = -55.7
"""White noise with -12.5 dB SPL in 1 Hz up to 12 kHz, where -22 dBFS is 62 dB SPL."""

Wave = npt.NDArray[np.float64]
_HOP, _WIDE = RATE_HZ // 100, RATE_HZ // 25
_PICTURE_S = 0.9
"""How much of a scene a picture is of: our tones come 0.9 s apart or more."""

_STANDS_OUT_DB, _MOST_DB = 8.0, 24.0
_ALIKE = 0.6
"""A picture that explains less of what stands out than this is not it."""


def pulses(hz: float, times_ms: list[tuple[int, int]], harmonics: int = 1) -> Wave:
    """Pulses at the (start, length) in milliseconds, with soft edges of 10 ms."""
    end = max(start + length for start, length in times_ms)
    out = np.zeros(end * RATE_HZ // 1000)
    edge = RATE_HZ // 100
    for start, length in times_ms:
        count = length * RATE_HZ // 1000
        time = np.arange(count) / RATE_HZ
        sound = sum(np.sin(2 * np.pi * hz * n * time) for n in range(1, harmonics + 1))
        envelope = np.ones(count)
        envelope[:edge], envelope[-edge:] = ramp(edge), ramp(edge)[::-1]
        out[start * RATE_HZ // 1000 :][:count] = sound * envelope
    loud: Wave = out / np.abs(out).max()
    return loud


def alarm(hz: float, pulse_ms: int, spacing_ms: int, *, ten: bool) -> Wave:
    """An alarm's burst: three even pulses, or ten as 3 + 2, 3 + 2, with four harmonics more.

    IEC 60601-1-8 (second-hand): 150 to 1000 Hz; pulses of 125 to 250 ms, or of 75 to 200 ms.
    """
    places = (0, 1, 2, 4, 5, 8, 9, 10, 12, 13) if ten else (0, 1, 2)
    step = pulse_ms + spacing_ms
    return pulses(hz, [(place * step, pulse_ms) for place in places], harmonics=5)


def caution(hz: float, on_ms: int, off_ms: int) -> Wave:
    """A caution of a household machine, over 1.8 s: ISO 24500:2010 (second-hand)."""
    step = on_ms + off_ms
    return pulses(hz, [(at, on_ms) for at in range(0, 1800 - on_ms, step)])


def scene(sound: Wave, at_s: float, noise: Wave) -> Wave:
    """The sound from ``at_s`` on in the noise, cut off at the end of the scene."""
    out = noise[: round(SCENE_S * RATE_HZ)].copy()
    start = round(at_s * RATE_HZ)
    part = sound[: len(out) - start]
    out[start : start + len(part)] += part
    return out


def speech_shaped(level_dbfs: float, seed: int) -> Wave:
    """A scene of steady noise: as speech to 500 Hz, 9 dB less each octave above.

    The slope of the long-term average speech spectrum (Byrne et al. 1994, J Acoust Soc Am
    96:2108-20, from memory).
    """
    length = round(SCENE_S * RATE_HZ)
    spectrum = np.fft.rfft(np.random.default_rng(seed).standard_normal(length))
    hz = np.maximum(np.fft.rfftfreq(length, 1 / RATE_HZ), 1.0)
    spectrum *= np.minimum(1, (hz / 500) ** -1.5) * np.minimum(1, (hz / 120) ** 2)
    noise = np.fft.irfft(spectrum, length)
    louder: Wave = noise * 10 ** (level_dbfs / 20) / np.sqrt(np.mean(noise**2))
    return louder


def to_old_ear(heard: Wave) -> Wave:
    """A scene as it arrives at an ear of the median hearing of men of 80 years.

    The shift is that of ISO 7029:2017 (second-hand).  What arrives competes with the ear's
    own noise, which is white here and as strong as that of ANSI S3.5-1997 at 1 kHz
    (second-hand); speech is at the level of a talker a metre away.
    """
    size = 1 << (len(heard) - 1).bit_length()
    hz: Wave = np.fft.rfftfreq(size, 1 / RATE_HZ).astype(np.float64)
    lost_db = shift_at_db(Sex.MEN, 80, hz)
    left = np.fft.irfft(np.fft.rfft(heard, size) * 10 ** (-lost_db / 20), size)[: len(heard)]
    own = np.random.default_rng(80).standard_normal(len(heard)) * 10 ** (OWN_NOISE_DBFS / 20)
    arrived: Wave = left + own
    return arrived


def tone_wave(kind: Tone) -> Wave:
    """A tone as it is mixed."""
    return tone(kind, RATE_HZ).astype(np.float64)


@dataclass(frozen=True, slots=True)
class ToneListener:
    """Knows the pictures of some sounds by name."""

    pictures: Mapping[str, Wave]

    @classmethod
    def taught(cls, sounds: Mapping[str, Wave]) -> ToneListener:
        """A listener that heard each sound once, clean but for a faint noise."""
        quiet = speech_shaped(NOISE_DBFS, 0)
        at_s = 0.2
        first, many = round((at_s - 0.03) * 100), round(_PICTURE_S * 100)
        return cls({
            name: picture(scene(sound, at_s, quiet))[:, first : first + many]
            for name, sound in sounds.items()
        })  # fmt: skip

    def hear(self, heard: Wave) -> tuple[str, float]:
        """What is in a scene and how well its picture explains it; no name for none of them."""
        seen = picture(heard)
        power = float(np.sum(seen**2))
        if power == 0:
            return "", 0.0
        likeness = {
            name: float(_slid(seen, known).max() / np.sqrt(power * np.sum(known**2)))
            for name, known in self.pictures.items()
        }
        best = max(likeness, key=lambda name: likeness[name])
        return (best if likeness[best] >= _ALIKE else ""), likeness[best]


def picture(heard: Wave) -> Wave:
    """What stands out in each band and each 10 ms, in decibels past a margin."""
    frames: Any = np.lib.stride_tricks.sliding_window_view(heard, _WIDE)[::_HOP]
    power = np.abs(np.fft.rfft(frames * np.hanning(_WIDE), axis=1)) ** 2
    levels = 10 * np.log10(_bands() @ power.T + 1e-12)
    above = levels - np.quantile(levels, 0.4, axis=1, keepdims=True) - _STANDS_OUT_DB
    out: Wave = np.clip(above, 0, _MOST_DB)
    return out


@cache
def _bands() -> Wave:
    """Each band's share of each bin: rounded bands an ERB wide, half an ERB apart."""
    hz = np.fft.rfftfreq(_WIDE, 1 / RATE_HZ)
    centres = [300.0]
    while centres[-1] < 4_500:
        centres.append(centres[-1] + _erb_hz(centres[-1]) / 2)
    shares = [np.exp(-np.pi * ((hz - centre) / _erb_hz(centre)) ** 2) for centre in centres]
    return np.array(shares)


def _erb_hz(hz: float) -> float:
    return 24.7 * (4.37 * hz / 1000 + 1)


def _slid(seen: Wave, known: Wave) -> Wave:
    """How much of ``known`` is in ``seen``, at each place in time."""
    padded = np.pad(seen, ((0, 0), (known.shape[1] // 2, known.shape[1])))
    found = [np.correlate(row, mine, "valid") for row, mine in zip(padded, known, strict=True)]
    total: Wave = np.sum(found, axis=0)
    return total
