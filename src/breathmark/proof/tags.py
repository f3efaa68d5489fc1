"""What a sound file says besides the sound, held against what it may say.

A recording is passed on, so it carries the routine's title, its language, the words
that are said and our standing notice, and nothing else: no name, no program's remarks.
"""

from __future__ import annotations

import re
from collections.abc import Container, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from breathmark.deliver.audio.recording import three_letters
from breathmark.deliver.captions import tone_lines
from breathmark.deliver.standing import standing_in
from breathmark.proof import riff
from breathmark.proof.tagging import tagged
from breathmark.proof.words import quoted
from breathmark.script.session import Session

_ID3: Final = {
    "TIT2": "title", "TALB": "album", "COMM": "comment", "TLAN": "language",
    "TDRC": "date", "TYER": "date", "USLT": "lyrics", "APIC": "cover",
    "CTOC": "chapters", "CHAP": "chapters", "TSSE": "encoder", "TRCK": "track",
}  # fmt: skip
_MP4: Final = {
    "©nam": "title", "©alb": "album", "©cmt": "comment", "©day": "date",
    "©lyr": "lyrics", "covr": "cover", "©too": "encoder", "trkn": "track",
}  # fmt: skip
_VORBIS: Final = {
    "title": "title", "album": "album", "description": "comment", "language": "language",
    "date": "date", "lyrics": "lyrics", "metadata_block_picture": "cover", "encoder": "encoder",
    "tracknumber": "track", "tracktotal": "tracks",
}  # fmt: skip
_INFO: Final = {
    "INAM": "title", "IPRD": "album", "ICMT": "comment", "ILNG": "language",
    "ICRD": "date", "ISFT": "encoder", "ITRK": "track",
}  # fmt: skip
_FLAC_BLOCKS: Final = {"StreamInfo", "VCFLACDict", "Padding", "SeekTable", "Picture"}
_TRAILERS: Final = ((128, b"TAG", "an ID3v1 tag"), (32, b"APETAGEX", "an APE tag"))
_DATE: Final = re.compile(r"\d{4}(-\d\d(-\d\d)?)?")
_ENCODER: Final = re.compile(r"La[vm][a-z ]*[\d.]*", re.IGNORECASE)


@dataclass(frozen=True, kw_only=True, slots=True)
class Field:
    """A field of a tag: what it is, by our name or, when foreign, by the file's; its text."""

    name: str
    text: str
    foreign: bool = False


def read_fields(path: Path) -> tuple[Field, ...]:
    """Every field in the tags of a sound file, in no particular order.

    Covers and chapters have no text.  Raises
    :class:`~breathmark.proof.decode.UnreadableError` for tags that cannot be read.
    """
    readers = {".mp3": _id3, ".m4a": _mp4, ".wav": _wav}
    return tuple(readers.get(path.suffix, _vorbis)(path))


@dataclass(frozen=True, kw_only=True, slots=True)
class Place:
    """Where a track stands: in which album, as which ``number`` of ``of``."""

    album: str
    number: int
    of: int

    @property
    def fields(self) -> frozenset[tuple[str, str]]:
        """What a file may say about it; formats differ in how."""
        each, both = str(self.number), f"{self.number}/{self.of}"
        pair = str((self.number, self.of))
        said = {("track", each), ("track", both), ("track", pair), ("tracks", str(self.of))}
        return frozenset({*said, ("album", self.album)})


def tag_problems(
    fields: tuple[Field, ...], session: Session, place: Place | None = None
) -> list[str]:
    """Fields that may not be there, or do not say what the plan says.

    With a ``place`` the file is a track, and ``session`` the part that it plays.
    """
    found = [
        f"the field {field.name} has no business here: it says {quoted(field.text)}"
        for field in fields
        if field.foreign
    ]
    due = ("title", "track", "album") if place else ("title",)
    missing = [name for name in due if all(field.name != name for field in fields)]
    found += [f"the {name} is missing" for name in missing]
    for field in fields:
        if not field.foreign and not _is_due(field, session, place):
            found.append(f"the {field.name} says {quoted(field.text)}, which is not from the plan")
    return found


