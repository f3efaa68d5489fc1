"""What lies inside the files, byte by byte, read here or by mutagen.

Offsets are those of the formats' documents, named at each test; nothing of the writers
takes part.
"""

from __future__ import annotations

import shutil
import struct
import subprocess
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import mutagen
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from breathmark.deliver.audio import Chapter, Recording, Tags, open_writer
from breathmark.deliver.audio.recording import three_letters
from breathmark.problems import Fault
from tests.outside import decode_with_ffmpeg, ffmpeg_binary, ffprobe_chapters

RATE_HZ = 24_000
PLAIN = Tags(title="Hüften")


def png(width: int = 2) -> bytes:
    """A black PNG picture (PNG specification, 5 and 11)."""

    def chunk(name: bytes, body: bytes) -> bytes:
        checked = name + body
        return struct.pack(">I", len(body)) + checked + struct.pack(">I", zlib.crc32(checked))

    head = struct.pack(">IIBBBBB", width, width, 8, 0, 0, 0, 0)
    rows = zlib.compress((b"\0" * (width + 1)) * width)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def jpeg() -> bytes:
    """A black JPEG picture, made by ffmpeg."""
    command = "-v error -f lavfi -i color=black:s=16x16 -frames:v 1 -f image2pipe -c:v mjpeg -"
    return subprocess.run(
        [str(ffmpeg_binary()), *command.split()], capture_output=True, check=True
    ).stdout


def write(
    path: Path,
    length: int,
    *,
    chapters: tuple[Chapter, ...] = (),
    tags: Tags = PLAIN,
    cover: bytes | None = None,
    lyrics: str = "",
    rate_hz: int = RATE_HZ,
) -> bytes:
    """Write noise into `path`, its ending the format, and give the file's bytes."""
    plan = Recording(
        rate_hz=rate_hz, length=length, chapters=chapters, tags=tags, cover=cover, lyrics=lyrics
    )
    sound = np.random.default_rng(3).normal(0, 2_000, length).astype(np.int16)
    with open_writer(path.suffix[1:], path, plan) as writer:
        writer.add(sound)
    return path.read_bytes()


THREE = (
    Chapter(title="Opening", start=0, length=RATE_HZ),
    Chapter(title="Übung mit einem recht langen Namen", start=RATE_HZ, length=36_012),
    Chapter(title="x", start=60_012, length=12_000),
)


# MP3


def after_the_tag(data: bytes) -> bytes:
    """The MPEG frames: what follows the ID3 tag, its size in four times seven bits."""
    assert data[:5] == b"ID3\x03\x00"
    size = sum(byte << shift for byte, shift in zip(data[6:10], (21, 14, 7, 0), strict=True))
    return data[10 + size :]


