"""The meter against the standards' own signals and against other people's meters."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from breathmark.sound.loudness import LoudnessMeter, integrated_lufs
from breathmark.sound.weighting import Weighting, response
from tests.sound.signals import Sound, babble, measured_by_ffmpeg, sine

RATES = pytest.mark.parametrize("rate_hz", [24_000, 48_000])

EBU_CASES: dict[
    int, tuple[list[tuple[float, float]], float]
] = {  # level in dBFS and seconds of each part, then LUFS: EBU Tech 3341 (from memory)
    1: ([(-23, 20)], -23.0),
    2: ([(-33, 20)], -33.0),
    3: ([(-36, 10), (-23, 60), (-36, 10)], -23.0),
    4: ([(-72, 10), (-36, 10), (-23, 60), (-36, 10), (-72, 10)], -23.0),
    5: ([(-26, 20), (-20, 20.1), (-26, 20)], -23.0),
}


def lufs(samples: NDArray[np.float32] | NDArray[np.int16], rate_hz: int, block: int) -> float:
    meter = LoudnessMeter(rate_hz, channels=samples.ndim)
    for start in range(0, len(samples), block):
        meter.add(samples[start : start + block])
    return meter.integrated_lufs()


@RATES
def test_a_full_scale_sine_reads_as_the_standard_says(rate_hz: int) -> None:
    """ITU-R BS.1770-4, annex 1: 997 Hz at 0 dBFS in one channel reads -3.01 LKFS."""
    assert lufs(sine(997, 0, 20, rate_hz), rate_hz, 48_000) == pytest.approx(-3.01, abs=0.02)


@RATES
@pytest.mark.parametrize("case", EBU_CASES)
def test_the_ebu_signals_read_as_they_should(case: int, rate_hz: int) -> None:
    """EBU Tech 3341, cases 1 to 5, stereo 1 kHz sines: within 0.1 LU (from memory)."""
    parts, expected = EBU_CASES[case]
    one = np.concatenate([sine(1000, level, seconds, rate_hz) for level, seconds in parts])
    both = np.stack([one, one], axis=1)
    assert lufs(both, rate_hz, 48_000) == pytest.approx(expected, abs=0.1)


@RATES
def test_a_second_channel_adds_three_decibels(rate_hz: int) -> None:
    one = babble(10, rate_hz).samples
    both = np.stack([one, one], axis=1)
    alone, together = lufs(one, rate_hz, 9_999), lufs(both, rate_hz, 9_999)
    assert together - alone == pytest.approx(10 * np.log10(2), abs=1e-3)


@RATES
def test_it_agrees_with_pyloudnorm(rate_hz: int) -> None:
    """With that package's closest filter; its default reads 0.04 LU lower."""
    import pyloudnorm

    heard = babble(30, rate_hz).samples
    judge = pyloudnorm.Meter(rate_hz, filter_class="DeMan").integrated_loudness(heard)
    assert lufs(heard, rate_hz, 48_000) == pytest.approx(judge, abs=0.05)


@RATES
def test_it_agrees_with_ffmpeg(rate_hz: int, tmp_path: Path) -> None:
    """ffmpeg's ``ebur128`` prints tenths."""
    heard = babble(30, rate_hz).samples
    meter = LoudnessMeter(rate_hz)
    meter.add(heard)
    loudness, peak = measured_by_ffmpeg(heard, rate_hz, tmp_path)
    assert meter.integrated_lufs() == pytest.approx(loudness, abs=0.1)
    assert meter.true_peak_dbtp() == pytest.approx(peak, abs=0.15)


def test_both_rates_read_the_same_sound_the_same() -> None:
    """Up to what a resampler takes away near 12 kHz."""
    import soxr

    heard = babble(20, 24_000).samples
    doubled = soxr.resample(heard, 24_000, 48_000).astype(np.float32)
    assert lufs(heard, 24_000, 48_000) == pytest.approx(lufs(doubled, 48_000, 48_000), abs=0.03)


@pytest.mark.parametrize("block", [1, 37, 2_400, 4_801, 48_000, 10**9])
def test_the_block_size_does_not_matter(block: int) -> None:
    heard = babble(2, 24_000).samples[:40_003]
    assert lufs(heard, 24_000, block) == pytest.approx(lufs(heard, 24_000, 40_003), abs=1e-5)


def test_int16_reads_like_float() -> None:
    whole = np.rint(babble(5, 24_000).samples * 32768).astype(np.int16)
    as_float = whole.astype(np.float32) / np.float32(32768)
    assert lufs(whole, 24_000, 48_000) == lufs(as_float, 24_000, 48_000)


