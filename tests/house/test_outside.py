"""The judges from outside: exact, and missed loudly where they are required."""

from __future__ import annotations

import subprocess
import wave
from pathlib import Path

import numpy as np
import pytest

from tests.outside import (
    ProbedChapter,
    decode_with_ffmpeg,
    ffmpeg_binary,
    ffprobe_chapters,
    ffprobe_tags,
    outside_tool,
)


@pytest.fixture
def no_programs(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A search path on which nothing lies."""
    monkeypatch.setenv("PATH", str(tmp_path))


@pytest.mark.usefixtures("no_programs")
def test_a_missing_judge_is_a_skip_at_home(monkeypatch: pytest.MonkeyPatch) -> None:
    """A developer without ffprobe can still run the other tests, and reads why."""
    monkeypatch.delenv("CI", raising=False)
    with pytest.raises(pytest.skip.Exception, match="ffprobe is not installed"):
        outside_tool("ffprobe")


@pytest.mark.usefixtures("no_programs")
def test_a_missing_judge_is_a_failure_in_ci(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where everything must be proved, a check that does not run is no pass."""
    monkeypatch.setenv("CI", "true")
    with pytest.raises(pytest.fail.Exception, match="CI requires it"):
        outside_tool("ffprobe")


@pytest.mark.usefixtures("no_programs")
def test_there_is_always_a_decoder() -> None:
    """Without the system's ffmpeg the one in the test extras decodes."""
    assert ffmpeg_binary().is_file()


def test_the_decoder_gives_the_samples_back(tmp_path: Path) -> None:
    """A WAV file comes back sample for sample."""
    samples = np.arange(-500, 501, dtype=np.int16) * 60
    assert np.array_equal(decode_with_ffmpeg(_wav(tmp_path, samples), 24_000), samples)


def test_a_damaged_file_is_a_failure(tmp_path: Path) -> None:
    """What ffmpeg objects to fails the test instead of giving fewer samples."""
    path = tmp_path / "broken.mp3"
    path.write_bytes(b"\xff\xfb" * 50)
    with pytest.raises(pytest.fail.Exception, match="objects"):
        decode_with_ffmpeg(path, 24_000)


def test_chapters_and_tags_are_read_as_written(tmp_path: Path) -> None:
    """ffmpeg writes two chapters and a title; ffprobe's reading comes through unchanged."""
    outside_tool("ffprobe")
    notes = tmp_path / "notes.txt"
    notes.write_text(
        ";FFMETADATA1\ntitle=Steady\n[CHAPTER]\nTIMEBASE=1/1000\nSTART=0\nEND=1250\ntitle=Opening\n"
        "[CHAPTER]\nTIMEBASE=1/1000\nSTART=1250\nEND=2000\ntitle=Heel raises\n"
    )
    out = tmp_path / "out.mp3"
    sound = _wav(tmp_path, np.zeros(48_000, dtype=np.int16))
    subprocess.run(
        [ffmpeg_binary(), "-v", "error", "-i", sound, "-i", notes, "-map_metadata", "1", out],
        check=True,
    )
    assert ffprobe_chapters(out) == (
        ProbedChapter(title="Opening", start_ms=0, end_ms=1250),
        ProbedChapter(title="Heel raises", start_ms=1250, end_ms=2000),
    )
    assert ffprobe_tags(out)["title"] == "Steady"


def _wav(folder: Path, samples: np.ndarray[tuple[int], np.dtype[np.int16]]) -> Path:
    path = folder / "sound.wav"
    with wave.open(str(path), "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(24_000)
        out.writeframes(samples.astype("<i2").tobytes())
    return path
