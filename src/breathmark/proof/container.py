"""The findings on what a sound file's container says: its chapters and its tags."""

from __future__ import annotations

from pathlib import Path

from breathmark.proof.chapters import chapter_problems, furthest_ms, read_chapters
from breathmark.proof.check import Check, Finding, finding
from breathmark.proof.decode import SoundFile, UnreadableError
from breathmark.proof.limits import CHAPTER_MS
from breathmark.proof.pictures import picture_problems
from breathmark.proof.tags import read_fields, tag_problems
from breathmark.script.session import Session
from breathmark.units import counted


def chapter_finding(sound: SoundFile, session: Session) -> Finding:
    """Whether both readings of the chapters are the plan's, and their pictures the record's."""
    measured = ""
    due = counted(len(session.blocks), "chapter")
    try:
        readings = read_chapters(sound)
        problems = [*chapter_problems(readings, session), *picture_problems(sound.path, session)]
        counts = "/".join(str(len(reading.chapters)) for reading in readings)
        measured = f"{counts}, {furthest_ms(readings, session):.1f} ms off"
    except UnreadableError as error:
        problems = [f"the chapters cannot be read: {error}"]
    return finding(
        Check.CHAPTERS,
        sound.path.name,
        problems,
        good=f"both readers find {due} in order: {measured} at most",
        measured=measured,
        allowed=f"{due}, {CHAPTER_MS:g} ms",
    )


def tag_finding(path: Path, session: Session) -> Finding:
    """Whether the file's tags say what they may, and nothing else."""
    names: list[str] = []
    try:
        fields = read_fields(path)
        problems = tag_problems(fields, session)
        names = sorted({field.name for field in fields if not field.foreign})
    except UnreadableError as error:
        problems = [f"the tags cannot be read: {error}"]
    except OSError as error:
        problems = [f"the tags cannot be read: {error.strerror}"]
    return finding(
        Check.TAGS,
        path.name,
        problems,
        good=f"the file says {', '.join(names)}, and nothing else",
        measured=counted(len(names), "field"),
        allowed="from the plan",
    )
