"""The breathing sound rises, falls, and comes from and goes to silence."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from breathmark.script.session import Breath
from breathmark.sound.breath import LEVEL_DBFS, breath

EVERY = pytest.mark.parametrize(
    ("direction", "seconds", "rate_hz"),
    [(d, s, r) for d in Breath for s in (0.5, 4, 6, 20) for r in (24_000, 48_000)],
)


def centre_hz(sound: NDArray[np.float32], rate_hz: int) -> float:
    power = np.abs(np.fft.rfft(sound * np.hanning(len(sound)))) ** 2
    hz = np.fft.rfftfreq(len(sound), 1 / rate_hz)
    return float((power * hz).sum() / power.sum())


@EVERY
def test_in_rises_and_out_falls(direction: Breath, seconds: float, rate_hz: int) -> None:
    sound = breath(direction, round(seconds * rate_hz), rate_hz)
    third = len(sound) // 3
    first, last = centre_hz(sound[:third], rate_hz), centre_hz(sound[-third:], rate_hz)
    ratio = last / first if direction is Breath.IN else first / last
    assert ratio > 1.25


@EVERY
def test_it_swells_from_and_to_silence(direction: Breath, seconds: float, rate_hz: int) -> None:
    sound = breath(direction, round(seconds * rate_hz), rate_hz)
    edge = rate_hz // 500
    assert np.abs(sound[:edge]).max() < 1e-3
    assert np.abs(sound[-edge:]).max() < 1e-3
    assert abs(sound[0]) < 1e-5
    assert abs(sound[-1]) < 1e-5


@EVERY
def test_it_is_heard_throughout_and_stays_below_speech(
    direction: Breath, seconds: float, rate_hz: int
) -> None:
    """Within 14 dB of its crest for four fifths of the time; never above speech at -22."""
    sound = breath(direction, round(seconds * rate_hz), rate_hz)
    step = len(sound) // 20
    level = 10 * np.log10(np.mean(sound[: step * 20].reshape(20, step) ** 2, axis=1))
    assert (level[2:-2] > LEVEL_DBFS - 14).all()
    assert level.max() < -22
    assert 10 * np.log10(np.mean(sound**2)) == pytest.approx(LEVEL_DBFS - 3, abs=1.5)


def test_it_is_the_same_sound_at_both_rates() -> None:
    one, two = breath(Breath.IN, 48_000, 24_000), breath(Breath.IN, 96_000, 48_000)
    assert np.abs(one - two[::2]).max() < 0.02 * np.abs(one).max()


@pytest.mark.parametrize("length", [0, 1, 2, 3, 100])
def test_even_a_moment_of_breath_is_well_formed(length: int) -> None:
    sound = breath(Breath.OUT, length, 24_000)
    assert sound.shape == (length,)
    assert np.isfinite(sound).all()


def test_nobody_elses_generator_is_behind_it() -> None:
    """The same numbers with numpy's own generator in any state."""
    one = breath(Breath.IN, 24_000, 24_000)
    np.random.seed(1)
    assert np.array_equal(one, breath(Breath.IN, 24_000, 24_000))
