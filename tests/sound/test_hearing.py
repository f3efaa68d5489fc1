"""What age takes, by the standard's own figures, and what speech and tones are given for it."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from breathmark.routine.listening import Hearing
from breathmark.script.session import Event, Tone
from breathmark.sound.hearing import (
    FREQUENCIES_HZ,
    MOST_GAIN_DB,
    TONE_GAIN_DB,
    Sex,
    gain_db,
    shaped,
    shift_db,
)
from breathmark.sound.levelling import levelled
from breathmark.sound.loudness import LoudnessMeter
from breathmark.sound.mix import Mix
from tests.plan_sessions import RATE_HZ
from tests.proof.results import small_session, voice
from tests.sound.signals import babble, sine

AGED = (Hearing.OLDER, Hearing.HARD_OF_HEARING)


@pytest.mark.parametrize(
    ("sex", "age", "expected"),
    [
        (Sex.MEN, 70, (10.36, 13.37, 20.82, 33.20)),
        (Sex.WOMEN, 80, (18.64, 23.55, 31.51, 43.17)),
    ],
)
def test_the_shift_is_the_standards(sex: Sex, age: int, expected: tuple[float, ...]) -> None:
    """ISO 7029:2017, worked values at 500, 1000, 2000 and 4000 Hz (second-hand)."""
    assert shift_db(sex, age) == pytest.approx(expected, abs=0.005)


def test_the_shift_of_men_of_60_at_4_khz() -> None:
    """ISO 7029:2017: 20.21 dB (second-hand)."""
    assert shift_db(Sex.MEN, 60)[3] == pytest.approx(20.21, abs=0.005)
    assert shift_db(Sex.MEN, 18) == (0, 0, 0, 0)
    with pytest.raises(ValueError, match="from 18 to 80"):
        shift_db(Sex.MEN, 81)


@pytest.mark.parametrize("hearing", AGED)
def test_half_of_the_shift_beyond_that_at_500_hz_is_given_back(hearing: Hearing) -> None:
    """The half-gain rule (from memory), nowhere past the limit; a steady 500 Hz keeps its level."""
    shift = np.array(shift_db(Sex.MEN, 70 if hearing is Hearing.OLDER else 80))
    wanted = np.minimum((shift - shift[0]) / 2, MOST_GAIN_DB)
    for hz, gain in zip(FREQUENCIES_HZ, wanted, strict=True):
        both = sine(500, -20, 1, RATE_HZ) + sine(hz, -40, 1, RATE_HZ) * (hz != 500)
        given = _gain_at(shaped(both, hearing, RATE_HZ), both, hz)
        kept = _gain_at(shaped(both, hearing, RATE_HZ), both, 500)
        assert given - kept == pytest.approx(gain, abs=0.5)


def _gain_at(
    out: np.ndarray[tuple[int], np.dtype[np.float32]],
    sound: np.ndarray[tuple[int], np.dtype[np.float32]],
    hz: float,
) -> float:
    wave = np.exp(2j * np.pi * hz * np.arange(len(sound)) / RATE_HZ)
    middle = slice(RATE_HZ // 10, -RATE_HZ // 10)
    return float(20 * np.log10(abs(out[middle] @ wave[middle]) / abs(sound[middle] @ wave[middle])))


@pytest.mark.parametrize("hearing", AGED)
def test_a_line_stays_in_its_place_and_as_strong(hearing: Hearing) -> None:
    """As long, not shifted by a sample, and of the same power; usual hearing changes nothing."""
    line = babble(3, RATE_HZ).samples
    out = shaped(line, hearing, RATE_HZ)
    assert out.shape == line.shape
    assert out.dtype == np.float32
    assert np.mean(out**2) == pytest.approx(np.mean(line**2), rel=1e-3)
    lags = np.correlate(out, line, "same")[len(line) // 2 - 100 : len(line) // 2 + 101]
    assert np.argmax(lags) == 100
    assert shaped(line, Hearing.USUAL, RATE_HZ) is line


@pytest.mark.parametrize(
    ("hearing", "under_db", "left_db"),
    [
        (Hearing.HARD_OF_HEARING, 20, 6.7),  # a third of the distance is left
        (Hearing.HARD_OF_HEARING, 28, 13),  # raised by no more than 15 dB
        (Hearing.OLDER, 16, 8),  # a half of the distance is left
        (Hearing.OLDER, 28, 19),  # raised by no more than 9 dB
        (Hearing.OLDER, 50, 51.5),  # so soft, it is no sound of the voice; the other has 1.5 dB
    ],
)
def test_soft_sounds_come_nearer_to_loud_ones(
    hearing: Hearing, under_db: float, left_db: float
) -> None:
    """A loud tone and a soft one, reckoned by hand from the ratio and its limit."""
    pause = np.zeros(RATE_HZ // 5, np.float32)
    loud, soft = (sine(500, level, 0.5, RATE_HZ) for level in (-20, -20 - under_db))
    out = shaped(np.concatenate((loud, pause, soft)), hearing, RATE_HZ)
    middle = slice(RATE_HZ // 8, -RATE_HZ // 8)
    powers = [np.mean(part[middle] ** 2) for part in (out[: len(loud)], out[-len(soft) :])]
    assert 10 * np.log10(powers[0] / powers[1]) == pytest.approx(left_db, abs=0.4)


def test_more_is_given_to_harder_hearing() -> None:
    hz = np.geomspace(100, 12_000, 50)
    assert not gain_db(Hearing.USUAL, hz).any()
    assert (gain_db(Hearing.HARD_OF_HEARING, hz) >= gain_db(Hearing.OLDER, hz)).all()
    assert (np.diff(gain_db(Hearing.OLDER, hz)) >= 0).all()
    assert gain_db(Hearing.HARD_OF_HEARING, hz).max() <= MOST_GAIN_DB


@pytest.mark.parametrize("hearing", AGED)
def test_a_session_keeps_its_loudness_and_its_ceiling(hearing: Hearing) -> None:
    """-19 LUFS within 0.5 LU, true peak under -1 dBTP; tones stand out more beside speech."""
    plan = dataclasses.replace(small_session(), hearing=hearing)
    meter = LoudnessMeter(RATE_HZ)
    finished = levelled(Mix(plan, voice))
    for block in finished.blocks():
        meter.add(block.astype(np.float32) / np.float32(32_768))
    assert meter.integrated_lufs() == pytest.approx(-19, abs=0.5)
    assert meter.true_peak_dbtp() <= -1
    usual = Mix(small_session(), voice)
    for kind in Tone:
        event = next(e for e in plan.events if getattr(e, "tone", None) is kind)
        louder = _rms_db(Mix(plan, voice), event) - _rms_db(usual, event)
        assert louder == pytest.approx(TONE_GAIN_DB[hearing], abs=0.01)


def _rms_db(mix: Mix, event: Event) -> float:
    sound = np.concatenate(list(mix.blocks()))[event.start : event.end]
    return float(10 * np.log10(np.mean(sound**2)))
