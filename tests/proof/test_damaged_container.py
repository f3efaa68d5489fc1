"""The proof can fail: wrong chapters and tags are found in every format."""

from __future__ import annotations

import importlib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from breathmark.deliver.audio import FORMATS, Chapter
from breathmark.proof.check import Check
from breathmark.proof.verify import verify_folder
from tests.plan_sessions import RATE_HZ
from tests.proof.results import (
    NAME,
    Result,
    brief_session,
    failed,
    planned_chapters,
    planned_tags,
)


def chapter(number: int, **fields: Any) -> tuple[Chapter, ...]:
    listed = list(planned_chapters(brief_session()))
    listed[number] = replace(listed[number], **fields)
    return tuple(listed)


def later(by_ms: int) -> tuple[Chapter, ...]:
    """The third chapter begins later, and the second lasts as much longer."""
    one, two, three, four = planned_chapters(brief_session())
    by = by_ms * RATE_HZ // 1000
    return (
        one,
        replace(two, length=two.length + by),
        replace(three, start=three.start + by, length=three.length - by),
        four,
    )


def swapped_titles() -> tuple[Chapter, ...]:
    one, two, three, four = planned_chapters(brief_session())
    return one, replace(two, title=three.title), replace(three, title=two.title), four


CHAPTERS: dict[str, Callable[[], tuple[Chapter, ...]]] = {
    "5 ms late": lambda: later(5),
    "5 ms early": lambda: later(-5),
    "renamed": lambda: chapter(2, title="Heels and toes"),
    "the last one missing": lambda: planned_chapters(brief_session())[:-1],
    "none": lambda: (),
    "out of order": swapped_titles,
}


@pytest.mark.parametrize("damage", CHAPTERS)
@pytest.mark.parametrize("format", FORMATS)
def test_damaged_chapters_are_found(format: str, damage: str, tmp_path: Path) -> None:
    """Chapters that differ from the plan's are found in every format."""
    folder = Result(chapters=CHAPTERS[damage](), formats=(format,)).written(tmp_path)
    assert failed(verify_folder(folder)) == {Check.CHAPTERS}


def test_a_wrong_table_of_contents_is_found(tmp_path: Path) -> None:
    """MP3: the frames are right, but the order that players follow is not."""

    def swap(folder: Path) -> None:
        path = folder / f"{NAME}.mp3"
        data = path.read_bytes()
        assert data.count(b"ch1\0ch2\0") == 1
        path.write_bytes(data.replace(b"ch1\0ch2\0", b"ch2\0ch1\0"))

    report = verify_folder(Result(after=swap).written(tmp_path))
    assert failed(report) == {Check.CHAPTERS}
    assert "the table of contents" in report.failed[0].detail


def named_mp3(path: Path) -> None:
    """Put an artist's frame in front of the others (the library would reorder chapters)."""
    data = path.read_bytes()
    frame = b"TPE1" + (9).to_bytes(4) + bytes(3) + b"somebody"
    size = len(frame) + sum(
        part << shift for part, shift in zip(data[6:10], (21, 14, 7, 0), strict=True)
    )
    sevens = bytes(size >> shift & 0x7F for shift in (21, 14, 7, 0))
    path.write_bytes(data[:6] + sevens + frame + data[10:])


def named_elsewhere(path: Path) -> None:
    """M4A, Opus, FLAC: through the library's own way to add a field."""
    file = importlib.import_module("mutagen").File(path)
    file["©ART" if path.suffix == ".m4a" else "patient"] = ["somebody"]
    file.save()


def named_wav(path: Path) -> None:
    data = path.read_bytes() + b"id3 \x08\0\0\0somebody"
    path.write_bytes(data[:4] + (len(data) - 8).to_bytes(4, "little") + data[8:])


NAMED = {"mp3": named_mp3, "wav": named_wav}


@pytest.mark.parametrize("format", FORMATS)
def test_a_name_in_the_tags_is_found(format: str, tmp_path: Path) -> None:
    """A field that nobody planned is found, and what it says is said."""
    folder = Result(
        formats=(format,),
        after=lambda at: NAMED.get(format, named_elsewhere)(at / f"{NAME}.{format}"),
    ).written(tmp_path)
    report = verify_folder(folder)
    assert failed(report) == {Check.TAGS}
    assert "somebody" in report.failed[0].detail


@pytest.mark.parametrize("format", FORMATS)
@pytest.mark.parametrize("field", ["title", "album", "comment"])
def test_other_words_in_a_known_field_are_found(field: str, format: str, tmp_path: Path) -> None:
    """A field that may be there says what the plan says, and not somebody's name."""
    spoilt: dict[str, Any] = {field: "For somebody"}
    tags = replace(planned_tags(brief_session()), **spoilt)
    folder = Result(tags=tags, formats=(format,)).written(tmp_path)
    assert failed(verify_folder(folder)) == {Check.TAGS}


@pytest.mark.parametrize("format", ["mp3", "m4a", "opus", "flac"])
def test_other_lyrics_are_found(format: str, tmp_path: Path) -> None:
    """The words in the lyrics are the words that are said."""
    folder = Result(lyrics="[00:01.00]Sit down.\n", formats=(format,)).written(tmp_path)
    assert failed(verify_folder(folder)) == {Check.TAGS}


OLD_TAGS = {
    "ID3v1": b"TAG" + b"somebody".ljust(125, b"\0"),
    "APE": b"APETAGEX" + (2000).to_bytes(4, "little") + bytes(20),
}


@pytest.mark.parametrize("kind", OLD_TAGS)
def test_an_old_tag_at_the_end_is_found(kind: str, tmp_path: Path) -> None:
    """MP3: a tag of an older kind, which holds an artist's name, may hang on the end."""

    def add(folder: Path) -> None:
        with (folder / f"{NAME}.mp3").open("ab") as file:
            file.write(OLD_TAGS[kind])

    report = verify_folder(Result(after=add).written(tmp_path))
    assert failed(report) == {Check.TAGS}
    assert kind in report.failed[0].detail
