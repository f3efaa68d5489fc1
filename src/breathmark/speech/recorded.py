"""The clips of a recorded voice on disk, and the index that says which text each one is.

============================= =====================================================
in ``voices/``                what it is
============================= =====================================================
``NAME.yaml``                 the profile, with ``engine: recorded``
``NAME/index.json``           text, file and SHA-256 of every clip; writing it is what
                              puts a recording in place
``NAME/<hash>.wav``           a clip: mono, 16 bits, 48 kHz, named by its content
``NAME/private/``             the same for one patient's lines; its index holds hashes
                              instead of texts, and it asks not to be shared
============================= =====================================================
"""

from __future__ import annotations

import hashlib
import io
import json
import os
import re
import wave
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from breathmark.disk import patiently
from breathmark.problems import Fault, UsageProblem
from breathmark.speech.engines.base import RawSpeech
from breathmark.speech.intake_sound import TAKE_RATE_HZ
from breathmark.speech.profiles import RECORDED, VoiceProfile
from breathmark.speech.sheet import SheetLine, breaths, piece_key
from breathmark.units import duration_text

INDEX_NAME = "index.json"
PRIVATE_NAME = "private"

_FORMAT, _VERSION = "breathmark recorded voice", 1
_CLIP_NAME = re.compile(r"[0-9a-f]{20}\.wav")
_NAME = re.compile(r"[a-z0-9][a-z0-9_-]{0,39}")
_RESERVED = re.compile(r"lexicon|con$|prn$|aux$|nul$|com\d$|lpt\d$")


@dataclass(frozen=True, kw_only=True, slots=True)
class Entry:
    """One clip of the index: its file's name and the SHA-256 of the file's bytes."""

    file: str
    sha256: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Recordings:
    """What is recorded for one voice in ``folder``: entries by text, private ones by hash."""

    folder: Path
    clips: Mapping[str, Entry] = field(default_factory=dict)
    private: Mapping[str, Entry] = field(default_factory=dict)

    def has(self, piece: str) -> bool:
        """Whether a piece of a line (see :func:`~breathmark.speech.sheet.breaths`) is there."""
        return self._found(piece) is not None

    def says(self, line: str) -> bool:
        """Whether every piece of a line is there."""
        pieces = breaths(line)
        return bool(pieces) and all(self.has(piece) for piece in pieces)

    def read(self, piece: str) -> RawSpeech | None:
        """The clip of a piece; ``None`` when it is not there, or not what was recorded."""
        found = self._found(piece)
        if found is None:
            return None
        path, entry = found
        try:
            data = path.read_bytes()
        except OSError:
            return None
        if hashlib.sha256(data).hexdigest() != entry.sha256:
            return None
        return _samples(data)

    def fingerprint(self) -> dict[str, str]:
        """How many clips there are, and one hash over what is not private."""
        digest = hashlib.sha256()
        for text, entry in sorted(self.clips.items()):
            digest.update(f"{text}\0{entry.sha256}\n".encode("utf-8", "surrogatepass"))
        return {"clips": str(len(self.clips)), "clips sha256": digest.hexdigest()}

    def _found(self, piece: str) -> tuple[Path, Entry] | None:
        key = piece_key(piece)
        if (entry := self.clips.get(key)) is not None:
            return self.folder / entry.file, entry
        if (entry := self.private.get(_private_key(key))) is not None:
            return self.folder / PRIVATE_NAME / entry.file, entry
        return None


def require_voice_name(name: str) -> str:
    """The name of a recorded voice, which becomes the name of a file and a folder.

    Raises :class:`~breathmark.problems.UsageProblem` for one that is not fit for that.
    """
    if not _NAME.fullmatch(name) or _RESERVED.match(name):
        raise UsageProblem(
            f"`{name[:40]}` is no name for a voice: take small letters, digits, `-` and `_`, "
            "for example `mine` or `room-2`"
        )
    return name


def load_recordings(folder: Path) -> Recordings:
    """What is recorded in the folder of a voice; nothing when it is not there yet.

    Raises :class:`~breathmark.problems.Fault` for an index that is damaged.
    """
    return Recordings(
        folder=folder,
        clips=_index(folder / INDEX_NAME),
        private=_index(folder / PRIVATE_NAME / INDEX_NAME),
    )


