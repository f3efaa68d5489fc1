"""Sound files for the tests of the writers, and decoders that share nothing with them.

The judges are the system's ffmpeg, the ffmpeg inside imageio-ffmpeg, libsndfile (with its
own MP3, Opus and FLAC decoders) and the standard library's wave module.  The encoders'
own library is not asked.
"""

from __future__ import annotations

import shutil
import wave
from collections.abc import Callable
from pathlib import Path

import imageio_ffmpeg
import numpy as np
import numpy.typing as npt
import pytest
import soundfile

from breathmark.deliver.audio import FORMATS, Chapter, Recording, Tags, open_writer
from tests.outside import decode_with_ffmpeg, outside_tool

RATE_HZ = 24_000
Samples = npt.NDArray[np.int16]
EACH_FORMAT = pytest.mark.parametrize("format_name", FORMATS)


def clicks(length: int) -> Samples:
    """A quiet tone with bursts of random loudness, so that a shift cannot hide."""
    time = np.arange(length)
    loudness = np.random.default_rng(5).uniform(0, 9_000, length // 1_500 + 1).repeat(1_500)
    bursts = loudness[:length] * (time % 1_500 < 300)
    sound = 500 * np.sin(time * (2 * np.pi * 440 / RATE_HZ))
    sound += bursts * np.sin(time * (2 * np.pi * 1_900 / RATE_HZ))
    samples: Samples = sound.astype(np.int16)
    return samples


def recording(length: int, *, chapters: int = 4, rate_hz: int = RATE_HZ) -> Recording:
    """A recording cut into even chapters, the last a little longer."""
    each = length // max(chapters, 1)
    return Recording(
        rate_hz=rate_hz,
        length=length,
        chapters=tuple(
            Chapter(
                title=f"Übung {index + 1} ✓",
                start=index * each,
                length=each if index < chapters - 1 else length - index * each,
            )
            for index in range(chapters)
        ),
        tags=Tags(title="Steady on your feet", album="R-204", comment="Stop if it hurts."),
        lyrics="[00:00.00]Sit tall.\n[00:01.00]Fuß vor.\n",
    )


def written(
    folder: Path, format_name: str, plan: Recording, sound: Samples, block: int = 5_000
) -> Path:
    """The file that comes out when `sound` is fed in blocks."""
    path = folder / f"out.{format_name}"
    with open_writer(format_name, path, plan) as writer:
        for start in range(0, sound.size, block):
            writer.add(sound[start : start + block])
    return path


def _with_ffmpeg(binary: str, rate_hz: int) -> Callable[[Path], Samples]:
    return lambda path: decode_with_ffmpeg(path, rate_hz, binary=Path(binary))


def _with_libsndfile(path: Path) -> Samples:
    decoded: Samples = soundfile.read(path, dtype="int16")[0]
    return decoded


def _with_wave(path: Path) -> Samples:
    with wave.open(str(path)) as file:
        return np.frombuffer(file.readframes(file.getnframes()), "<i2").astype(np.int16)


def decoders(format_name: str, rate_hz: int) -> dict[str, Callable[[Path], Samples]]:
    """Two independent decoders or more; `rate_hz` is the rate the file plays at."""
    found = {"packaged ffmpeg": _with_ffmpeg(imageio_ffmpeg.get_ffmpeg_exe(), rate_hz)}
    system = shutil.which("ffmpeg")
    if system:
        found["system ffmpeg"] = _with_ffmpeg(system, rate_hz)
    if format_name != "m4a":
        found["libsndfile"] = _with_libsndfile
    if format_name == "wav":
        found["wave"] = _with_wave
    if len(found) < 2:
        outside_tool("ffmpeg")
    return found


def played_rate_hz(format_name: str, rate_hz: int = RATE_HZ) -> int:
    """Opus always plays at 48 kHz (RFC 7845, 5.1)."""
    return 48_000 if format_name == "opus" else rate_hz
