"""The chapters' pictures, found where the formats' documents say by readers not ours."""

from __future__ import annotations

import io
import json
import struct
import subprocess
from pathlib import Path
from typing import Any

import mutagen
import pytest
from PIL import Image

from breathmark.deliver.audio import Chapter, Recording, Tags
from breathmark.deliver.pictures import SMALL_SIDE_PX
from breathmark.problems import Fault
from tests.deliver.paper_cases import coloured
from tests.deliver.test_audio_inside import RATE_HZ, box, png, write
from tests.outside import decode_with_ffmpeg, ffmpeg_binary, ffprobe_chapters, outside_tool

LENGTH = 5 * RATE_HZ + 777


RED, BLUE = coloured("red"), coloured("blue")
CHAPTERS = (
    Chapter(title="Opening", start=0, length=RATE_HZ),
    Chapter(title="Übung", start=RATE_HZ, length=2 * RATE_HZ, picture=RED),
    Chapter(title="Heel raises", start=3 * RATE_HZ, length=RATE_HZ, picture=BLUE),
    Chapter(title="Closing", start=4 * RATE_HZ, length=LENGTH - 4 * RATE_HZ),
)
BARE = tuple(Chapter(title=one.title, start=one.start, length=one.length) for one in CHAPTERS)


def test_each_chapter_of_an_mp3_has_its_picture_inside(tmp_path: Path) -> None:
    """ID3v2 Chapter Frame Addendum, 3.1: an APIC sub-frame; none where there is no picture."""
    path = tmp_path / "x.mp3"
    write(path, LENGTH, chapters=CHAPTERS, cover=png())
    tags: Any = mutagen.File(path).tags
    inside = [tags[f"CHAP:ch{number}"].sub_frames for number in range(4)]
    assert [[one.data for one in frames.getall("APIC")] for frames in inside] == [
        [],
        [RED],
        [BLUE],
        [],
    ]
    assert {one.mime for frames in inside for one in frames.getall("APIC")} == {"image/jpeg"}
    assert [str(frames["TIT2"]) for frames in inside] == [one.title for one in CHAPTERS]
    assert tags["APIC:"].data == png()  # the cover is the whole recording's, as before


@pytest.mark.parametrize("format", ["mp3", "m4a"])
@pytest.mark.parametrize("cover", [None, png(8)])
def test_pictures_change_nothing_else(tmp_path: Path, format: str, cover: bytes | None) -> None:
    """The sound, decoded, and the chapters are those of the file without pictures."""
    with_them, without = tmp_path / f"with.{format}", tmp_path / f"without.{format}"
    write(with_them, LENGTH, chapters=CHAPTERS, cover=cover)
    write(without, LENGTH, chapters=BARE, cover=cover)
    sound = decode_with_ffmpeg(with_them, RATE_HZ)
    assert len(sound) == LENGTH
    assert (sound == decode_with_ffmpeg(without, RATE_HZ)).all()
    assert ffprobe_chapters(with_them) == ffprobe_chapters(without)
    assert len(ffprobe_chapters(with_them)) == 4


@pytest.mark.parametrize("format", ["mp3", "m4a"])
def test_they_are_the_same_every_time(tmp_path: Path, format: str) -> None:
    first = write(tmp_path / f"1.{format}", LENGTH, chapters=CHAPTERS, cover=png())
    assert first == write(tmp_path / f"2.{format}", LENGTH, chapters=CHAPTERS, cover=png())


@pytest.mark.parametrize("format", ["opus", "flac", "wav"])
def test_other_formats_have_no_place_for_them(tmp_path: Path, format: str) -> None:
    """Neither their documents nor common practice name one; the file is as without."""
    with_them = write(tmp_path / f"1.{format}", LENGTH, chapters=CHAPTERS)
    assert with_them == write(tmp_path / f"2.{format}", LENGTH, chapters=BARE)


# M4A


def tracks(data: bytes) -> list[bytes]:
    """The bodies of all `trak` boxes."""
    movie, found, at = box(data, b"moov"), [], 0
    while at < len(movie):
        size = int.from_bytes(movie[at : at + 4])
        if movie[at + 4 : at + 8] == b"trak":
            found.append(movie[at + 8 : at + size])
        at += size
    return found


@pytest.mark.parametrize("cover", [None, png(8)])
def test_an_m4a_names_a_track_of_pictures(tmp_path: Path, cover: bytes | None) -> None:
    """ISO/IEC 14496-12, 8.3.3: the sound names its chapter tracks, titles and pictures."""
    data = write(tmp_path / "x.m4a", LENGTH, chapters=CHAPTERS, cover=cover)
    sound, _titles, shown = tracks(data)
    assert box(sound, b"tref", b"chap") == struct.pack(">II", 2, 3)
    assert box(shown, b"tkhd")[:4] == bytes(4)  # version 0, and not enabled (8.3.2)
    assert box(shown, b"tkhd")[12:16] == struct.pack(">I", 3)
    assert box(data, b"moov", b"mvhd")[-4:] == struct.pack(">I", 4)  # 8.2.2: the next number
    table = (b"mdia", b"minf", b"stbl")
    times = struct.unpack(">8I", box(shown, *table, b"stts")[8:])
    assert times == (1, RATE_HZ, 1, 2 * RATE_HZ, 1, RATE_HZ, 1, LENGTH - 4 * RATE_HZ)
    sizes = struct.unpack(">4I", box(shown, *table, b"stsz")[12:])
    at = int.from_bytes(box(shown, *table, b"stco")[8:])
    pictures = [data[at + sum(sizes[:n]) : at + sum(sizes[: n + 1])] for n in range(4)]
    assert pictures[1:3] == [RED, BLUE]
    assert pictures[0] == pictures[3]
    assert Image.open(io.BytesIO(pictures[0])).size == (SMALL_SIDE_PX, SMALL_SIDE_PX)


def test_ffmpeg_takes_them_for_the_chapters_pictures(tmp_path: Path) -> None:
    """It calls the track timed thumbnails, and gives each picture with its chapter's start."""
    path = tmp_path / "x.m4a"
    write(path, LENGTH, chapters=CHAPTERS, cover=png(8))
    command = [str(outside_tool("ffprobe")), "-v", "error", "-select_streams", "v:0", "-of", "json"]
    command += ["-show_entries", "stream=codec_name:stream_disposition:packet=pts_time"]
    said = json.loads(subprocess.run([*command, str(path)], capture_output=True, check=True).stdout)
    (stream,) = said["streams"]
    assert stream["codec_name"] == "mjpeg"
    assert stream["disposition"]["timed_thumbnails"] == 1
    assert sorted({float(one["pts_time"]) for one in said["packets"]}) == [0, 1, 3, 4]
    command = [str(ffmpeg_binary()), "-v", "error", "-i", str(path), "-map", "0:v:0"]
    command += ["-c", "copy", "-f", "image2pipe", "-"]
    copied = subprocess.run(command, capture_output=True, check=True).stdout
    assert copied.count(RED) == copied.count(BLUE) == 1


def test_a_chapters_picture_must_be_jpeg() -> None:
    """Players of M4A show nothing else; and what is no picture is refused."""
    for odd, said in ((png(), "is no JPEG"), (b"GIF89a", "neither PNG nor JPEG")):
        with pytest.raises(Fault, match=said):
            Recording(
                rate_hz=RATE_HZ,
                length=RATE_HZ,
                chapters=(Chapter(title="One", start=0, length=RATE_HZ, picture=odd),),
                tags=Tags(title="x"),
            )