@pytest.mark.parametrize(("rate_hz", "lame", "frame"), [(24_000, 133, 576), (48_000, 141, 1152)])
@pytest.mark.parametrize("odd", [0, 1, 46, 47, 300])
def test_delay_padding_and_length_add_up_to_whole_frames(
    tmp_path: Path, rate_hz: int, lame: int, frame: int, odd: int
) -> None:
    """The LAME tag of one channel begins at byte 133 (MPEG 2) or 141 (MPEG 1).

    Frames counted in the file itself: each is 144 (72) x bit rate / sample rate long.
    """
    length = 20 * frame + odd
    frames = after_the_tag(write(tmp_path / "x.mp3", length, rate_hz=rate_hz))
    size = frame // 8 * 64_000 // rate_hz
    assert len(frames) % size == 0
    assert all(
        frames[at : at + 2] in (b"\xff\xf3", b"\xff\xfb") for at in range(0, len(frames), size)
    )
    delay_and_padding = int.from_bytes(frames[lame + 21 : lame + 24])
    delay, padding = divmod(delay_and_padding, 1 << 12)
    assert (len(frames) // size - 1) * frame == delay + length + padding
    assert int.from_bytes(frames[lame + 34 : lame + 36]) == arc(frames[: lame + 34])


def arc(data: bytes) -> int:
    """CRC-16/ARC, computed as division of polynomials, bit by bit (0x8005, reflected)."""
    bits = [byte >> shift & 1 for byte in data for shift in range(8)] + [0] * 16
    register = 0
    for bit in bits:
        register = register << 1 | bit
        if register >> 16:
            register ^= 0x1_8005
    return int(f"{register:016b}"[::-1], 2)


def test_the_id3_tag_is_whole_and_in_order(tmp_path: Path) -> None:
    """mutagen reads every frame; the order of the chapters is that of the bytes."""
    path = tmp_path / "x.mp3"
    tags = Tags(title="Hüften", album="R-204", comment="Stop.", language="de", date="2025-03-01")
    data = write(path, 72_012, chapters=THREE, tags=tags, cover=png(), lyrics="Fuß\nvor")
    found: Any = mutagen.File(path).tags
    assert found.version == (2, 3, 0)
    assert found["TIT2"].text == ["Hüften"]
    assert found["TALB"].text == ["R-204"]
    assert found["TLAN"].text == ["deu"]
    assert str(found["TDRC"].text[0]) == "2025-03-01"
    assert found["COMM::deu"].text == ["Stop."]
    assert found["USLT::deu"].text == "Fuß\nvor"
    assert (found["APIC:"].mime, found["APIC:"].type, found["APIC:"].data) == (
        "image/png",
        3,
        png(),
    )
    contents = found["CTOC:toc"]
    assert contents.child_element_ids == ["ch0", "ch1", "ch2"]
    assert contents.flags == 3  # top level, ordered
    chapters = [found[f"CHAP:{name}"] for name in contents.child_element_ids]
    assert [(c.start_time, c.end_time) for c in chapters] == [(0, 1000), (1000, 2501), (2501, 3001)]
    assert [c.sub_frames["TIT2"].text[0] for c in chapters] == [c.title for c in THREE]
    assert data.index(b"CHAP\0") < data.index(b"ch1\0\0\0\x03\xe8") < data.index(b"ch2\0\0\0\x09")


# M4A


def box(data: bytes, *path: bytes) -> bytes:
    """The body of the first box at `path` (ISO/IEC 14496-12, 4.2)."""
    for name in path:
        at = 0
        while data[at + 4 : at + 8] != name:
            at += int.from_bytes(data[at : at + 4])
            assert at < len(data), f"no box {name!r}"
        data = data[at + 8 : at + int.from_bytes(data[at : at + 4])]
    return data


@pytest.mark.parametrize("odd", [0, 1, 500, 1023])
def test_the_edit_list_ends_with_the_last_frame(tmp_path: Path, odd: int) -> None:
    """8.6.6: it plays exactly the samples; nothing is left to be cut off at the end."""
    length = 40 * 1024 + odd
    data = write(tmp_path / "x.m4a", length, chapters=THREE[:1])
    movie = box(data, b"moov")
    assert int.from_bytes(box(movie, b"mvhd")[12:16]) == RATE_HZ
    entries, duration, start = struct.unpack(">III", box(movie, b"trak", b"edts", b"elst")[4:16])
    assert (entries, duration) == (1, length)
    times = box(movie, b"trak", b"mdia", b"minf", b"stbl", b"stts")
    runs = struct.iter_unpack(">II", times[8:])
    assert start + length == sum(count * each for count, each in runs)
    assert (start + length) % 1024 == 0


def test_the_index_comes_first_so_that_phones_start_at_once(tmp_path: Path) -> None:
    data = write(tmp_path / "x.m4a", 30_000, cover=png())
    assert data[4:8] == b"ftyp"
    assert data[8:12] == b"M4A "
    assert data.index(b"moov") < data.index(b"mdat")


def test_m4a_chapters_are_there_for_both_kinds_of_players(tmp_path: Path) -> None:
    """`chpl` counts in 100 ns; a text track is named by the sound track's `chap`."""
    data = write(tmp_path / "x.m4a", 72_012, chapters=THREE)
    movie = box(data, b"moov")
    entries = box(movie, b"udta", b"chpl")
    assert entries[8] == 3
    assert int.from_bytes(entries[9:17]) == 0
    assert entries[17:25] == b"\x07Opening"
    assert int.from_bytes(entries[25:33]) == 10_000_000
    assert box(movie, b"trak", b"tref", b"chap") == b"\0\0\0\x02"


def test_m4a_refuses_less_than_a_frame(tmp_path: Path) -> None:
    with pytest.raises(Fault, match="1024"):
        write(tmp_path / "x.m4a", 1_023)


# Covers


@pytest.mark.parametrize("make", [png, lambda: png(200), jpeg], ids=["png", "larger", "jpeg"])
def test_covers_come_back_from_every_format_that_holds_them(
    tmp_path: Path, make: Callable[[], bytes]
) -> None:
    """And they change neither the chapters nor that the bytes are the same each time."""
    cover = make()
    for name in ("mp3", "m4a", "opus", "flac"):
        path = tmp_path / f"x.{name}"
        data = write(path, 72_012, chapters=THREE, cover=cover)
        assert write(path, 72_012, chapters=THREE, cover=cover) == data
        assert cover_of(path) == cover
        assert [c.title for c in ffprobe_chapters(path)] == [c.title for c in THREE]


@pytest.mark.skipif(shutil.which("ffmpeg") is None, reason="decodes with the system's ffmpeg")
@pytest.mark.parametrize("name", ["mp3", "m4a", "flac"])
def test_a_cover_does_not_change_the_length(tmp_path: Path, name: str) -> None:
    path = tmp_path / f"x.{name}"
    write(path, 30_011, cover=png())
    assert decode_with_ffmpeg(path, RATE_HZ).size == 30_011


def cover_of(path: Path) -> bytes:
    import base64

    from mutagen.flac import Picture

    file: Any = mutagen.File(path)
    if path.suffix == ".mp3":
        data = file.tags["APIC:"].data
    elif path.suffix == ".m4a":
        data = file.tags["covr"][0]
    elif path.suffix == ".flac":
        data = file.pictures[0].data
    else:
        picture: Any = Picture
        data = picture(base64.b64decode(file["metadata_block_picture"][0])).data
    return bytes(data)


def test_a_cover_of_another_kind_is_refused() -> None:
    with pytest.raises(Fault, match="neither PNG nor JPEG"):
        Recording(rate_hz=RATE_HZ, length=9, chapters=(), tags=PLAIN, cover=b"GIF89a")


# Opus, FLAC


@pytest.mark.parametrize("name", ["opus", "flac"])
def test_vorbis_comments_carry_chapters_to_the_millisecond(tmp_path: Path, name: str) -> None:
    path = tmp_path / f"x.{name}"
    write(path, 72_012, chapters=THREE, lyrics="Fuß\nvor")
    found: Any = mutagen.File(path).tags
    assert [found[f"CHAPTER{n:03}"] for n in range(3)] == [
        ["00:00:00.000"], ["00:00:01.000"], ["00:00:02.501"],
    ]  # fmt: skip
    assert [found[f"CHAPTER{n:03}NAME"][0] for n in range(3)] == [c.title for c in THREE]
    assert found["TITLE"] == ["Hüften"]
    assert found["LYRICS"] == ["Fuß\nvor"]


# WAV


def chunks(data: bytes) -> list[tuple[bytes, bytes]]:
    """The chunks of a RIFF body (Multimedia Programming Interface 1.0, chapter 2)."""
    found, at = [], 0
    while at < len(data):
        size = int.from_bytes(data[at + 4 : at + 8], "little")
        found.append((data[at : at + 4], data[at + 8 : at + 8 + size]))
        at += 8 + size + size % 2
    assert at == len(data)
    return found


def test_wav_chunks_are_whole_and_samples_start_at_byte_44(tmp_path: Path) -> None:
    data = write(tmp_path / "x.wav", 72_011, chapters=THREE[:2], tags=Tags(title="odd"))
    assert data[:4] == b"RIFF"
    assert int.from_bytes(data[4:8], "little") == len(data) - 8
    assert data[36:40] == b"data"
    found = chunks(data[12:])
    assert [name for name, _ in found] == [b"fmt ", b"data", b"cue ", b"LIST", b"LIST"]
    cues = found[2][1]
    assert struct.unpack("<I", cues[:4]) == (2,)
    assert struct.unpack("<II4sIII", cues[28:52]) == (2, RATE_HZ, b"data", 0, 0, RATE_HZ)
    labels = [body for name, body in chunks(found[3][1][4:]) if name == b"labl"]
    assert labels == [b"\1\0\0\0Opening\0", b"\2\0\0\0" + THREE[1].title.encode() + b"\0"]
    lengths = [body for name, body in chunks(found[3][1][4:]) if name == b"ltxt"]
    assert struct.unpack("<II4s", lengths[1][:12]) == (2, 36_012, b"rgn ")
    assert found[4][1] == b"INFOINAM\4\0\0\0odd\0ILNG\3\0\0\0en\0\0"


def test_a_wav_beyond_four_gigabytes_is_refused_before_it_is_begun(tmp_path: Path) -> None:
    plan = Recording(rate_hz=48_000, length=1 << 31, chapters=(), tags=PLAIN)
    with pytest.raises(Fault, match="more than a WAV file can hold"):
        open_writer("wav", tmp_path / "x.wav", plan)
    assert not any(tmp_path.iterdir())


# What a recording may say


@pytest.mark.parametrize(
    ("chapters", "message"),
    [
        ((Chapter(title=" ", start=0, length=5),), "no title"),
        ((Chapter(title="a", start=0, length=0),), "is empty"),
        ((Chapter(title="a", start=6, length=5),), "leaves the recording"),
        ((Chapter(title="a", start=-1, length=5),), "overlaps"),
        (
            (Chapter(title="a", start=0, length=5), Chapter(title="b", start=4, length=5)),
            "'b'.*overlaps",
        ),
        ((Chapter(title="a\nb", start=0, length=5),), "line break"),
        ((Chapter(title="a\0", start=0, length=5),), "line break"),
        ((Chapter(title="\ud800", start=0, length=5),), "cannot be shown"),
        ((Chapter(title="日" * 86, start=0, length=5),), "longer than 255 bytes"),
        (tuple(Chapter(title="a", start=0, length=5) for _ in range(256)), "256 chapters"),
    ],
)
def test_chapters_that_files_cannot_hold_are_refused(
    chapters: tuple[Chapter, ...], message: str
) -> None:
    with pytest.raises(Fault, match=message):
        Recording(rate_hz=RATE_HZ, length=10, chapters=chapters, tags=PLAIN)


def test_a_recording_needs_samples_at_a_known_rate() -> None:
    with pytest.raises(Fault, match="24000 or 48000 samples a second, not 44100"):
        Recording(rate_hz=44_100, length=10, chapters=(), tags=PLAIN)
    with pytest.raises(Fault, match="single sample"):
        Recording(rate_hz=RATE_HZ, length=0, chapters=(), tags=PLAIN)


@given(st.text(max_size=12))
def test_a_language_is_three_letters_whatever_is_asked(language: str) -> None:
    code = three_letters(language)
    assert len(code) == 3
    assert code.isascii()
    assert code.islower()
