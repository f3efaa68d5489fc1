"""Chapters and tags are read back, by ffprobe, as they were handed in."""

from __future__ import annotations

from pathlib import Path

import pytest

from breathmark.deliver.audio import Chapter, Recording, Tags
from tests.deliver.sound_files import EACH_FORMAT, RATE_HZ, clicks, recording, written
from tests.outside import ffprobe_chapters, ffprobe_tags


@EACH_FORMAT
@pytest.mark.parametrize("count", [1, 4, 255])
def test_chapters_are_read_in_order_at_their_times(
    tmp_path: Path, format_name: str, count: int
) -> None:
    plan = recording(255 * 240 + 7, chapters=count)
    path = written(tmp_path, format_name, plan, clicks(plan.length))
    found = ffprobe_chapters(path)
    assert [chapter.title for chapter in found] == [chapter.title for chapter in plan.chapters]
    for read, planned in zip(found, plan.chapters, strict=True):
        assert read.start_ms == pytest.approx(planned.start / 24, abs=1)
    for read, planned in zip(found[:-1], plan.chapters, strict=False):
        assert read.end_ms == pytest.approx(planned.end / 24, abs=1)
    # Ogg has no ends; ffprobe takes the file's duration, which is before trimming.
    assert found[-1].end_ms == pytest.approx(plan.length / 24, abs=30)


TITLES = (
    "x",
    "a" * 255,
    "日" * 85,
    "مقعد ثابت",
    'Wadenheben — links & rechts; \\ = # "q" <b>',
    "🦵 stretch",
    "e\u0301",
)


@EACH_FORMAT
def test_titles_of_any_script_and_length_come_back_whole(tmp_path: Path, format_name: str) -> None:
    chapters = tuple(
        Chapter(title=title, start=index * 4_800, length=4_800)
        for index, title in enumerate(TITLES)
    )
    plan = Recording(
        rate_hz=RATE_HZ, length=4_800 * len(TITLES), chapters=chapters, tags=Tags(title=TITLES[4])
    )
    path = written(tmp_path, format_name, plan, clicks(plan.length))
    assert tuple(chapter.title for chapter in ffprobe_chapters(path)) == TITLES
    assert ffprobe_tags(path)["title"] == TITLES[4]


@EACH_FORMAT
def test_a_recording_may_have_no_chapters(tmp_path: Path, format_name: str) -> None:
    path = written(tmp_path, format_name, recording(24_000, chapters=0), clicks(24_000))
    assert ffprobe_chapters(path) == ()


@EACH_FORMAT
def test_the_tags_hold_what_was_handed_in_and_nothing_else(
    tmp_path: Path, format_name: str
) -> None:
    path = written(tmp_path, format_name, recording(24_000), clicks(24_000))
    tags = ffprobe_tags(path)
    assert tags["title"] == "Steady on your feet"
    assert tags["album"] == "R-204"
    assert tags.get("comment", tags.get("description")) == "Stop if it hurts."
    known = {"title", "album", "comment", "description", "language"}
    of_the_container = {"major_brand", "minor_version", "compatible_brands", "handler_name",
                        "vendor_id", "encoder"}  # fmt: skip
    lyrics = {name for name in tags if name.startswith("lyrics")}
    chapters = {name for name in tags if name.startswith("chapter")}
    assert set(tags) <= known | of_the_container | lyrics | chapters
    assert len(lyrics) == (format_name != "wav")
    for name in lyrics:
        assert tags[name].splitlines() == ["[00:00.00]Sit tall.", "[00:01.00]Fuß vor."]
