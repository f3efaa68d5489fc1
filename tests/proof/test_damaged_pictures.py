"""The proof can fail: a chapter that does not show the picture of the record is found."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from breathmark.deliver.audio import Chapter
from breathmark.proof.check import Check
from breathmark.proof.verify import verify_folder
from breathmark.units import milliseconds
from tests.deliver.paper_cases import coloured
from tests.plan_sessions import RATE_HZ
from tests.proof.results import NAME, Result, brief_session, failed, planned_chapters

FORMATS = ("mp3", "m4a")


RED, BLUE = coloured("red"), coloured("blue")


def showing(*pictures: bytes | None) -> tuple[Chapter, ...]:
    """The planned chapters, each with its picture."""
    chapters = planned_chapters(brief_session())
    return tuple(replace(one, picture=two) for one, two in zip(chapters, pictures, strict=True))


def recorded(*pictures: bytes | None) -> Sequence[dict[str, Any]]:
    """What a record says of the exercises in these chapters."""
    return [
        {
            "start_ms": milliseconds(block.start, RATE_HZ),
            "picture_sha256": hashlib.sha256(picture).hexdigest() if picture else None,
        }
        for block, picture in zip(brief_session().blocks, pictures, strict=True)
        if block.exercise is not None
    ]


@pytest.mark.parametrize("format", FORMATS)
@pytest.mark.parametrize("pictures", [(None, RED, BLUE, None), (None, None, BLUE, None)])
def test_pictures_in_their_places_pass(
    tmp_path: Path, format: str, pictures: tuple[bytes | None, ...]
) -> None:
    chapters, exercises = showing(*pictures), recorded(*pictures)
    folder = Result(chapters=chapters, exercises=exercises, formats=(format,)).written(tmp_path)
    assert verify_folder(folder).failed == ()


WRONG = {
    "swapped": (None, BLUE, RED, None),
    "one missing": (None, RED, None, None),
    "none": (None, None, None, None),
    "one too many": (RED, RED, BLUE, None),
    "with another exercise": (None, RED, RED, None),
}


@pytest.mark.parametrize("format", FORMATS)
@pytest.mark.parametrize("wrong", WRONG)
def test_a_picture_in_a_wrong_place_is_found(tmp_path: Path, format: str, wrong: str) -> None:
    exercises = recorded(None, RED, BLUE, None)
    chapters = showing(*WRONG[wrong])
    folder = Result(chapters=chapters, exercises=exercises, formats=(format,)).written(tmp_path)
    assert failed(verify_folder(folder)) == {Check.CHAPTERS}


@pytest.mark.parametrize("format", FORMATS)
def test_a_picture_that_nobody_prescribed_is_found(tmp_path: Path, format: str) -> None:
    folder = Result(chapters=showing(None, RED, None, None), formats=(format,)).written(tmp_path)
    assert failed(verify_folder(folder)) == {Check.CHAPTERS}


def spoil(picture: bytes) -> Callable[[Path], None]:
    """Change one byte in the middle of a picture, wherever it stands."""

    def change(folder: Path) -> None:
        for path in folder.glob(f"{NAME}.*"):
            data = path.read_bytes()
            at = data.index(picture) + len(picture) // 2
            path.write_bytes(data[:at] + bytes((data[at] ^ 0xFF,)) + data[at + 1 :])

    return change


@pytest.mark.parametrize("format", FORMATS)
def test_a_damaged_picture_is_found(tmp_path: Path, format: str) -> None:
    """One byte of a picture, in a file that is otherwise whole."""
    pictures = (None, RED, BLUE, None)
    folder = Result(
        chapters=showing(*pictures),
        exercises=recorded(*pictures),
        formats=(format,),
        after=spoil(BLUE),
    ).written(tmp_path)
    report = verify_folder(folder)
    assert failed(report) == {Check.CHAPTERS}
    assert report.failed[0].detail.startswith("Chapter 3 shows the picture")


@pytest.mark.parametrize("format", FORMATS)
@pytest.mark.parametrize("odd", [{}, {"start_ms": "x"}, None, {"picture_sha256": 7}])
def test_an_odd_record_is_no_trouble(tmp_path: Path, format: str, odd: Any) -> None:
    """A record from another version, or one that somebody edited, shows in no chapter."""
    folder = Result(exercises=(odd, {}), formats=(format,)).written(tmp_path)
    assert failed(verify_folder(folder)) <= {Check.RECORD}
