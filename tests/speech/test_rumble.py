"""What lies below every voice is taken out, and the voice stays."""

from __future__ import annotations

import numpy as np
import pytest

from breathmark.speech.engines.system import SystemEngine
from breathmark.speech.rumble import without_rumble

LINES = ["Now change sides: left leg.", "Stand tall, and hold the back of the chair."]


@pytest.mark.parametrize("rate_hz", [16_000, 24_000, 44_100])
@pytest.mark.parametrize(("hz", "least_db", "most_db"), [(10, 30, 99), (70, 2.5, 3.5), (200, 0, 1)])
def test_it_takes_what_a_butterworth_takes(
    rate_hz: int, hz: float, least_db: float, most_db: float
) -> None:
    """Second order at 70 Hz: 3 dB there, 34 at 10 Hz, next to nothing where voices are."""
    time = np.arange(4 * rate_hz) / rate_hz
    wave = np.sin(2 * np.pi * hz * time).astype(np.float32)
    left = without_rumble(wave, rate_hz)[rate_hz:]
    assert len(left) == 3 * rate_hz
    assert least_db <= 20 * np.log10(np.sqrt(0.5) / np.sqrt(np.mean(left**2))) <= most_db


def test_an_offset_goes() -> None:
    left = without_rumble(np.full(24_000, 0.1, np.float32), 24_000)
    assert np.abs(left[2_400:]).max() < 1e-6


def test_the_system_voice_has_nothing_below_40_hz() -> None:
    """eSpeak NG's offset lies 30 dB below the speech; Opus made a tail of it (measured)."""
    engine = SystemEngine("", rate_wpm=150)
    for _, raw in engine.speak(LINES):
        power = np.abs(np.fft.rfft(raw.samples, 1 << 18)) ** 2
        hz = np.fft.rfftfreq(1 << 18, 1 / raw.rate_hz)
        assert 10 * np.log10(power[hz < 40].sum() / power.sum()) < -45
    engine.close()
