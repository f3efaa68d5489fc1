"""Finishing: trimmed to the same lead and trail, at one level, joined with exact pauses."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from breathmark.speech.engines.base import RawSpeech, UnspeakableError
from breathmark.speech.finish import (
    LEAD_MS,
    LEVEL_DBFS,
    PEAK_DBFS,
    TRAIL_MS,
    finish,
    join,
)
from tests.speech.reading import onset_ms

RATE = 24_000


def tone(seconds: float, level: float, rate_hz: int = RATE) -> NDArray[np.float32]:
    """A 200 Hz sine of the given peak."""
    at = np.arange(round(seconds * rate_hz)) / rate_hz
    return (level * np.sin(2 * np.pi * 200 * at)).astype(np.float32)


def quiet(seconds: float, rate_hz: int = RATE) -> NDArray[np.float32]:
    """Silence."""
    return np.zeros(round(seconds * rate_hz), dtype=np.float32)


def raw(*parts: NDArray[np.float32], rate_hz: int = RATE) -> RawSpeech:
    """The parts one after the other, as an engine would give them."""
    return RawSpeech(np.concatenate(parts), rate_hz)


def level_dbfs(clip: NDArray[np.int16]) -> float:
    """Root mean square in dB below full scale."""
    return float(20 * np.log10(np.sqrt(np.mean((clip / 32768.0) ** 2))))


@pytest.mark.parametrize("before", [0.0, 0.004, 0.05, 0.5])
@pytest.mark.parametrize("after", [0.0, 0.03, 0.6])
def test_lead_and_trail_are_the_same_whatever_came(before: float, after: float) -> None:
    """Too much silence is cut, too little is filled up; to the 5 ms in which it is measured."""
    clip = finish(raw(quiet(before), tone(0.5, 0.3), quiet(after)), RATE)
    expected = (LEAD_MS + 500 + TRAIL_MS) * RATE // 1000
    assert abs(len(clip) - expected) <= 10 * RATE // 1000


def test_a_weak_opening_is_kept() -> None:
    """30 dB below the rest, as a soft /h/ or /f/ is: it is speech, not silence."""
    weak = tone(0.06, 0.0095)
    clip = finish(raw(quiet(0.2), weak, tone(0.5, 0.3), quiet(0.2)), RATE)
    alone = finish(raw(quiet(0.2), tone(0.5, 0.3), quiet(0.2)), RATE)
    assert len(clip) - len(alone) >= 55 * RATE // 1000


def test_an_opening_that_nobody_hears_does_not_delay_a_word() -> None:
    """40 dB below the rest: its end stays, so that nothing starts abruptly, and no more."""
    unheard = tone(0.1, 0.003)
    clip = finish(raw(quiet(0.2), unheard, tone(0.5, 0.3), quiet(0.2)), RATE)
    alone = finish(raw(quiet(0.2), tone(0.5, 0.3), quiet(0.2)), RATE)
    assert 10 * RATE // 1000 <= len(clip) - len(alone) <= 25 * RATE // 1000
    assert onset_ms(clip, RATE) <= 40


@pytest.mark.parametrize("level", [0.01, 0.1, 0.9])
def test_every_clip_has_one_level(level: float) -> None:
    """The sounding part comes to the reference, loud or soft as it was."""
    clip = finish(raw(quiet(0.1), tone(1.0, level), quiet(0.3), tone(1.0, level)), RATE)
    middle = clip[RATE // 10 : RATE * 9 // 10]
    assert level_dbfs(middle) == pytest.approx(LEVEL_DBFS, abs=0.3)


def test_a_peak_stays_below_the_ceiling() -> None:
    """Speech with one sharp peak is brought down rather than clipped."""
    sound = tone(1.0, 0.02)
    sound[12_000] = 1.0
    clip = finish(raw(sound), RATE)
    peak_dbfs = 20 * np.log10(np.abs(clip.astype(float)).max() / 32768)
    assert peak_dbfs == pytest.approx(PEAK_DBFS, abs=0.05)


def test_a_clip_begins_and_ends_without_a_click() -> None:
    """A voice that starts and stops at once, at its loudest, is eased in and out."""
    loud = np.full(RATE // 2, 0.5, dtype=np.float32)
    clip = finish(raw(loud), RATE).astype(int)
    steepest = np.abs(np.diff(clip)).max()
    assert steepest <= np.abs(clip).max() / 40  # a 2 ms ramp is 48 samples long


def test_noise_between_words_is_cut_without_a_click() -> None:
    """What hisses below the limit is faded where it is cut."""
    hiss = tone(0.3, 0.001)
    clip = finish(raw(hiss, tone(0.5, 0.5), hiss), RATE).astype(int)
    assert np.abs(clip).max() > 1000
    assert np.abs(clip[:20]).max() <= 1
    assert np.abs(clip[-20:]).max() <= 1


@pytest.mark.parametrize("rate_hz", [24_000, 48_000])
def test_another_rate_is_resampled(rate_hz: int) -> None:
    """A second stays a second, and the pitch stays."""
    clip = finish(raw(tone(1.0, 0.3, 22_050), rate_hz=22_050), rate_hz)
    assert abs(len(clip) / rate_hz - 1.055) < 0.012
    spectrum = np.abs(np.fft.rfft(clip))
    assert np.argmax(spectrum) * rate_hz / len(clip) == pytest.approx(200, abs=2)


def test_silence_is_refused() -> None:
    """An engine that gives nothing has said nothing."""
    with pytest.raises(UnspeakableError):
        finish(raw(quiet(1.0)), RATE)


@pytest.mark.parametrize("rate_hz", [24_000, 48_000])
@pytest.mark.parametrize("pause_ms", [100, 600, 900])
def test_the_pause_between_sentences_is_exact(pause_ms: int, rate_hz: int) -> None:
    """From sound to sound, to the sample: trail, gap and lead add up to it."""
    piece = np.full(1000, 7, dtype=np.int16)
    clip = join([piece, piece, piece], pause_ms, rate_hz)
    gap = (pause_ms - LEAD_MS - TRAIL_MS) * rate_hz // 1000
    assert len(clip) == 3000 + 2 * gap
    assert not clip[1000 : 1000 + gap].any()
    assert (clip[1000 + gap : 2000 + gap] == 7).all()


def test_one_sentence_is_left_as_it_is() -> None:
    """No pause without a second sentence."""
    piece = np.arange(100, dtype=np.int16)
    assert np.array_equal(join([piece], 600, RATE), piece)


def test_a_faint_click_ahead_of_a_word_is_no_part_of_it() -> None:
    """30 ms of it and 60 ms of nothing, as before a slow "two": the word keeps its beat."""
    click = tone(0.03, 0.0095)
    clip = finish(raw(quiet(0.2), click, quiet(0.06), tone(0.5, 0.3), quiet(0.2)), RATE)
    assert onset_ms(clip, RATE) <= 40
    loud = finish(raw(quiet(0.2), tone(0.03, 0.15), quiet(0.06), tone(0.5, 0.3)), RATE)
    assert onset_ms(loud, RATE) <= 40
    assert len(loud) - len(clip) > 40 * RATE // 1000  # a loud one is a consonant, and stays