def _is_due(field: Field, session: Session, place: Place | None) -> bool:
    """Whether a known field says what it may."""
    match field.name:
        case "title":
            return field.text == session.title
        case "album" | "track" | "tracks" if place is not None:
            return (field.name, field.text) in place.fields
        case "track" | "tracks":
            return False
        case "album":  # the routine's title, to which a later week adds its number
            return session.title == field.text or session.title.startswith(f"{field.text}, ")
        case "comment":
            return field.text == standing_in(session.language)
        case "language":
            return three_letters(field.text) == three_letters(session.language)
        case "date":
            return _DATE.fullmatch(field.text) is not None
        case "encoder":
            return _ENCODER.fullmatch(field.text) is not None
        case "lyrics":
            return _sung(field.text, tone_lines(session.language)) == [
                " ".join(line.text.split()) for line in session.spoken
            ]
        case _:
            return True


def _sung(lyrics: str, tones: Container[str]) -> list[str]:
    """The lines of a lyrics text, without times and without the lines of ``tones``."""
    lines = [re.sub(r"^\[[\d:.]+\]", "", line).strip() for line in lyrics.splitlines()]
    return [line for line in lines if line and line not in tones]


def _named(known: Mapping[str, str], name: str, text: str) -> Field:
    return Field(name=known.get(name, name), text=text, foreign=name not in known)


def _id3(path: Path) -> Iterator[Field]:
    tags = tagged(path)
    for frame in tags.values():
        yield from _id3_fields(frame)
        for inner in getattr(frame, "sub_frames", {}).values():
            if inner.FrameID not in {"TIT2", "APIC"}:
                yield Field(name=f"{inner.FrameID} of a chapter", text=str(inner), foreign=True)
    for unknown in tags.unknown_frames:
        yield Field(name="of no known kind", text=repr(unknown[:40]), foreign=True)
    yield from _trailers(path)


def _id3_fields(frame: Any) -> Iterator[Field]:
    silent = frame.FrameID in {"APIC", "CTOC", "CHAP"}
    field = _named(_ID3, frame.FrameID, "" if silent else str(frame))
    if field.foreign:
        yield Field(name=str(frame.HashKey), text=_readable(frame), foreign=True)
        return
    yield field
    if described := getattr(frame, "desc", ""):
        yield Field(name=f"{field.name} description", text=str(described), foreign=True)


def _readable(frame: Any) -> str:
    return str(frame) if hasattr(frame, "text") else repr(frame)


def _trailers(path: Path) -> Iterator[Field]:
    with path.open("rb") as file:
        file.seek(0, 2)
        size = file.tell()
        for length, sign, name in _TRAILERS:
            file.seek(max(0, size - length))
            tail = file.read(length)
            if tail.startswith(sign):
                yield Field(name=name, text=tail.decode("latin-1"), foreign=True)


def _mp4(path: Path) -> Iterator[Field]:
    for name, values in (tagged(path).tags or {}).items():
        for value in values if isinstance(values, list) else [values]:
            yield _named(_MP4, name, "" if name == "covr" else str(value))


def _vorbis(path: Path) -> Iterator[Field]:
    file = tagged(path)
    for name, text in file.tags or []:
        lower = name.lower()
        if re.fullmatch(r"chapter\d{3}(name)?", lower):
            yield Field(name="chapters", text="")
        else:
            yield _named(_VORBIS, lower, "" if lower == "metadata_block_picture" else text)
    for block in getattr(file, "metadata_blocks", []):
        if (kind := type(block).__name__) not in _FLAC_BLOCKS:
            yield Field(name=f"{kind} block", text="", foreign=True)


def _wav(path: Path) -> Iterator[Field]:
    for chunk in riff.chunks(path):
        if chunk.kind == "INFO":
            for name, body in riff.parts(chunk.body):
                yield _named(_INFO, name, riff.text(body))
        elif chunk.kind != "adtl" and chunk.name not in {"fmt ", "data", "cue "}:
            text = riff.text(chunk.body)
            yield Field(name=f"chunk {chunk.name.strip()}", text=text, foreign=True)
