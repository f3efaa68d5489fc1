"""A model's tone is corrected by the bell that is written down for it, and by nothing else."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import freqz

from breathmark.speech.engines.base import RawSpeech
from breathmark.speech.engines.piper import PACKAGED
from breathmark.speech.equalising import BELLS, Bell, equalised, equaliser_of
from breathmark.speech.profiles import load_profile
from breathmark.speech.speaker import Speaker
from tests.speech.bare import BareVoice

JOE = "en_US-joe-medium"
LINE = "Lift the heel of your back foot, and hold the back of the chair."


def noise(rate_hz: int, seconds: float = 4.0) -> RawSpeech:
    loud = np.random.default_rng(5).standard_normal(round(seconds * rate_hz))
    return RawSpeech((0.1 * loud).astype(np.float32), rate_hz)


def bell_db(bell: Bell, hz: np.ndarray, rate_hz: int) -> np.ndarray:
    """The peaking equaliser of the Audio EQ Cookbook (R. Bristow-Johnson; W3C Note)."""
    high = 10 ** (bell.gain_db / 40)
    angle = 2 * np.pi * bell.centre_hz / rate_hz
    alpha = np.sin(angle) / (2 * bell.q)
    above = (1 + alpha * high, -2 * np.cos(angle), 1 - alpha * high)
    below = (1 + alpha / high, -2 * np.cos(angle), 1 - alpha / high)
    return np.asarray(20 * np.log10(np.abs(freqz(above, below, worN=hz, fs=rate_hz)[1])))


@pytest.mark.parametrize("rate_hz", [16_000, 22_050])
def test_the_bell_is_the_one_of_the_cookbook(rate_hz: int) -> None:
    before = noise(rate_hz)
    after = equalised(before, JOE)
    spectra = [np.abs(np.fft.rfft(one.samples)) for one in (before, after)]
    hz = np.fft.rfftfreq(len(before.samples), 1 / rate_hz)
    for centre in (60, 125, 250, 500, 800, 1_000, 2_000, 4_000, 7_000):
        near = np.abs(hz - centre) < 0.02 * centre
        gain_db = 20 * np.log10(np.median(spectra[1][near] / spectra[0][near]))
        wanted_db = np.median(bell_db(BELLS[JOE], hz[near], rate_hz))
        assert gain_db == pytest.approx(wanted_db, abs=0.05), centre


def test_nothing_is_added_lost_or_late() -> None:
    before = noise(22_050, 0.7)
    after = equalised(before, JOE)
    assert (len(after.samples), after.rate_hz) == (len(before.samples), before.rate_hz)
    click = np.zeros(900, np.float32)
    click[300] = 0.5
    heard = equalised(RawSpeech(click, 22_050), JOE).samples
    assert np.abs(heard).argmax() == 300
    assert not heard[:300].any()


def test_it_is_the_same_every_time() -> None:
    before = noise(22_050)
    assert np.array_equal(equalised(before, JOE).samples, equalised(before, JOE).samples)


def test_other_voices_stay_as_they_are() -> None:
    before = noise(22_050)
    assert equalised(before, "some-other-model") is before
    assert equaliser_of("some-other-model") == {}


def test_only_models_that_are_packaged_are_corrected() -> None:
    assert BELLS.keys() <= PACKAGED.keys()


def test_what_is_delivered_has_the_bell_and_says_so() -> None:
    profile = load_profile("calm")
    speaker = Speaker(profile, rate_hz=24_000, store=None)
    speaker.measure([LINE])
    bare = BareVoice("calm", 24_000, own_pace=False)
    bare.measure([LINE])
    bands = [_band_db(clip, 450, 560) - _band_db(clip, 2_500, 5_000)
             for clip in (speaker.clip(LINE), bare.clip(LINE))]  # fmt: skip
    assert bands[0] - bands[1] == pytest.approx(BELLS[JOE].gain_db, abs=0.4)
    assert speaker.fingerprint()["equaliser"] == str(BELLS[JOE])


def _band_db(clip: np.ndarray, low_hz: float, high_hz: float) -> float:
    power = np.abs(np.fft.rfft(clip.astype(float), 1 << 18)) ** 2
    hz = np.fft.rfftfreq(1 << 18, 1 / 24_000)
    return float(10 * np.log10(power[(hz >= low_hz) & (hz < high_hz)].sum()))
