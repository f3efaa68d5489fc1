"""Chapters, read from each file by two readers that share no code with each other.

==== ====================== ==========================================
file through PyAV           and again
==== ====================== ==========================================
mp3  CHAP frames, as they   through mutagen, in the order of the table
     stand in the file      of contents (CTOC)
m4a  the QuickTime track    through mutagen, from the `chpl` box
opus CHAPTERnnn comments    through mutagen
flac CHAPTERnnn comments    through mutagen
wav  cue points and labels  by :mod:`breathmark.proof.riff`
==== ====================== ==========================================

A player relies on one or the other, so both must say what the plan says.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from breathmark.proof import riff
from breathmark.proof.decode import SoundFile, UnreadableError, opened
from breathmark.proof.limits import CHAPTER_MS
from breathmark.proof.tagging import tagged
from breathmark.proof.words import clock_ms, quoted
from breathmark.script.session import Session
from breathmark.units import counted

_KEEP_ENDS: Final = {".mp3", ".m4a"}
"""In the other formats a chapter has a start only; its end is the reader's guess."""


@dataclass(frozen=True, kw_only=True, slots=True)
class ReadChapter:
    """A chapter as a file has it; ``end_ms`` is ``None`` where only starts are kept."""

    title: str
    start_ms: float
    end_ms: float | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Reading:
    """The chapters of a file as one reader lists them."""

    where: str
    chapters: tuple[ReadChapter, ...]


def read_chapters(sound: SoundFile) -> tuple[Reading, ...]:
    """The chapters as each reader lists them; raises :class:`UnreadableError`."""
    path = sound.path
    container = Reading(where="the container", chapters=_by_container(path))
    match path.suffix:
        case ".mp3":
            where, found = "the table of contents", _by_contents(path)
        case ".m4a":
            where, found = "the `chpl` box", _by_chpl(path)
        case ".wav":
            where, found = "the cue points", _by_cues(path, sound.rate_hz)
        case _:
            where, found = "the comments", _by_comments(path)
    return container, Reading(where=where, chapters=tuple(found))


def chapter_problems(readings: Iterable[Reading], session: Session) -> list[str]:
    """How the chapters read differ from the blocks of the plan."""
    wanted = tuple(
        ReadChapter(
            title=block.title,
            start_ms=block.start * 1000 / session.rate_hz,
            end_ms=block.end * 1000 / session.rate_hz,
        )
        for block in session.blocks
    )
    return [problem for reading in readings for problem in _differences(reading, wanted)]


def furthest_ms(readings: Iterable[Reading], session: Session) -> float:
    """The most by which a chapter's start is off; 0 without chapters."""
    starts = [block.start * 1000 / session.rate_hz for block in session.blocks]
    return max(
        (
            abs(chapter.start_ms - start)
            for reading in readings
            for chapter, start in zip(reading.chapters, starts, strict=False)
        ),
        default=0.0,
    )


def _differences(reading: Reading, wanted: tuple[ReadChapter, ...]) -> list[str]:
    found = []
    if len(reading.chapters) != len(wanted):
        count = counted(len(reading.chapters), "chapter")
        found.append(f"{reading.where} has {count} where the plan has {len(wanted)}")
    pairs = zip(reading.chapters, wanted, strict=False)
    for number, (chapter, due) in enumerate(pairs, 1):
        named = f"chapter {number} in {reading.where}"
        if chapter.title != due.title:
            found.append(f"{named} is {quoted(chapter.title)}, not {quoted(due.title)}")
        if abs(chapter.start_ms - due.start_ms) > CHAPTER_MS:
            found.append(f"{named} {_off('starts', chapter.start_ms, due.start_ms)}")
        if chapter.end_ms is None or due.end_ms is None:
            continue
        if abs(chapter.end_ms - due.end_ms) > CHAPTER_MS:
            found.append(f"{named} {_off('ends', chapter.end_ms, due.end_ms)}")
    return found


def _off(verb: str, read_ms: float, due_ms: float) -> str:
    return f"{verb} at {clock_ms(read_ms)}, {read_ms - due_ms:+.1f} ms from its place"


def _by_container(path: Path) -> tuple[ReadChapter, ...]:
    with opened(path) as container:
        listed = container.chapters()
    units_ms = [(chapter["time_base"] or 0) * 1000 for chapter in listed]
    return tuple(
        ReadChapter(
            title=chapter["metadata"].get("title", ""),
            start_ms=float(chapter["start"] * unit_ms),
            end_ms=float(chapter["end"] * unit_ms) if path.suffix in _KEEP_ENDS else None,
        )
        for chapter, unit_ms in zip(listed, units_ms, strict=True)
    )


def _by_contents(path: Path) -> list[ReadChapter]:
    """The chapters of an ID3 tag in the order of its table of contents."""
    tags = tagged(path)
    tables = tags.getall("CTOC")
    if not tables:
        return []
    frames = {frame.element_id: frame for frame in tags.getall("CHAP")}
    listed = [frames[name] for name in tables[0].child_element_ids if name in frames]
    return [
        ReadChapter(
            title=" ".join(str(title) for title in frame.sub_frames.getall("TIT2")),
            start_ms=float(frame.start_time),
            end_ms=float(frame.end_time),
        )
        for frame in listed
    ]


def _by_chpl(path: Path) -> list[ReadChapter]:
    listed = tagged(path).chapters or ()
    return [ReadChapter(title=one.title, start_ms=one.start * 1000) for one in listed]


def _by_comments(path: Path) -> list[ReadChapter]:
    """Chapters as Vorbis comments (Xiph.Org wiki, "Chapter Extension")."""
    lower = {name.lower(): text for name, text in reversed(tagged(path).tags or [])}
    numbers = sorted(name for name in lower if re.fullmatch(r"chapter\d{3}", name))
    return [
        ReadChapter(title=lower.get(f"{name}name", ""), start_ms=_clock_ms(lower[name]))
        for name in numbers
    ]


def _clock_ms(text: str) -> float:
    match = re.fullmatch(r"(\d{2,}):([0-5]\d):([0-5]\d)\.(\d{3})", text)
    if match is None:
        raise UnreadableError(f"a chapter's time is written as {quoted(text)}")
    hours, minutes, secs, thousandths = map(int, match.groups())
    return float(((hours * 60 + minutes) * 60 + secs) * 1000 + thousandths)


def _by_cues(path: Path, rate_hz: int) -> list[ReadChapter]:
    points = riff.cue_points(riff.chunks(path))
    return [ReadChapter(title=title, start_ms=at * 1000 / rate_hz) for at, title in points]
