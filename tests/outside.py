"""Judges from outside the project: ffmpeg and ffprobe, asked as programs.

Not one line of Breathmark takes part in what they say.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest

MOST_S = 600
"""A judge that takes longer than this hangs."""


@dataclass(frozen=True, kw_only=True, slots=True)
class ProbedChapter:
    """A chapter as ffprobe reads it; times in milliseconds, exact to the file's own unit."""

    title: str
    start_ms: float
    end_ms: float


def outside_tool(name: str) -> Path:
    """The program ``name``; without it the test is skipped, or fails where CI is set.

    In CI a missing judge is a failure: a check that quietly does not run proves nothing.
    """
    found = shutil.which(name)
    if found is None:
        reason = f"{name} is not installed (it judges the files from outside)"
        if os.environ.get("CI", "").lower() in {"true", "1"}:
            pytest.fail(f"{reason}, and CI requires it", pytrace=False)
        pytest.skip(reason)
    return Path(found)


def ffmpeg_binary() -> Path:
    """The system's ffmpeg, else the one inside the imageio-ffmpeg package."""
    found = shutil.which("ffmpeg")
    if found is not None:
        return Path(found)
    import imageio_ffmpeg

    return Path(imageio_ffmpeg.get_ffmpeg_exe())


def decode_with_ffmpeg(
    path: Path, rate_hz: int, *, binary: Path | None = None
) -> npt.NDArray[np.int16]:
    """Decode ``path`` to mono samples at ``rate_hz``, shape ``(samples,)``.

    Give the file's own rate to count samples; another rate is resampled.
    """
    command = [
        *(str(binary or ffmpeg_binary()), "-nostdin", "-v", "error", "-i", str(path)),
        *("-map", "0:a:0", "-f", "s16le", "-ac", "1", "-ar", str(rate_hz), "-"),
    ]
    return np.frombuffer(_output(command), dtype="<i2").astype(np.int16, copy=False)


def ffprobe_chapters(path: Path) -> tuple[ProbedChapter, ...]:
    """The chapters of ``path``, in the order in which ffprobe lists them."""
    command = [
        *(str(outside_tool("ffprobe")), "-v", "error", "-show_chapters"),
        *("-print_format", "json", str(path)),
    ]
    return tuple(
        ProbedChapter(
            title=chapter.get("tags", {}).get("title", ""),
            start_ms=_chapter_ms(chapter["start"], chapter["time_base"]),
            end_ms=_chapter_ms(chapter["end"], chapter["time_base"]),
        )
        for chapter in json.loads(_output(command))["chapters"]
    )


def ffprobe_tags(path: Path) -> dict[str, str]:
    """The tags of ``path``, of the file and of its audio stream, names in lower case."""
    command = [
        *(str(outside_tool("ffprobe")), "-v", "error", "-show_format", "-show_streams"),
        *("-select_streams", "a", "-print_format", "json", str(path)),
    ]
    said = json.loads(_output(command))
    holders = [*said["streams"], said["format"]]
    return {k.lower(): v for holder in holders for k, v in holder.get("tags", {}).items()}


def _chapter_ms(ticks: int, time_base: str) -> float:
    above, below = map(int, time_base.split("/"))
    return ticks * above * 1000 / below


def _output(command: list[str]) -> bytes:
    done = subprocess.run(command, capture_output=True, timeout=MOST_S, check=False)
    if done.returncode or done.stderr.strip():
        said = done.stderr.decode(errors="replace")
        pytest.fail(f"{Path(command[0]).name} objects ({done.returncode}): {said}", pytrace=False)
    return done.stdout