def test_silence_between_words_is_gated_out() -> None:
    """BS.1770-4: blocks below -70 LUFS do not count; five minutes of silence change nothing."""
    words = babble(9, 24_000).samples
    silence = np.zeros(24_000 * 300, np.float32)
    assert lufs(np.concatenate((words, silence)), 24_000, 48_000) == pytest.approx(
        lufs(words, 24_000, 48_000), abs=0.05
    )


@pytest.mark.parametrize(("level_db", "passes"), [(-69.5, True), (-70.5, False)])
def test_the_absolute_gate_is_at_minus_seventy(level_db: float, passes: bool) -> None:
    """A 997 Hz sine of this loudness: 3.01 above it in peak level."""
    reads = lufs(sine(997, level_db + 3.01, 5, 48_000), 48_000, 48_000)
    assert reads == (pytest.approx(level_db, abs=0.02) if passes else -np.inf)


def test_quiet_rows_that_are_skipped_would_not_have_counted() -> None:
    """Half a 16-bit step, the most that is skipped, is far below the gate."""
    heard = np.full(24_000 * 10, 2.0**-17 * 0.99, np.float32)
    heard[::2] *= -1
    assert 10 * np.log10(np.mean(heard**2)) < -100
    assert lufs(heard, 24_000, 48_000) == -np.inf


@pytest.mark.parametrize("seconds", [0, 0.39])
def test_what_is_shorter_than_a_gating_block_has_no_loudness(seconds: float) -> None:
    meter = LoudnessMeter(24_000)
    meter.add(sine(1000, -20, seconds, 24_000))
    assert meter.integrated_lufs() == -np.inf
    assert (meter.true_peak_dbtp() == -np.inf) == (seconds == 0)


def test_reading_the_meter_does_not_disturb_it() -> None:
    heard = babble(4, 24_000).samples
    meter = LoudnessMeter(24_000)
    for start in range(0, len(heard), 5_000):
        meter.add(heard[start : start + 5_000])
        meter.integrated_lufs()
        meter.true_peak_dbtp()
    assert meter.integrated_lufs() == lufs(heard, 24_000, 5_000)


def test_the_relative_gate_is_ten_below_the_mean_of_what_passed() -> None:
    """Powers of 100 ms steps: loud, 8 LU lower, 30 LU lower; the last is gated out."""
    loud, lower, far = np.ones(40), np.full(40, 10**-0.8), np.full(40, 10**-3.0)
    kept = integrated_lufs(np.concatenate((loud, lower)))
    assert integrated_lufs(np.concatenate((loud, far, far, far))) > integrated_lufs(loud) - 0.3
    assert kept == pytest.approx(-0.691 + 10 * np.log10((1 + 10**-0.8) / 2), abs=0.05)


@pytest.mark.parametrize("rate_hz", [22_050, 24_000, 44_100, 48_000])
def test_the_filter_that_runs_is_the_standards_filter(rate_hz: int) -> None:
    """Sines read as tables 1 and 2 of BS.1770-4 say, at any rate, in whole cycles or not."""
    weighting = Weighting(rate_hz)
    for hz, within_db in (
        (63.7, 0.15),
        (100.0, 0.05),
        (143.7, 0.05),
        (1000.0, 0.01),
        (9_994.4, 0.01),
    ):
        heard = sine(hz, 0, 10, rate_hz)
        power = weighting.powers(heard).mean()
        expected = np.abs(response(np.array([hz])))[0] ** 2 / 2
        assert 10 * np.log10(power / expected) == pytest.approx(0, abs=within_db)


@pytest.mark.parametrize(
    ("block", "words"),
    [
        (np.zeros((10, 2), np.float32), "shape"),
        (np.zeros(10, np.float64), "float64"),
        (np.zeros(10, np.int32), "int32"),
    ],
)
def test_samples_of_another_kind_are_refused(block: NDArray[np.float32], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        LoudnessMeter(24_000).add(block)


def test_rates_and_channels_that_cannot_be_metered_are_refused() -> None:
    with pytest.raises(ValueError, match="96000"):
        LoudnessMeter(96_000)
    with pytest.raises(ValueError, match="one or two"):
        LoudnessMeter(24_000, channels=6)


def test_a_wrong_gain_is_noticed() -> None:
    """The checks above are sharp enough: a tenth of a decibel too much fails them."""
    heard = Sound(samples=sine(997, 0.1, 20, 24_000), rate_hz=24_000)
    assert lufs(heard.samples, 24_000, 48_000) != pytest.approx(-3.01, abs=0.02)
