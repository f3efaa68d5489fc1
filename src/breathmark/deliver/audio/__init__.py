"""Sound files: one module for each format, imported only when it is chosen.

>>> FORMATS
('mp3', 'm4a', 'opus', 'flac', 'wav')
"""

from __future__ import annotations

import importlib
from pathlib import Path
from typing import Protocol, cast

from breathmark.deliver.audio.recording import (
    MOST_CHAPTERS,
    MOST_TITLE,
    Chapter,
    Recording,
    Tags,
    Writer,
)
from breathmark.problems import Fault

__all__ = [
    "FORMATS",
    "MOST_CHAPTERS",
    "MOST_TITLE",
    "Chapter",
    "Recording",
    "Tags",
    "Writer",
    "open_writer",
]

FORMATS: tuple[str, ...] = ("mp3", "m4a", "opus", "flac", "wav")
"""The formats, the usual one first; each is also the file name's ending."""


class _Format(Protocol):
    def writer(self, path: Path, recording: Recording, bit_rate: int | None) -> Writer: ...


def open_writer(
    format: str, path: Path, recording: Recording, *, bit_rate: int | None = None
) -> Writer:
    """A writer for ``path``; use it in a ``with`` statement and feed it the samples.

    ``format`` is one of :data:`FORMATS`; ``bit_rate`` is bits a second for the
    formats that lose something (the format's default when ``None``) and must be
    ``None`` for FLAC and WAV.  Raises :class:`~breathmark.problems.Fault` for an
    unknown format or a bit rate the format cannot have.
    """
    if format not in FORMATS:
        raise Fault(f"no such sound format: {format}", remedy=f"Choose {', '.join(FORMATS)}.")
    module = importlib.import_module(f"{__name__}.{format}")
    return cast(_Format, module).writer(path, recording, bit_rate)
