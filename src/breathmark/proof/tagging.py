"""A file's tags as mutagen reads them, its errors made ours."""

from __future__ import annotations

import importlib
import struct
from pathlib import Path
from typing import Any, Final

from breathmark.proof.decode import UnreadableError

_READERS: Final = {
    ".mp3": ("mutagen.id3", "ID3"),
    ".m4a": ("mutagen.mp4", "MP4"),
    ".opus": ("mutagen.oggopus", "OggOpus"),
    ".flac": ("mutagen.flac", "FLAC"),
}

_DAMAGE: Final = (ValueError, LookupError, ArithmeticError, struct.error, EOFError, TypeError)
"""What the library lets through besides its own errors when a tag is damaged."""


def tagged(path: Path) -> Any:
    """The tag reader for an MP3, M4A, Opus or FLAC file (mutagen has no types).

    Raises :class:`UnreadableError` when there is no tag, or none that can be read.
    """
    mutagen: Any = importlib.import_module("mutagen")
    module, name = _READERS[path.suffix]
    try:
        return getattr(importlib.import_module(module), name)(path)
    except (mutagen.MutagenError, *_DAMAGE) as error:
        raise UnreadableError(f"its tags cannot be read ({error})") from error
