"""The finished level: on target, under the ceiling, without clicks, the same every time."""

from __future__ import annotations

import tracemalloc
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from unittest.mock import create_autospec

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.signal import resample_poly

from breathmark.script.session import Breath, Breathed, Event, Session, Spoken, Tone
from breathmark.sound.levelling import Levelled, levelled
from breathmark.sound.limiter import Limiter
from breathmark.sound.loudness import LoudnessMeter, decibels
from breathmark.sound.mix import Mix
from tests.sound.signals import Sound, babble, measured_by_ffmpeg, sine
from tests.sound.test_mix import session, sounded, spoken

RATE = 24_000


def finished(result: Levelled) -> NDArray[np.int16]:
    return np.concatenate(list(result.blocks()))


def reading(samples: NDArray[np.int16], rate_hz: int = RATE) -> tuple[float, float]:
    meter = LoudnessMeter(rate_hz)
    meter.add(samples)
    return meter.integrated_lufs(), meter.true_peak_dbtp()


def voice(event: Spoken) -> NDArray[np.int16]:
    """A clip like speech: -22 dBFS RMS, peaks of 12 dB above that and more."""
    seconds = -(-event.length // RATE)
    heard = babble(seconds, RATE, level=10 ** (-22 / 20), seed=event.start % 97).samples
    return np.rint(np.clip(heard[: event.length], -1, 1) * 32767).astype(np.int16)


def routine(minutes: int = 2) -> Session:
    events: list[Event] = []
    for start in range(0, minutes * 60, 20):
        events += [spoken(start * RATE, 3 * RATE), spoken((start + 4) * RATE, 2 * RATE)]
        events += [sounded((start + 7) * RATE, Tone.START), sounded((start + 19) * RATE, Tone.END)]
        events += [Breathed(start=(start + 9) * RATE, length=4 * RATE, direction=Breath.IN)]
        events += [Breathed(start=(start + 13) * RATE, length=5 * RATE, direction=Breath.OUT)]
    return session(minutes * 60 * RATE, events)


def test_a_session_meets_target_and_ceiling_by_two_meters(tmp_path: Path) -> None:
    """-19 LUFS within 0.3, no true peak above -1.5 dBTP; ffmpeg says the same."""
    result = levelled(Mix(routine(), voice))
    samples = finished(result)
    loudness, peak = reading(samples)
    assert loudness == pytest.approx(-19, abs=0.15)
    assert loudness == pytest.approx(result.lufs, abs=0.01)
    assert peak <= -1.5
    theirs, their_peak = measured_by_ffmpeg(samples, RATE, tmp_path)
    assert theirs == pytest.approx(-19, abs=0.2)
    assert their_peak <= -1.4


def test_the_length_is_kept_and_silence_stays_digital_silence() -> None:
    plan = session(7 * RATE + 13, [spoken(RATE, RATE)])
    samples = finished(levelled(Mix(plan, voice)))
    assert len(samples) == 7 * RATE + 13
    assert samples.dtype == np.int16
    assert not samples[:RATE].any()
    assert not samples[2 * RATE :].any()


def test_two_runs_are_identical_byte_for_byte() -> None:
    result = levelled(Mix(routine(1), voice))
    again = levelled(Mix(routine(1), voice))
    assert finished(result).tobytes() == finished(result).tobytes() == finished(again).tobytes()
    assert result.gain_db == again.gain_db


@pytest.mark.slow
def test_memory_is_flat_from_half_an_hour_to_two_hours() -> None:
    """But for 8 bytes for each 100 ms, kept twice while measuring; before, 2 bytes a sample."""

    def peak(minutes: int) -> int:
        events = [spoken(RATE * 20 * n, RATE * 3) for n in range(minutes * 3)]
        mix = Mix(session(minutes * 60 * RATE, events), lambda _: clip)
        tracemalloc.start()
        for _ in levelled(mix).blocks():
            pass
        most = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        return most

    clip = voice(spoken(0, RATE * 3))
    long, middling = peak(120), peak(30)
    assert long < middling + 4_000_000
    assert peak(12) < middling + 12 * 60 * RATE * 2 + 4_000_000


def test_what_is_kept_is_what_would_be_made(monkeypatch: pytest.MonkeyPatch) -> None:
    """A session too long to be held comes out the same."""
    held = levelled(Mix(routine(1), voice))
    monkeypatch.setattr("breathmark.sound.levelling.MOST_KEPT", 0)
    made = levelled(Mix(routine(1), voice))
    assert len(held.kept) > len(made.kept) == 0
    assert finished(held).tobytes() == finished(made).tobytes()


def test_one_trial_is_enough_though_the_limiter_has_work(monkeypatch: pytest.MonkeyPatch) -> None:
    """The first gain allows for what the limiter takes: the mix is run twice in all."""
    runs = create_autospec(Mix.blocks, side_effect=Mix.blocks)
    monkeypatch.setattr(Mix, "blocks", runs)
    result = levelled(Mix(routine(1), voice), -16.0)
    assert result.lufs == pytest.approx(-16, abs=0.1)
    assert runs.call_count == 2


def test_without_peaks_it_is_one_gain_and_nothing_else() -> None:
    sound = Sound(samples=babble(20, RATE).samples * np.float32(0.1), rate_hz=RATE)
    result = levelled(sound, -30.0)
    expected = np.rint(sound.samples * np.float32(10 ** (result.gain_db / 20)) * 32768)
    assert np.abs(finished(result) - expected).max() <= 1


@pytest.mark.parametrize("target", [-19.0, -23.0, -30.0])
def test_other_targets_are_met_too(target: float) -> None:
    result = levelled(Sound(samples=babble(20, RATE).samples, rate_hz=RATE), target)
    assert reading(finished(result))[0] == pytest.approx(target, abs=0.2)


def test_a_target_that_the_ceiling_forbids_is_approached_and_the_shortfall_told() -> None:
    """Lone impulses under a ceiling cannot be loud; more gain stops when it buys nothing."""
    wave = np.zeros(5 * RATE, np.float32)
    wave[::3001] = 0.5
    result = levelled(Sound(samples=wave, rate_hz=RATE))
    loudness, peak = reading(finished(result))
    assert peak <= -1.5
    assert loudness == pytest.approx(result.lufs, abs=0.05)
    assert result.lufs < -30
    assert result.gain_db < 30


def test_a_session_of_silence_stays_silence() -> None:
    result = levelled(Mix(session(5 * RATE, []), voice))
    assert result.gain_db == 0
    assert result.lufs == -np.inf
    assert not finished(result).any()


def test_a_ceiling_at_full_scale_is_refused() -> None:
    with pytest.raises(ValueError, match="below full scale"):
        levelled(Mix(session(RATE, []), voice), ceiling_dbtp=0.0)


def nasty(rate_hz: int) -> Iterator[tuple[str, NDArray[Any]]]:
    """Signals at 12 dB above full scale and more that a limiter may stumble over."""
    n = np.arange(3 * rate_hz)
    random = np.random.default_rng(5)
    yield "a quarter of the rate at 45 degrees", np.sin(np.pi / 2 * n + np.pi / 4)
    yield "white noise", random.standard_normal(len(n))
    yield "square wave", np.sign(np.sin(2 * np.pi * 1000 * n / rate_hz + 0.1))
    yield "random signs", random.integers(0, 2, len(n)) * 2.0 - 1
    yield "lone impulses", (n % 3001 == 0) * 1.0
    yield "bursts at half the rate", (n % 5000 < 40) * (-1.0) ** n
    yield "bursts of a tone", 3 * np.sin(2 * np.pi * 440 * n / rate_hz) * (n // 2400 % 3 == 0)
    yield "steps", np.sign(np.sin(n / 9000))
    edge = n % (2 * rate_hz)
    yield "pulses at the edge of blocks", ((edge < 3) | (edge > 2 * rate_hz - 3)) * 1.0
    worst = np.sign(np.sinc(np.arange(-15.5, 16)))
    yield "the worst case between samples", np.convolve((n % 4001 == 0) * 1.0, worst, "same")


@pytest.mark.parametrize("rate_hz", [24_000, 48_000])
def test_nothing_gets_past_the_limiter(rate_hz: int) -> None:
    """By our meter never above the ceiling; by scipy's interpolator within 0.1 dB."""
    for name, wave in nasty(rate_hz):
        sound = Sound(samples=wave.astype(np.float32), rate_hz=rate_hz)
        result = Levelled(mix=sound, gain_db=12.0, ceiling_dbtp=-1.5, lufs=0)
        samples = finished(result)
        peak = reading(samples, rate_hz)[1]
        assert -3 < peak <= -1.5, name
        padded = np.pad(samples / 32768, 200)
        assert decibels(np.abs(resample_poly(padded, 4, 1)).max()) <= -1.4, name


def test_the_limiter_leaves_alone_what_is_far_from_a_peak() -> None:
    """Reach 20 ms to each side: 60 ms away the samples are bit for bit the gain alone."""
    wave = sine(300, -12, 4, RATE)
    wave[RATE : RATE + 100] *= 8
    limiter = Limiter(rate_hz=RATE, gain=1.0, ceiling=10 ** (-1.5 / 20))
    blocks = list(limiter.run(Sound(samples=wave, rate_hz=RATE).blocks()))
    out = np.concatenate([limited.block for limited in blocks])
    far = np.r_[0 : RATE - 1440, RATE + 1540 : 4 * RATE]
    assert np.array_equal(out[far], wave[far])
    assert np.abs(out).max() < 0.85
    assert [limited.touched for limited in blocks] == [True, False]


def test_limiting_bends_the_wave_no_more_than_the_wave_itself() -> None:
    """A click would be a bend; the gain's own curve adds none."""
    wave = sine(200, 12, 2, RATE)
    limiter = Limiter(rate_hz=RATE, gain=1.0, ceiling=0.5)
    out = np.concatenate([x.block for x in limiter.run(Sound(samples=wave, rate_hz=RATE).blocks())])
    of_the_sine = 0.5 * (2 * np.pi * 200 / RATE) ** 2
    assert np.abs(np.diff(out, 2)).max() < 1.1 * of_the_sine


@pytest.mark.parametrize("sizes", [(32, 64, 32), (3200, 32, 32, 3200), (9600, 5), (7,), ()])
def test_the_limiter_takes_blocks_of_any_whole_chunks(sizes: tuple[int, ...]) -> None:
    wave = np.random.default_rng(2).standard_normal(sum(sizes)).astype(np.float32)
    cuts = np.split(wave, np.cumsum(sizes)[:-1]) if sizes else []
    limiter = Limiter(rate_hz=RATE, gain=1.0, ceiling=0.5)
    out = [limited.block for limited in limiter.run(cuts)]
    assert [len(block) for block in out] == list(sizes)
    whole = [limited.block for limited in limiter.run([wave])]
    if sizes:
        assert np.allclose(np.concatenate(out), np.concatenate(whole), atol=1e-6)


def test_a_ragged_block_in_the_middle_is_refused() -> None:
    limiter = Limiter(rate_hz=RATE, gain=1.0, ceiling=0.5)
    with pytest.raises(ValueError, match="multiple of 32"):
        list(limiter.run([np.zeros(33, np.float32), np.zeros(32, np.float32)]))
