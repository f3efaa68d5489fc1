"""Each tone against the limits it was made for."""

from __future__ import annotations

from itertools import combinations
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from breathmark.script.session import TONE_MS, Tone
from breathmark.sound.tones import SHAPES, tone

RATES = pytest.mark.parametrize("rate_hz", [24_000, 48_000])
KINDS = pytest.mark.parametrize("kind", list(Tone))


def spectrum(sound: NDArray[np.float32], rate_hz: int) -> tuple[NDArray[Any], NDArray[Any]]:
    """Frequencies in Hz and power, finely sampled."""
    size = 1 << 17
    power = np.abs(np.fft.rfft(sound * np.hanning(len(sound)), size)) ** 2
    return np.fft.rfftfreq(size, 1 / rate_hz), power


@RATES
@KINDS
def test_a_tone_lasts_as_long_as_the_plan_says(kind: Tone, rate_hz: int) -> None:
    """ISO 24500:2010, start 100 ms and stop 600 ms (second-hand)."""
    assert len(tone(kind, rate_hz)) == TONE_MS[kind] * rate_hz // 1000
    assert tone(kind, rate_hz).dtype == np.float32


@RATES
@KINDS
def test_the_fundamental_stays_between_alarms_and_hearing_loss(kind: Tone, rate_hz: int) -> None:
    """Above the 150-1000 Hz of IEC 60601-1-8 alarms, below ISO 24500's 2.5 kHz."""
    hz, power = spectrum(tone(kind, rate_hz), rate_hz)
    assert 1000 < hz[np.argmax(power)] < 2500
    outside = power[(hz < 1000) | (hz > 2500)].sum() / power.sum()
    assert 10 * np.log10(outside) < -30


@KINDS
def test_a_tone_has_no_harmonics(kind: Tone) -> None:
    """IEC 60601-1-8 alarms have four or more (second-hand); these have none to -60 dB."""
    hz, power = spectrum(tone(kind, 48_000), 48_000)
    lowest = min(pitch for _, pitch in SHAPES[kind].pitch)
    assert 10 * np.log10(power[hz > 1.9 * lowest].sum() / power.sum()) < -60


@RATES
@KINDS
def test_the_onset_is_crisp_and_does_not_click(kind: Tone, rate_hz: int) -> None:
    """Half its height within 5 ms of the first sample, and no bend a sine would not have."""
    sound = tone(kind, rate_hz)
    early = np.abs(sound[: 5 * rate_hz // 1000]).max()
    assert early > 0.5 * np.abs(sound).max()
    assert abs(sound[0]) < 1e-3
    assert abs(sound[-1]) < 1e-3
    highest = max(pitch for _, pitch in SHAPES[kind].pitch)
    of_a_sine = np.abs(sound).max() * (2 * np.pi * highest / rate_hz) ** 2
    padded = np.concatenate((np.zeros(2, np.float32), sound, np.zeros(2, np.float32)))
    assert np.abs(np.diff(padded, 2)).max() < 1.02 * of_a_sine


@KINDS
def test_a_tone_is_one_pulse(kind: Tone) -> None:
    """Alarms and cautions come in quick pulses; a tone swells once and fades once."""
    sound = np.abs(tone(kind, 24_000))
    heights = sound[: len(sound) // 60 * 60].reshape(-1, 60).max(axis=1)
    loud = np.flatnonzero(heights > 0.5 * heights.max())
    assert np.array_equal(loud, np.arange(loud[0], loud[-1] + 1))


@KINDS
def test_the_level_is_around_that_of_speech(kind: Tone) -> None:
    """Speech clips come at -22 dBFS RMS; the short tones may be some decibels stronger."""
    sound = tone(kind, 24_000)
    steady = sound[240 : len(sound) - SHAPES[kind].release_ms * 24]
    assert -22 < 10 * np.log10(np.mean(steady**2)) < -16


@pytest.mark.parametrize(("one", "other"), list(combinations(Tone, 2)))
def test_no_tone_can_be_taken_for_another(one: Tone, other: Tone) -> None:
    """Slid over each other they match by less than 40 per cent at any lag."""
    a, b = sorted((tone(one, 24_000), tone(other, 24_000)), key=len)
    likeness = np.abs(np.correlate(b, a, "full"))
    energy = np.convolve(np.pad(b, 0) ** 2, np.ones(len(a)))
    enough = energy > 0.05 * energy.max()
    assert (likeness[enough] / np.sqrt(energy[enough] * (a @ a))).max() < 0.4


def test_the_shared_samples_cannot_be_changed() -> None:
    with pytest.raises(ValueError, match="read-only"):
        tone(Tone.START, 24_000)[0] = 1
