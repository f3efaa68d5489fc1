"""One file a chapter: cut at the sample, together the session, by outside decoders."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import mutagen
import numpy as np
import pytest

from breathmark.deliver.audio import FORMATS
from breathmark.deliver.captions import captions_text
from breathmark.deliver.tracks import (
    FOLDER_NAME,
    TrackSplitter,
    playlist_text,
    track_session,
    tracks_of,
)
from breathmark.problems import Fault
from breathmark.proof.tracks import read_playlist
from breathmark.script.session import Activity, Block, Session, Sounded, Span, Tone
from tests.deliver.paper_cases import coloured
from tests.deliver.sound_files import EACH_FORMAT, Samples, clicks, decoders, played_rate_hz
from tests.outside import ffprobe_tags
from tests.plan_sessions import RATE_HZ, many_exercises, twelve_minutes


def bare(*lengths: int, titles: tuple[str, ...] = ()) -> Session:
    """A session of silent chapters with these lengths in samples."""
    names = titles or tuple(f"Part {number}" for number in range(1, len(lengths) + 1))
    blocks, at = [], 0
    for title, length in zip(names, lengths, strict=True):
        span = Span(start=at, length=length, activity=Activity.PAUSE, doing="wait")
        blocks.append(Block(start=at, length=length, title=title, spans=(span,)))
        at += length
    return replace(
        many_exercises(1), title="Füße & Knie", blocks=tuple(blocks), events=(), length=at
    )


def cut(session: Session, folder: Path, format_name: str, sound: Samples, block: int) -> list[Path]:
    """The tracks that come out when the sound is fed in blocks, in the order of their names."""
    with TrackSplitter(session, folder, format_name) as splitter:
        for start in range(0, sound.size, block):
            splitter.add(sound[start : start + block])
    return sorted(folder.glob(f"*.{format_name}"))


@EACH_FORMAT
def test_each_track_has_its_chapters_samples_and_all_have_the_sessions(
    tmp_path: Path, format_name: str
) -> None:
    """Odd lengths, and every residue class that MP3's muxer gets wrong, in two decoders."""
    lengths = (24_000, 24_001, 2 * 24_000 + 46, 31_337, 576 * 50 + 1, 1024 * 40 + 7, 60_007)
    session = bare(*lengths)
    paths = cut(session, tmp_path, format_name, clicks(session.length), 7_001)
    rate_hz = played_rate_hz(format_name)
    scale = rate_hz // RATE_HZ
    for name, decode in decoders(format_name, rate_hz).items():
        counts = [decode(path).size for path in paths]
        assert counts == [length * scale for length in lengths], name
        assert sum(counts) == session.length * scale


def test_one_after_the_other_they_are_the_recording(tmp_path: Path) -> None:
    """Where nothing is lost, the tracks joined by another decoder are the stream, bit for bit."""
    session = bare(30_000, 24_017, 48_111)
    sound = np.random.default_rng(3).integers(-32_768, 32_768, session.length).astype(np.int16)
    paths = cut(session, tmp_path, "flac", sound, 4_096)
    for name, decode in decoders("flac", RATE_HZ).items():
        assert np.array_equal(np.concatenate([decode(path) for path in paths]), sound), name


@pytest.mark.parametrize("block", [1, 977, 24_000, 10**9])
def test_blocks_of_any_size_give_the_same_bytes(tmp_path: Path, block: int) -> None:
    """Fed a sample at a time or all at once."""
    session = bare(24_000, 24_500)
    sound = clicks(session.length)
    usual = cut(session, tmp_path / "usual", "wav", sound, 5_000)
    found = cut(session, tmp_path / "other", "wav", sound, block)
    assert [path.read_bytes() for path in found] == [path.read_bytes() for path in usual]


@pytest.mark.parametrize(
    ("lengths", "joined"),
    [
        ((1, 48_000), [("Part 2", 48_001)]),
        ((48_000, 1), [("Part 1", 48_001)]),
        ((48_000, 1000, 48_000), [("Part 1", 48_000), ("Part 3", 49_000)]),
        ((30_000, 0, 30_000, 0), [("Part 1", 30_000), ("Part 3", 30_000)]),
        ((9, 9), [("Füße & Knie", 18)]),
        ((20_000, 20_000, 24_000), [("Part 2", 40_000), ("Part 3", 24_000)]),
        ((24_000, 24_000), [("Part 1", 24_000), ("Part 2", 24_000)]),
    ],
)
def test_a_chapter_too_short_for_a_file_goes_with_its_neighbour(
    lengths: tuple[int, ...], joined: list[tuple[str, int]]
) -> None:
    """A second is the least, and not a sample is lost."""
    tracks = tracks_of(bare(*lengths))
    assert [(track.title, track.length) for track in tracks] == joined
    assert sum(track.length for track in tracks) == sum(lengths)


@EACH_FORMAT
def test_a_second_is_enough_for_every_format(tmp_path: Path, format_name: str) -> None:
    session = bare(24_000, 23_999)
    paths = cut(session, tmp_path, format_name, clicks(session.length), 1_000)
    scale = played_rate_hz(format_name) // RATE_HZ
    for decode in decoders(format_name, played_rate_hz(format_name)).values():
        assert [decode(path).size for path in paths] == [47_999 * scale]


# Microsoft, "FAT: General Overview of On-Disk Format" (long names): these are not allowed.
NOT_ON_FAT = set('"*/:<>?\\|') | {chr(code) for code in range(32)}