def store_clips(
    folder: Path, clips: Iterable[tuple[SheetLine, NDArray[np.int16]]], *, profile: str
) -> Recordings:
    """Put clips in place for the voice in ``folder``, all of them or none.

    ``profile`` is the text of the profile to be written beside the folder if there is
    none.  Clips are written first, under names of their own; the index, written last,
    brings them in.  Raises :class:`~breathmark.problems.Fault` when the disk refuses.
    """
    before = load_recordings(folder)
    public, private = dict(before.clips), dict(before.private)
    try:
        for line, clip in clips:
            own = folder / PRIVATE_NAME if line.private else folder
            _make_folder(own, private=line.private)
            entry = _write_clip(own, clip)
            if line.private:
                private[_private_key(piece_key(line.text))] = entry
            else:
                public[piece_key(line.text)] = entry
        own_profile = folder.with_name(f"{folder.name}.yaml")
        if not own_profile.exists():
            _write_whole(own_profile, profile.encode())
        if private != before.private:
            _write_whole(folder / PRIVATE_NAME / INDEX_NAME, _index_text(private))
        _write_whole(folder / INDEX_NAME, _index_text(public))
        _clear(folder, public)
        _clear(folder / PRIVATE_NAME, private)
    except OSError as error:
        raise Fault(
            f"the clips cannot be written to {folder}: {error.strerror or error}",
            remedy="Name a folder that you may write to with --voices, and make room there.",
        ) from error
    return Recordings(folder=folder, clips=public, private=private)


def profile_text(name: str, otherwise: VoiceProfile) -> str:
    """A new profile for a recorded voice, falling back to another."""
    return (
        f"about: My own voice, recorded; what lacks is said by {otherwise.name}.\n"
        f"engine: {RECORDED}\n"
        f"language: {otherwise.language}\n"
        f"clips: {name}\n"
        f"otherwise: {otherwise.name}\n"
        f"sentence pause: {duration_text(otherwise.sentence_pause_ms)}\n"
        f"comma pause: {duration_text(otherwise.comma_pause_ms)}\n"
    )


def _private_key(key: str) -> str:
    return hashlib.sha256(b"one patient's line\0" + key.encode()).hexdigest()


def _make_folder(folder: Path, *, private: bool) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    if private:
        folder.chmod(0o700)
        keep_out = folder / ".gitignore"  # so that it is not shared by accident
        if not keep_out.exists():
            _write_whole(keep_out, b"*\n")


def _write_clip(folder: Path, clip: NDArray[np.int16]) -> Entry:
    data = _wav(clip)
    digest = hashlib.sha256(data).hexdigest()
    path = folder / f"{digest[:20]}.wav"
    if not path.exists() or path.read_bytes() != data:
        _write_whole(path, data)
    return Entry(file=path.name, sha256=digest)


def _wav(clip: NDArray[np.int16]) -> bytes:
    sink = io.BytesIO()
    with wave.open(sink, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(TAKE_RATE_HZ)
        file.writeframes(clip.astype("<i2").tobytes())
    return sink.getvalue()


def _samples(data: bytes) -> RawSpeech | None:
    try:
        with wave.open(io.BytesIO(data)) as file:
            rate_hz, frames = file.getframerate(), file.readframes(file.getnframes())
    except (wave.Error, EOFError):
        return None
    return RawSpeech(np.frombuffer(frames, dtype="<i2").astype(np.float32) / 32768.0, rate_hz)


def _write_whole(path: Path, data: bytes) -> None:
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        with part.open("wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        patiently(lambda: part.replace(path))
    finally:
        part.unlink(missing_ok=True)


def _clear(folder: Path, entries: Mapping[str, Entry]) -> None:
    """Remove clips of ours that the index does not name: read again, or never brought in."""
    named = {entry.file for entry in entries.values()}
    for path in folder.glob("*.wav"):
        if _CLIP_NAME.fullmatch(path.name) and path.name not in named:
            with suppress(OSError):  # somebody is listening to it: it goes the next time
                path.unlink(missing_ok=True)


def _index_text(entries: Mapping[str, Entry]) -> bytes:
    clips = {
        key: {"file": entry.file, "sha256": entry.sha256} for key, entry in sorted(entries.items())
    }
    document = {"format": _FORMAT, "version": _VERSION, "clips": clips}
    return (json.dumps(document, indent=1, ensure_ascii=False) + "\n").encode()


def _index(path: Path) -> dict[str, Entry]:
    try:
        data = path.read_bytes()
    except (FileNotFoundError, NotADirectoryError):
        return {}
    except OSError as error:
        raise _damaged(path, error.strerror or "cannot be read") from error
    try:
        document = json.loads(data)
        return {str(key): _entry(value) for key, value in document["clips"].items()}
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        raise _damaged(path, "it is not what Breathmark wrote") from error


def _entry(value: Mapping[str, Any]) -> Entry:
    name, digest = value["file"], value["sha256"]
    if not _CLIP_NAME.fullmatch(name) or not isinstance(digest, str):
        raise ValueError(name)
    return Entry(file=name, sha256=digest)


def _damaged(path: Path, why: str) -> Fault:
    return Fault(
        f"the index of recorded clips {path} is damaged: {why}",
        remedy="Bring it back from a copy, or move the folder away and record anew.",
    )
