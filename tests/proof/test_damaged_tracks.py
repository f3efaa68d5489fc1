"""The proof of the tracks: good ones pass in every format, and each damage is found."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import mutagen.id3
import pytest

from breathmark.deliver.tracks import FOLDER_NAME, TrackSplitter
from breathmark.proof.check import Check, Finding
from breathmark.proof.tracks import track_findings
from tests.deliver.sound_files import EACH_FORMAT
from tests.proof.results import small_session, small_sound

id3: Any = mutagen.id3  # it has no types


def written(folder: Path, format_name: str = "mp3") -> Path:
    """A result folder with nothing but tracks in it."""
    with TrackSplitter(small_session(), folder / FOLDER_NAME, format_name) as splitter:
        splitter.add(small_sound())
    return folder


@pytest.fixture(scope="module")
def good(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Good tracks, made once."""
    return written(tmp_path_factory.mktemp("good"))


@pytest.fixture
def tracks(good: Path, tmp_path: Path) -> Path:
    """A copy of the good tracks' folder, to be damaged."""
    return Path(shutil.copytree(good / FOLDER_NAME, tmp_path / FOLDER_NAME))


def failed(folder: Path) -> dict[Check, str]:
    """The checks that failed, with what they say."""
    findings: list[Finding] = track_findings(folder, small_session())
    assert {finding.file for finding in findings} <= {"tracks/"}
    return {finding.check: finding.detail for finding in findings if not finding.passed}


@EACH_FORMAT
def test_good_tracks_pass(tmp_path: Path, format_name: str) -> None:
    """Lengths, playlist, tags and everything that is to be heard, and the listening is told."""
    heard: list[int] = []
    findings = track_findings(written(tmp_path, format_name), small_session(), heard.append)
    assert [finding.detail for finding in findings if not finding.passed] == []
    assert {Check.TRACKS, Check.LENGTH, Check.TONES, Check.TAGS} <= {one.check for one in findings}
    assert heard[-1] == small_session().length


def test_a_result_without_tracks_has_nothing_to_prove(tmp_path: Path) -> None:
    assert track_findings(tmp_path, small_session()) == []


def swap(folder: Path) -> None:
    """Two tracks trade places; both still have a name that is due."""
    paths = sorted(folder.glob("*.mp3"))
    one, other = paths[0].read_bytes(), paths[3].read_bytes()
    paths[0].write_bytes(other)
    paths[3].write_bytes(one)


def shorten(folder: Path) -> None:
    """The last frames of a track are lost; the tag still promises them."""
    path = sorted(folder.glob("*.mp3"))[1]
    path.write_bytes(path.read_bytes()[:-600])


def retag(folder: Path) -> None:
    """Another program writes its own number."""
    path = sorted(folder.glob("*.mp3"))[2]
    tags = id3.ID3(path)
    tags["TRCK"] = id3.TRCK(encoding=0, text="4/4")
    tags.save(path, v2_version=3)


def sign(folder: Path) -> None:
    """A name is put where none belongs."""
    path = sorted(folder.glob("*.mp3"))[0]
    tags = id3.ID3(path)
    tags.add(id3.TPE1(encoding=0, text="Somebody"))
    tags.save(path, v2_version=3)


def playlist(folder: Path, old: str, new: str) -> None:
    """The playlist says something else."""
    path = next(folder.glob("*.m3u8"))
    text = path.read_bytes().decode()
    assert old in text
    path.write_bytes(text.replace(old, new, 1).encode())


@pytest.mark.parametrize(
    ("damage", "check", "said"),
    [
        (swap, Check.TRACKS, "01-opening.mp3 has"),
        (shorten, Check.LENGTH, "too few"),
        (shorten, Check.TRACKS, "02-calf"),
        (retag, Check.TAGS, "03-slow"),
        (sign, Check.TAGS, "TPE1"),
        (lambda folder: next(folder.glob("03*")).unlink(), Check.TRACKS, "03-slow-breathing"),
        (lambda folder: next(folder.glob("*.m3u8")).unlink(), Check.TRACKS, "missing"),
        (lambda folder: (folder / "notes.txt").touch(), Check.TRACKS, "notes.txt"),
        (lambda folder: next(folder.glob("02*")).write_bytes(b""), Check.TRACKS, "02-calf"),
        (lambda folder: playlist(folder, "01-opening", "1-opening"), Check.TRACKS, "in order"),
        (lambda folder: playlist(folder, "#EXTINF:", "#EXTINF:1"), Check.TRACKS, "wrong length"),
        (lambda folder: playlist(folder, "#EXTM3U", "M3U"), Check.TRACKS, "not an extended"),
        (lambda folder: playlist(folder, "#EXTINF:", "#EXTINF:x"), Check.TRACKS, "no length"),
    ],
)
def test_each_damage_is_found(
    tracks: Path, damage: Callable[[Path], None], check: Check, said: str
) -> None:
    damage(tracks)
    found = failed(tracks.parent)
    assert said in found.get(check, ""), found


def test_tracks_of_the_same_length_in_each_others_place_are_heard(tmp_path: Path) -> None:
    """Swapped sound of equal length passes every count; the listening finds it."""
    session, sound = small_session(), small_sound().copy()
    first, second = session.blocks[1], session.blocks[3]
    least = min(first.length, second.length)
    one, other = sound[first.start :][:least].copy(), sound[second.start :][:least].copy()
    sound[first.start :][:least], sound[second.start :][:least] = other, one
    with TrackSplitter(session, tmp_path / FOLDER_NAME) as splitter:
        splitter.add(sound)
    found = failed(tmp_path)
    assert Check.TRACKS not in found
    assert {Check.LINES, Check.QUIET} <= set(found)