def test_names_sort_as_they_are_heard_and_are_legal_on_fat() -> None:
    """Numbers first, with zeros; none of the characters that FAT forbids; no two alike."""
    titles = ("CON", "Füße: hoch?", "a/b\\c", "Übung · 2", "腕を上げる", "CON")
    names = [track.name for track in tracks_of(bare(*[30_000] * 6, titles=titles))]
    assert names[:4] == ["01-con-1", "02-fusse-hoch", "03-a-b-c", "04-ubung-2"]
    assert len({name.casefold() for name in names}) == 6
    for name in names:
        assert not NOT_ON_FAT & set(name)
        assert not name.endswith((" ", "."))
        assert len(f"{name}.flac") <= 255
    many = [track.name for track in tracks_of(bare(*[24_000] * 120))]
    assert many == sorted(many)
    assert (many[0], many[-1]) == ("001-part-1", "120-part-120")


@EACH_FORMAT
def test_an_outside_program_reads_the_tags(tmp_path: Path, format_name: str) -> None:
    """Title, album, number and how many, in each format's own way."""
    session = bare(24_000, 24_000, 24_000, titles=("Öffnen", "Toes & heels", "Closing"))
    paths = cut(session, tmp_path, format_name, clicks(session.length), 24_000)
    for number, path in enumerate(paths, 1):
        tags = ffprobe_tags(path)
        assert tags["title"] == ("Öffnen", "Toes & heels", "Closing")[number - 1]
        assert tags["album"] == "Füße & Knie"
        assert tags["track"].split("/")[0] == str(number)
        total = tags["track"].partition("/")[2] or tags["tracktotal"]
        assert total == "3"


def test_the_playlist_is_plain_extended_m3u() -> None:
    """RFC 8216, 4.1: UTF-8 without a mark, lines end alike; names alone; whole seconds."""
    session = bare(24_000, 36_001, titles=("Öffnen, bitte", "Toes"))
    assert playlist_text(session) == (
        "#EXTM3U\r\n"
        "#EXTINF:1,Öffnen, bitte\r\n01-offnen-bitte.mp3\r\n"
        "#EXTINF:2,Toes\r\n02-toes.mp3\r\n"
    )
    assert [entry.title for entry in read_playlist(playlist_text(session))] == [
        "Öffnen, bitte",
        "Toes",
    ]


def test_the_words_of_a_track_are_its_chapters_at_its_own_times() -> None:
    """The lyrics of the tracks hold every line of the session once, counted from zero."""
    session = twelve_minutes()
    parts = [track_session(session, track) for track in tracks_of(session)]
    assert [line.text for part in parts for line in part.spoken] == [
        line.text for line in session.spoken
    ]
    assert sum(part.length for part in parts) == session.length
    assert captions_text(parts[1]).startswith("[00:00.80]Next, standing calf stretch.\n")


def test_a_line_that_begins_with_its_chapter_belongs_to_it() -> None:
    """The first sample of a chapter is its own, and the end tone of the one before, too."""
    tone = Sounded(start=24_000, length=14_400, tone=Tone.END)
    session = replace(bare(24_000, 48_000), events=(tone,))
    first, second = (track_session(session, track) for track in tracks_of(session))
    assert (first.events, second.events) == ((), (replace(tone, start=0),))


@pytest.mark.parametrize("format_name", FORMATS)
def test_too_few_or_too_many_samples_leave_nothing(tmp_path: Path, format_name: str) -> None:
    """More is refused at once, less at the end; then no track stays."""
    session = bare(24_000, 24_000)
    sound = clicks(session.length)
    for wrong in (sound[:-1], sound[:30_000], sound[:24_000], np.append(sound, sound[:1])):
        with (
            pytest.raises(Fault, match="samples were promised"),
            TrackSplitter(session, tmp_path / FOLDER_NAME, format_name) as splitter,
        ):
            splitter.add(wrong)
        assert list((tmp_path / FOLDER_NAME).iterdir()) == []


def stop_after(splitter: TrackSplitter, sound: Samples) -> None:
    """What happens when a person stops the build."""
    splitter.add(sound)
    raise KeyboardInterrupt


def test_a_build_that_stops_leaves_nothing(tmp_path: Path) -> None:
    """An error in the with block takes finished tracks away, too."""
    session = bare(24_000, 24_000)
    splitter = TrackSplitter(session, tmp_path / FOLDER_NAME)
    with pytest.raises(KeyboardInterrupt), splitter:
        stop_after(splitter, clicks(30_000))
    assert list((tmp_path / FOLDER_NAME).iterdir()) == []


def test_a_folder_that_cannot_be_made_is_said(tmp_path: Path) -> None:
    """A file is in the way."""
    (tmp_path / FOLDER_NAME).write_text("mine")
    with (
        pytest.raises(Fault, match="cannot be made"),
        TrackSplitter(bare(24_000), tmp_path / FOLDER_NAME),
    ):
        pass


def test_a_track_shows_its_chapters_picture_or_else_the_cover(tmp_path: Path) -> None:
    """Read back by mutagen: a player that knows no chapters shows each exercise all the same."""
    session = bare(24_000, 12_000, 24_000, 24_000)  # the short one is played with the next
    red, blue = coloured("red"), coloured("blue")
    cover = coloured("white")
    with TrackSplitter(
        session, tmp_path, cover=cover, pictures=(None, blue, red, blue)
    ) as splitter:
        splitter.add(clicks(session.length))
    shown = [mutagen.File(path).tags["APIC:"].data for path in sorted(tmp_path.glob("*.mp3"))]
    assert shown == [cover, red, blue]
