"""True peaks: the standards' signals, other meters, and the short cuts that are taken."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.signal import resample_poly

from breathmark.sound.loudness import LoudnessMeter, decibels
from breathmark.sound.truepeak import CHUNK, Between, PeakMeter, interpolation
from tests.sound.signals import babble, faded, sine

EBU_CASES = {  # part of the rate, phase: EBU Tech 3341 (definitions partly from memory)
    15: (4, 0.0),
    16: (4, 45.0),
    17: (6, 60.0),
    18: (8, 67.5),
}


def brute_force(sound: NDArray[np.float32], rate_hz: int) -> float:
    """Every point of the oversampled wave, computed without any short cut."""
    weights = interpolation(rate_hz)
    padded = np.pad(sound.astype(np.float64), 40)
    between = [np.abs(np.convolve(padded, row[::-1])).max() for row in weights]
    return float(max(np.abs(sound).max(), *between))


def metered(sound: NDArray[np.float32], rate_hz: int, block: int) -> float:
    meter = PeakMeter(rate_hz)
    for start in range(0, len(sound), block):
        meter.add(sound[start : start + block])
    return meter.peak()


@pytest.mark.parametrize("rate_hz", [24_000, 48_000])
@pytest.mark.parametrize("case", EBU_CASES)
def test_the_ebu_signals_read_as_they_should(case: int, rate_hz: int) -> None:
    """EBU Tech 3341, cases 15 to 18, half scale: -6.0 dBTP, +0.2 and -0.4 allowed."""
    part, degrees = EBU_CASES[case]
    meter = LoudnessMeter(rate_hz)
    meter.add(faded(sine(rate_hz / part, -6.0206, 2, rate_hz, degrees=degrees), rate_hz))
    assert -6.4 <= meter.true_peak_dbtp() <= -5.8


def test_case_16_is_three_decibels_above_its_samples() -> None:
    sound = sine(6_000, -6.0206, 1, 24_000, degrees=45)
    assert decibels(float(np.abs(sound).max())) == pytest.approx(-9.03, abs=0.01)


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("rate_hz", [24_000, 48_000])
def test_the_short_cuts_lose_nothing(seed: int, rate_hz: int) -> None:
    """White noise, speech-like noise and a slow wave, against every point computed."""
    random = np.random.default_rng(seed)
    white = random.standard_normal(9_001).astype(np.float32)
    louder = np.repeat(random.random(91), 100)[:9_001].astype(np.float32)
    slow = np.cumsum(white).astype(np.float32)
    for sound in (white, white * louder, slow, babble(1, rate_hz, seed=seed).samples):
        expected = brute_force(sound, rate_hz)
        for block in (31, 1_000, len(sound)):
            assert metered(sound, rate_hz, block) == pytest.approx(expected, rel=2e-6)


def test_the_bounds_are_bounds_and_tight_for_speech() -> None:
    sound = babble(4, 24_000).samples[: 2_900 * CHUNK]
    between = Between(24_000)
    chunks, bounds = between.candidates(sound, 1e-4)
    found, peaks = between.peaks(sound, 1e-4)
    assert np.array_equal(chunks, found)
    assert (peaks <= bounds * 1.000001).all()
    assert np.median(bounds / peaks) < 1.2


def test_another_interpolator_finds_the_same_peaks() -> None:
    """scipy's polyphase filter, eight times, on speech-like noise."""
    sound = faded(babble(5, 24_000).samples, 24_000)
    other = np.abs(resample_poly(sound.astype(np.float64), 8, 1)).max()
    assert decibels(metered(sound, 24_000, 48_000)) == pytest.approx(decibels(other), abs=0.05)


def test_the_weights_keep_a_level_and_a_straight_line() -> None:
    for rate_hz, points in ((24_000, 7), (48_000, 3)):
        weights = interpolation(rate_hz)
        assert weights.shape == (points, 32)
        assert np.allclose(weights.sum(axis=1), 1)
        at = weights @ np.arange(-15, 17)
        assert np.allclose(at, np.arange(1, points + 1) / (points + 1))
        assert all(a < b for a, b in pairwise(at))


def test_a_peak_across_the_edge_of_two_blocks_is_seen() -> None:
    sound = np.zeros(20_000, np.float32)
    sound[9_999:10_001] = 0.5
    assert metered(sound, 24_000, 10_000) == pytest.approx(brute_force(sound, 24_000), rel=1e-6)
    assert metered(sound, 24_000, 10_000) > 0.6


@pytest.mark.parametrize("length", [0, 1, 31, 32, 33, 95, 96, 97])
def test_short_sounds_are_read_whole(length: int) -> None:
    sound = np.full(length, -0.25, np.float32)
    expected = brute_force(sound, 24_000) if length else 0.0
    assert metered(sound, 24_000, 7) == pytest.approx(expected, rel=1e-6)
