"""The proof can fail: files that are missing, changed, foreign or broken are found."""

from __future__ import annotations

import json
import shutil
import wave
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from breathmark.deliver.audio import FORMATS
from breathmark.proof.check import Check, Report
from breathmark.proof.verify import verify_folder
from tests.proof.results import (
    NAME,
    Result,
    failed,
    small_session,
    write_record,
)


@pytest.fixture(scope="module")
def good(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A good folder in every format, to be copied."""
    return Result(formats=FORMATS).written(tmp_path_factory.mktemp("good"))


@pytest.fixture
def folder(good: Path, tmp_path: Path) -> Path:
    """A copy of the good folder."""
    return Path(shutil.copytree(good, tmp_path / "result"))


def test_a_good_folder_passes(folder: Path) -> None:
    """Undamaged, every check of every format passes; it has no tracks, background or message."""
    report = verify_folder(folder)
    assert report.failed == ()
    assert {finding.check for finding in report.findings} == set(Check) - {
        Check.TRACKS,
        Check.BACKGROUND,
        Check.MESSAGE,
    }
    assert len(report.findings) == 4 + len(FORMATS) * 11


@pytest.mark.parametrize("format", FORMATS)
@pytest.mark.parametrize("content", ["", "half", "text", "noise", "header"])
def test_a_file_that_is_no_recording_is_found(format: str, content: str, folder: Path) -> None:
    """Empty, cut short, text, noise, a header alone: a finding each, never a traceback."""
    path = folder / f"{NAME}.{format}"
    whole = path.read_bytes()
    contents = {
        "": b"",
        "half": whole[: len(whole) // 2],
        "text": b"#EXTM3U\n#EXTINF:1\nhttp://example.org/\n" * 40,
        "noise": np.random.default_rng(1).bytes(40_000),
        "header": whole[:60],
    }
    path.write_bytes(contents[content])
    found = failed(verify_folder(folder))
    assert Check.RECORD in found
    assert found & {Check.READABLE, Check.LENGTH}


def test_sound_of_an_unknown_kind_is_found(folder: Path) -> None:
    """The box that names the coding is gone: whatever is inside cannot be heard."""
    path = folder / f"{NAME}.m4a"
    path.write_bytes(path.read_bytes().replace(b"stsd", b"free"))
    assert Check.READABLE in failed(verify_folder(folder))


@pytest.mark.parametrize("format", FORMATS)
def test_random_damage_never_breaks_the_proof(format: str, folder: Path) -> None:
    """Bytes changed at random anywhere in the file end in findings, not in an error."""
    rng = np.random.default_rng(FORMATS.index(format))
    path = folder / f"{NAME}.{format}"
    for other in FORMATS:
        if other != format:
            (folder / f"{NAME}.{other}").unlink()
    whole = path.read_bytes()
    for trial in range(12):
        data = bytearray(whole)
        most = (400, 4_000, len(whole))[trial % 3]  # the header, the tags, anywhere
        for place in rng.integers(0, min(most, len(whole)), 6):
            data[place] = rng.integers(256)
        path.write_bytes(data)
        assert Check.RECORD in failed(verify_folder(folder))


def test_a_renamed_file_is_found(folder: Path) -> None:
    """A WAV file called .mp3 is not an MP3 file."""
    shutil.copy(folder / f"{NAME}.wav", folder / f"{NAME}.mp3")
    write_record(folder)
    assert failed(verify_folder(folder)) == {Check.READABLE}


def test_a_recording_of_another_session_is_found(folder: Path, tmp_path: Path) -> None:
    """The file of another routine, even if the record agrees, is not this plan's."""
    other = Result(session=small_session()).written(tmp_path / "other")
    shutil.copy(other / f"{NAME}.mp3", folder / f"{NAME}.mp3")
    write_record(folder)
    found = failed(verify_folder(folder))
    assert found >= {Check.LENGTH, Check.TONES, Check.LINES, Check.CHAPTERS, Check.TAGS}


@pytest.mark.parametrize("longer", [False, True])
@pytest.mark.parametrize("name", ["captions.vtt", "plan.json", f"{NAME}.mp3", f"{NAME}.wav"])
def test_a_changed_byte_is_found(name: str, longer: bool, folder: Path) -> None:
    """A file that is not what the record says is found by its size or its check sum."""
    data = bytearray((folder / name).read_bytes())
    if longer:
        data += b"\n"
    else:
        data[-1] ^= 0x2A  # turns a line end into a blank
    (folder / name).write_bytes(data)
    report = verify_folder(folder)
    assert Check.RECORD in failed(report)
    detail = next(found.detail for found in report.failed if found.check is Check.RECORD)
    assert name in detail
    assert ("bytes, not" if longer else "check sum differs") in detail


WAVES = {
    "two channels": (2, 2, 24_000, "2 channels"),
    "24 bits": (1, 3, 24_000, "pcm_s24le where pcm_s16le is due"),
    "another rate": (1, 2, 44_100, "44100 samples a second where 24000 are due"),
    "a rate nobody has": (1, 2, 192_000, "192000 samples a second"),
}


@pytest.mark.parametrize("kind", WAVES)
def test_sound_of_another_make_is_found(kind: str, folder: Path) -> None:
    """Good WAV files, but not one channel of 16 bits at the plan's rate."""
    channels, width, rate_hz, said = WAVES[kind]
    with wave.open(str(folder / f"{NAME}.wav"), "wb") as file:
        file.setnchannels(channels)
        file.setsampwidth(width)
        file.setframerate(rate_hz)
        file.writeframes(bytes(channels * width * rate_hz))
    write_record(folder)
    report = verify_folder(folder)
    assert failed(report) == {Check.READABLE}
    assert said in report.failed[0].detail


@pytest.mark.parametrize("name", ["captions.vtt", "plan.json", "record.json", f"{NAME}.mp3"])
def test_a_missing_file_is_found(name: str, folder: Path) -> None:
    """Each file that has to be there is missed."""
    (folder / name).unlink()
    assert Check.RECORD in failed(verify_folder(folder))


def test_a_recording_that_the_record_does_not_know_is_found(folder: Path) -> None:
    """A recording that was put there later is not one of the build's."""
    shutil.copy(folder / f"{NAME}.mp3", folder / "other.mp3")
    assert failed(verify_folder(folder)) == {Check.RECORD}


RECORDS: dict[str, Any] = {
    "no JSON": "{",
    "a list": [],
    "no files": {"files": None},
    "outside": {"files": {"../secret.txt": {"sha256": "0" * 64, "bytes": 1}}},
    "no check sum": {"files": {"plan.json": {"bytes": 1}}},
    "nothing listed": {"files": {}},
}


@pytest.mark.parametrize("damage", RECORDS)
def test_a_damaged_record_is_found(damage: str, folder: Path) -> None:
    """A record that cannot be right is found, whatever it says."""
    said = RECORDS[damage]
    text = said if isinstance(said, str) else json.dumps(said)
    (folder / "record.json").write_text(text, encoding="utf-8")
    assert failed(verify_folder(folder)) == {Check.RECORD}


def test_a_contradiction_in_the_plan_is_found(folder: Path) -> None:
    """A plan whose numbers do not add up proves nothing; the line is named."""
    path = folder / "plan.json"
    plan = json.loads(path.read_text(encoding="utf-8"))
    plan["events"][3]["start_samples"] += 24
    path.write_text(json.dumps(plan), encoding="utf-8")
    write_record(folder)
    report = verify_folder(folder)
    assert failed(report) == {Check.PLAN}
    assert "contradicts" in report.failed[0].detail


def test_a_plan_with_another_word_is_found(folder: Path) -> None:
    """A plan that was edited without contradiction differs from what was made from it."""
    path = folder / "plan.json"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("Well done.", "Sit down now."), encoding="utf-8")
    write_record(folder)
    assert failed(verify_folder(folder)) == {Check.CAPTIONS, Check.TAGS}


def test_a_plan_saved_by_another_editor_is_read_and_found_changed(folder: Path) -> None:
    """A byte order mark changes no word of the plan, but its check sum."""
    path = folder / "plan.json"
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes())
    assert failed(verify_folder(folder)) == {Check.RECORD}


@pytest.mark.parametrize("text", ["", "[]", "{}", "\xff", "[" * 100_000])
def test_a_file_that_is_no_plan_is_found(text: str, folder: Path) -> None:
    """Anything in the place of the plan is a finding."""
    (folder / "plan.json").write_bytes(text.encode("latin-1"))
    assert Check.PLAN in failed(verify_folder(folder))


def test_an_empty_folder_proves_nothing(tmp_path: Path) -> None:
    """No folder, or nothing in it, is a failure."""
    for folder in (tmp_path, tmp_path / "nowhere"):
        report = verify_folder(folder)
        assert not report.passed
        assert Check.FOLDER in failed(report)
    assert not Report(()).passed
