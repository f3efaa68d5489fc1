"""Every format holds exactly the promised samples, in their place, the same each time."""

from __future__ import annotations

import hashlib
from pathlib import Path

import numpy as np
import pytest

from breathmark.deliver.audio import open_writer
from tests.deliver.sound_files import (
    EACH_FORMAT,
    RATE_HZ,
    clicks,
    decoders,
    played_rate_hz,
    recording,
    written,
)

# Lengths: residues of every frame size (576 and 1152 in MP3, 1024 in AAC, 480 in Opus at
# 24 kHz), the range 1 to 46 that MP3's muxer gets wrong, and the remainders that the
# lengths 7:03, 10:00, 12:30, 18:25 and 61:01 leave.
FRAMES = 9_216  # the least common multiple of 576 and 1024
REMAINDERS = sorted(
    {minutes * RATE_HZ % FRAMES for minutes in (423, 600, 750, 1105, 3661)}
    | {0, 1, 2, 20, 45, 46, 47, 48, 575, 577, 1023, 1025, 4_321}
)


@EACH_FORMAT
@pytest.mark.parametrize("remainder", REMAINDERS)
def test_it_decodes_to_exactly_the_promised_samples(
    tmp_path: Path, format_name: str, remainder: int
) -> None:
    length = 2 * FRAMES + remainder
    path = written(tmp_path, format_name, recording(length), clicks(length))
    rate_hz = played_rate_hz(format_name)
    expected = length * rate_hz // RATE_HZ
    for name, decode in decoders(format_name, rate_hz).items():
        assert decode(path).size == expected, name


@EACH_FORMAT
@pytest.mark.parametrize("length", [48_000, 2 * 1152 + 46, 30_001])
def test_recordings_at_48_khz_are_exact_too(tmp_path: Path, format_name: str, length: int) -> None:
    path = written(tmp_path, format_name, recording(length, rate_hz=48_000), clicks(length))
    for name, decode in decoders(format_name, 48_000).items():
        assert decode(path).size == length, name


@EACH_FORMAT
@pytest.mark.parametrize("length", [30_000, 30_011])
def test_nothing_is_shifted(tmp_path: Path, format_name: str, length: int) -> None:
    """The decoded sound fits the fed one best without any shift, and closely.

    Opus decoders differ by a sample at 48 kHz among themselves (measured).
    """
    most = 1 if format_name == "opus" else 0
    sound = clicks(length)
    path = written(tmp_path, format_name, recording(length), sound)
    rate_hz = played_rate_hz(format_name)
    for name, decode in decoders(format_name, rate_hz).items():
        heard = decode(path)[:: rate_hz // RATE_HZ].astype(float)
        spectra = np.fft.rfft(heard, 2 * length) * np.fft.rfft(sound, 2 * length).conj()
        likeness = np.fft.irfft(spectra)
        shift = (np.argmax(likeness) + length) % (2 * length) - length
        assert abs(shift) <= most, name
        assert likeness.max() > 0.9 * np.linalg.norm(heard) * np.linalg.norm(sound), name


@pytest.mark.parametrize("format_name", ["flac", "wav"])
def test_nothing_is_lost_where_nothing_should_be(tmp_path: Path, format_name: str) -> None:
    sound = np.random.default_rng(7).integers(-32_768, 32_768, 50_001).astype(np.int16)
    path = written(tmp_path, format_name, recording(50_001), sound)
    for name, decode in decoders(format_name, RATE_HZ).items():
        assert np.array_equal(decode(path), sound), name


@pytest.mark.slow
@EACH_FORMAT
@pytest.mark.parametrize("seconds", [423, 600, 750, 1105, 3661])
def test_whole_sessions_are_exact(tmp_path: Path, format_name: str, seconds: int) -> None:
    """7:03, 10:00, 12:30, 18:25 and 61:01."""
    length = seconds * RATE_HZ
    path = tmp_path / f"out.{format_name}"
    second = clicks(RATE_HZ)
    with open_writer(format_name, path, recording(length, chapters=9)) as writer:
        for _ in range(seconds):
            writer.add(second)
    rate_hz = played_rate_hz(format_name)
    for name, decode in decoders(format_name, rate_hz).items():
        assert decode(path).size == seconds * rate_hz, name


@EACH_FORMAT
def test_the_same_samples_give_the_same_bytes_in_blocks_of_any_size(
    tmp_path: Path, format_name: str
) -> None:
    length = 60_007
    plan, sound = recording(length), clicks(length)
    seen = {
        hashlib.sha256(written(tmp_path, format_name, plan, sound, block).read_bytes()).hexdigest()
        for block in (length, 24_000, 7_001, 480, 97)
    }
    assert len(seen) == 1
