"""The conditions are what they say: the noise 15 dB under the speech, the ear of eighty years."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pytest
from scipy.signal import lfilter, welch

from tests.conditions import INTERNAL_NOISE_DB, THIRDS_HZ, Talk, in_noise, noise_to_ear, to_ear

RATE_HZ = 24_000


def _talk(wave: npt.NDArray[np.float64]) -> Talk:
    samples = np.rint(wave).astype(np.int16)
    return Talk(samples=samples, rate_hz=RATE_HZ, speech=samples.astype(np.float64))


def _rough(seconds: float) -> npt.NDArray[np.float64]:
    """Noise that falls by 6 dB an octave, as speech roughly does: rms 2000."""
    steps = np.random.default_rng(1).standard_normal(round(seconds * RATE_HZ))
    wave = lfilter([1], [1, -0.9], steps)
    return np.asarray(2000 * wave / np.sqrt(np.mean(wave**2)))


def _tone(hz: float, seconds: float = 4) -> npt.NDArray[np.float64]:
    return np.asarray(2000 * np.sin(2 * np.pi * hz * np.arange(seconds * RATE_HZ) / RATE_HZ))


def _power_at(samples: npt.NDArray[np.int16], hz: float) -> float:
    wave = np.exp(2j * np.pi * hz * np.arange(len(samples)) / RATE_HZ)
    return float(20 * np.log10(2 * abs(samples @ wave) / len(samples)))


def test_the_noise_is_15_db_below_the_speech_and_has_its_spectrum() -> None:
    """Level within 0.1 dB, spectrum within 1.5 dB from 200 Hz to 8 kHz; the same every time."""
    talk = _talk(_rough(10))
    heard = in_noise(talk)
    noise = heard.astype(np.float64) - talk.samples
    assert 20 * np.log10(talk.rms / np.sqrt(np.mean(noise**2))) == pytest.approx(15, abs=0.1)
    hz, of_speech = welch(talk.speech, fs=RATE_HZ, nperseg=512)
    _, of_noise = welch(noise, fs=RATE_HZ, nperseg=512)
    apart = 10 * np.log10(of_speech / of_noise)[(hz > 200) & (hz < 8000)]
    assert apart == pytest.approx(15, abs=1.5)
    assert np.array_equal(heard, in_noise(talk))


def test_the_same_room_has_the_same_noise_for_whatever_is_said_in_it() -> None:
    """Louder speech does not make its room louder."""
    soft, loud = _talk(_rough(5)), _talk(2 * _rough(5))
    apart = in_noise(loud, soft).astype(np.float64) - loud.samples
    same = in_noise(soft).astype(np.float64) - soft.samples
    assert apart == pytest.approx(same, abs=1.01)


@pytest.mark.parametrize(("hz", "lost_db"), [(500, 16.2), (1000, 20.7), (2000, 31.8), (4000, 50.0)])
def test_the_ear_has_lost_what_the_standard_says(hz: float, lost_db: float) -> None:
    """ISO 7029:2017, men of 80, from 4.2 by hand (second-hand); 16.2 dB are given back to all."""
    talk = _talk(_tone(hz))
    weaker = _power_at(talk.samples, hz) - _power_at(to_ear(talk, level_db_spl=110), hz)
    assert weaker == pytest.approx(lost_db - 16.2, abs=0.5)


def test_a_young_ear_loses_nothing() -> None:
    talk = _talk(_tone(4000))
    heard = to_ear(talk, age=18, level_db_spl=110)
    assert _power_at(heard, 4000) == pytest.approx(_power_at(talk.samples, 4000), abs=0.1)


@pytest.mark.parametrize("hz", [500, 1000, 2000, 4000])
def test_the_internal_noise_is_that_of_the_standard(hz: int) -> None:
    """ANSI S3.5-1997, table 3 (second-hand): -9.7, -12.5, -17.7 and -25.9 dB SPL in 1 Hz."""
    talk = _talk(np.concatenate([_tone(700, 1), np.zeros(9 * RATE_HZ)]))
    talk = Talk(samples=talk.samples, rate_hz=RATE_HZ, speech=talk.speech[:RATE_HZ])
    level_db_spl = 20.0  # soft speech, so that the noise is well above the rounding
    heard = to_ear(talk, age=18, level_db_spl=level_db_spl)[2 * RATE_HZ :]
    axis, power = welch(heard, fs=RATE_HZ, nperseg=4096)
    here = np.mean(power[(axis > hz / 1.06) & (axis < hz * 1.06)])
    spectrum_level = 10 * np.log10(here) + level_db_spl - 20 * np.log10(talk.rms)
    wanted = dict(zip(THIRDS_HZ, INTERNAL_NOISE_DB, strict=True))[hz]
    assert spectrum_level == pytest.approx(wanted, abs=0.6)


@pytest.mark.parametrize(("hz", "weaker_db"), [(1000, 4.5), (2000, 15.6)])
def test_the_noise_of_the_room_goes_through_the_ear_too(hz: float, weaker_db: float) -> None:
    """What noise adds at the ear is the room's, less the shift beyond that at 500 Hz."""
    talk = _talk(_rough(20))
    room = in_noise(talk).astype(np.float64) - talk.samples
    at_ear = noise_to_ear(talk).astype(np.float64) - to_ear(talk)
    axis, before = welch(room, fs=RATE_HZ, nperseg=4096)
    _, after = welch(at_ear, fs=RATE_HZ, nperseg=4096)
    here = (axis > hz / 1.03) & (axis < hz * 1.03)
    assert 10 * np.log10(before[here].sum() / after[here].sum()) == pytest.approx(weaker_db, abs=1)
