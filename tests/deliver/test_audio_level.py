"""What is written comes back as loud as it went in."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from breathmark.deliver.audio import FORMATS, Chapter, Recording, Tags, open_writer
from tests.outside import decode_with_ffmpeg

RATE_HZ = 24_000


@pytest.mark.parametrize("format_", FORMATS)
def test_a_sine_comes_back_at_its_level(format_: str, tmp_path: Path) -> None:
    """A 1 kHz sine at -12 dBFS decodes (ffmpeg) within 0.05 dB of itself in every format."""
    sine = 0.25 * np.sin(2 * np.pi * 1000 * np.arange(4 * RATE_HZ) / RATE_HZ)
    samples = np.rint(sine * 32768).astype(np.int16)
    recording = Recording(
        rate_hz=RATE_HZ,
        length=samples.size,
        chapters=(Chapter(title="All", start=0, length=samples.size),),
        tags=Tags(title="Sine"),
    )
    path = tmp_path / f"sine.{format_}"
    with open_writer(format_, path, recording) as writer:
        writer.add(samples)
    decoded = decode_with_ffmpeg(path, RATE_HZ)[RATE_HZ:-RATE_HZ].astype(float)
    middle = samples[RATE_HZ:-RATE_HZ].astype(float)
    assert 10 * np.log10(np.mean(decoded**2) / np.mean(middle**2)) == pytest.approx(0, abs=0.05)
