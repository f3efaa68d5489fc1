"""The quiet background: soft, slow, low, the same however it is cut, gone at both ends."""

from __future__ import annotations

import dataclasses
import tracemalloc

import numpy as np
import pytest

from breathmark.routine.listening import Background
from breathmark.script.session import Spoken
from breathmark.sound.background import LEVEL_DBFS, background
from breathmark.sound.mix import BACKGROUND_DUCK_DB, BLOCK_MS, Mix
from tests.plan_sessions import RATE_HZ
from tests.proof.results import small_session, voice

MINUTE = 60 * RATE_HZ


def test_it_is_soft_and_below_the_consonants() -> None:
    """At its level, within its swell; of its power less than a hundredth is above 2 kHz."""
    sound = background(0, MINUTE, MINUTE, RATE_HZ)[5 * RATE_HZ : -5 * RATE_HZ]
    assert 10 * np.log10(np.mean(sound**2)) == pytest.approx(LEVEL_DBFS, abs=1)
    power = np.abs(np.fft.rfft(sound)) ** 2
    hz = np.fft.rfftfreq(len(sound), 1 / RATE_HZ)
    assert power[hz > 2000].sum() < 0.01 * power.sum()
    assert power[hz < 60].sum() < 0.05 * power.sum()


def test_it_moves_slowly_and_repeats_nothing() -> None:
    """Its level of each second moves by less than 2 dB from one to the next."""
    sound = background(0, MINUTE, MINUTE, RATE_HZ)
    seconds = sound.reshape(60, -1)[5:-5]
    levels = 10 * np.log10(np.mean(seconds**2, axis=1))
    assert 0.5 < levels.max() - levels.min() < 5
    assert np.abs(np.diff(levels)).max() < 2
    alike = np.abs(np.corrcoef(seconds)) - np.eye(len(seconds))
    assert alike.max() < 0.3


def test_it_fades_in_and_out() -> None:
    sound = background(0, MINUTE, MINUTE, RATE_HZ)
    assert abs(sound[0]) < 1e-6
    assert abs(sound[-1]) < 1e-6
    assert np.abs(sound[: RATE_HZ // 4]).max() < 0.05 * np.abs(sound).max()
    assert np.abs(sound[-RATE_HZ // 4 :]).max() < 0.05 * np.abs(sound).max()


@pytest.mark.parametrize("cut", [1, 777, 48_000, 200_001])
def test_it_is_the_same_however_it_is_cut(cut: int) -> None:
    """To the rounding of the transform: a sample comes from its place in the session alone."""
    whole = background(0, 400_000, 400_000, RATE_HZ)
    parts = [background(0, cut, 400_000, RATE_HZ), background(cut, 400_000, 400_000, RATE_HZ)]
    assert np.abs(np.concatenate(parts) - whole).max() < 1e-7


@pytest.mark.parametrize("length", [1, 2, 100, 48_001])
def test_a_session_of_any_length_has_one(length: int) -> None:
    sound = background(0, length, length, RATE_HZ)
    assert sound.shape == (length,)
    assert np.isfinite(sound).all()


def test_it_steps_back_under_speech_without_a_click() -> None:
    """20 dB or more below a line at -22 dBFS (WCAG 2.2, 1.4.7), and as it is elsewhere."""
    plan = dataclasses.replace(small_session(), background=Background.QUIET)
    with_it = np.concatenate(list(Mix(plan, voice).blocks()))
    without = np.concatenate(list(Mix(small_session(), voice).blocks()))
    under = with_it - without
    alone = background(0, plan.length, plan.length, RATE_HZ)
    for line in plan.spoken:
        assert isinstance(line, Spoken)
        ducked = alone[line.start : line.end] * 10 ** (-BACKGROUND_DUCK_DB / 20)
        assert np.allclose(under[line.start : line.end], ducked, atol=1e-6)
        assert 10 * np.log10(np.mean(ducked**2)) < -22 - 20
    steps = np.abs(np.diff(under, 2))
    assert steps.max() < 1.5 * np.abs(np.diff(alone, 2)).max()
    block = RATE_HZ * BLOCK_MS // 1000
    at_joins = steps[block - 2 :: block]
    assert at_joins.max() < np.abs(np.diff(alone, 2)).max()


def test_memory_stays_flat() -> None:
    """An hour of it, block by block, holds no more than some blocks."""
    size = RATE_HZ * BLOCK_MS // 1000
    background(0, size, size, RATE_HZ)
    tracemalloc.start()
    for start in range(0, 60 * MINUTE, 60 * size):
        background(start, start + size, 60 * MINUTE, RATE_HZ)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert peak < 16_000_000
