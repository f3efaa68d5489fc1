"""A clinician's recording, whatever its format, as one stream of samples.

PyAV decodes.  Rumble below the voice is taken away; nothing else is changed.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from breathmark.problems import BreathmarkError
from breathmark.speech.rumble import without_rumble

TAKE_RATE_HZ = 48_000
"""The rate at which recordings are taken in and kept."""

LONGEST_S = 40 * 60
"""The longest recording taken in at once; a longer one is better read in two parts."""

OPPOSED_DB = 20.0
"""Two channels whose sum is this far below the louder of them cancel each other: a cable or a
setting turned one of them round.  The louder one is taken by itself then."""

SOUND_ENDINGS = frozenset(
    {".wav", ".mp3", ".m4a", ".mp4", ".aac", ".ogg", ".oga", ".opus", ".flac", ".aif", ".aiff",
     ".wma", ".webm", ".caf", ".amr", ".3gp", ".mka", ".mov"}
)  # fmt: skip
"""Files of a folder that are taken for sound."""


class RecordingProblem(BreathmarkError):
    """A recording that cannot be used as it is (exit status 1); nothing was stored."""

    exit_status = 1


@dataclass(frozen=True, slots=True, eq=False)
class Heard:
    """A decoded file: mono samples in -1 to 1 at :data:`TAKE_RATE_HZ`."""

    path: Path
    samples: NDArray[np.float32]


def sound_files(source: Path) -> tuple[Path, ...]:
    """The file itself, or the sound files of a folder in the order of their names.

    Numbers in names count as numbers: ``2.wav`` comes before ``10.wav``.  Raises
    :class:`RecordingProblem` when there is nothing there.
    """
    if source.is_file():
        return (source,)
    if not source.is_dir():
        raise RecordingProblem(f"there is no file or folder {source}")
    found = [
        path
        for path in source.iterdir()
        if path.suffix.lower() in SOUND_ENDINGS and not path.name.startswith(".")
    ]
    if not found:
        raise RecordingProblem(f"there is no sound file in the folder {source}")
    return tuple(sorted(found, key=lambda path: _natural(path.name)))


def hear_files(paths: Sequence[Path]) -> list[Heard]:
    """Decode files; raises :class:`RecordingProblem` with all that is wrong with any."""
    heard: list[Heard] = []
    wrong: list[str] = []
    for path in paths:
        try:
            heard.append(hear_file(path))
        except RecordingProblem as problem:
            wrong.append(str(problem))
    if wrong:
        raise RecordingProblem("\n".join(wrong))
    return heard


def _natural(name: str) -> list[tuple[int, str]]:
    parts = re.findall(r"\d+|\D+", name.casefold())
    return [(int(part), "") if part.isdecimal() else (-1, part) for part in parts]


def hear_file(path: Path) -> Heard:
    """Decode a file.

    Raises :class:`RecordingProblem` for what is no sound, and for more than
    :data:`LONGEST_S`.
    """
    import av

    try:
        if not path.stat().st_size:
            raise RecordingProblem(f"{path.name} is empty")
        parts = _mixed(path)
    except (av.FFmpegError, OSError, IndexError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "it is damaged"
        raise RecordingProblem(
            f"{path.name} cannot be played: {reason}. Export it as WAV, MP3 or M4A."
        ) from error
    if not parts:
        raise RecordingProblem(f"there is no sound in {path.name}")
    return Heard(path, without_rumble(np.concatenate(parts), TAKE_RATE_HZ))


def _mixed(path: Path) -> list[NDArray[np.float32]]:
    """The mean of a file's channels, or the louder one where they cancel each other."""
    parts: list[NDArray[np.float32]] = []
    powers = np.zeros(3)  # of the mean, and of the first and the last channel
    for block in _decoded(path):
        parts.append(block.mean(axis=1))
        powers += [np.vdot(one, one) for one in (parts[-1], block[:, 0], block[:, -1])]
    mean, *each = powers
    if mean >= max(each) * 10 ** (-OPPOSED_DB / 10):
        return parts
    louder = -int(np.argmax(each))
    return [block[:, louder] for block in _decoded(path)]


def _decoded(path: Path) -> Iterator[NDArray[np.float32]]:
    """A file in blocks of samples, with a column for each of one or two channels."""
    import av

    length = 0
    whole = str(path.resolve())  # `day 1: morning.m4a` would be taken for a protocol
    with av.open(whole, mode="r", metadata_errors="replace") as file:
        known = [stream for stream in file.streams.audio if stream.codec_context is not None]
        if not known:
            return
        stream = known[0]
        layout = "mono" if stream.codec_context.channels == 1 else "stereo"
        resampler = av.AudioResampler(format="flt", layout=layout, rate=TAKE_RATE_HZ)
        for frame in itertools.chain(file.decode(stream), [None]):  # at last, what it holds back
            for part in resampler.resample(frame):
                block = part.to_ndarray().reshape(part.samples, -1).astype(np.float32)
                length += len(block)
                if length > LONGEST_S * TAKE_RATE_HZ:
                    raise RecordingProblem(
                        f"{path.name} is longer than {LONGEST_S // 60} minutes. "
                        "Read the sheet in two parts."
                    )
                yield np.nan_to_num(block)
