"""The proof can fail: a record that was edited, or that does not say what the plan says."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from breathmark.deliver.record import (
    DIGEST_KEY,
    RECORD_NAME,
    own_digest,
    recorded_length,
    recorded_totals,
)
from breathmark.proof.check import Check, Finding
from breathmark.proof.record import record_finding
from breathmark.proof.verify import verify_folder
from breathmark.script.session import Session
from breathmark.units import milliseconds
from tests.proof.results import Result, brief_session, failed

DOSE = {"days_a_week": 3}


def exercises_of(session: Session) -> list[dict[str, Any]]:
    """The exercises as a build records them."""
    return [
        {
            "name": block.title,
            "dose": "hold 12 s, left side",
            "start_ms": milliseconds(block.start, session.rate_hz),
            "length_ms": milliseconds(block.length, session.rate_hz),
        }
        for block in session.blocks
        if block.exercise is not None
    ]


def whole_record() -> dict[str, Any]:
    """A record of the brief session, without a check sum of its own."""
    session = brief_session()
    return {
        "made by": "the tests",
        "patient": {"label": "R-204"},
        "language": session.language,
        "hearing": "usual",
        "background": "none",
        "length": recorded_length(session),
        "totals_ms": recorded_totals(session),
        "exercises": exercises_of(session),
        "dose": DOSE,
        "cautions": ["Stop when it hurts."],
        "notes": list(session.notes),
        "left_out": list(session.left_out),
        "files": {},
    }


def sealed(record: dict[str, Any]) -> dict[str, Any]:
    """The record with a check sum that agrees with it."""
    return {**record, DIGEST_KEY: own_digest(record)}


def found_in(folder: Path, record: dict[str, Any]) -> Finding:
    """What the check of the record finds."""
    (folder / RECORD_NAME).write_text(json.dumps(record), encoding="utf-8")
    return record_finding(folder, (), brief_session(), DOSE)


def test_a_record_as_it_was_made_passes(tmp_path: Path) -> None:
    """However the file is laid out."""
    found = found_in(tmp_path, sealed(whole_record()))
    assert (found.passed, found.measured) == (True, "0 files and itself")


EDITS: dict[str, Any] = {
    "the label": {"patient": {"label": "R-999"}},
    "a dose": {"exercises": [{"dose": "hold 90 s, right side"}, {}]},
    "a caution": {"cautions": ["Go on when it hurts."]},
    "a new key": {"signed": True},
    "the check sum": {DIGEST_KEY: "0" * 64},
    "no check sum": {DIGEST_KEY: None},
    "half a letter": {"title": "\ud800"},
}


@pytest.mark.parametrize("edit", EDITS)
def test_an_edited_record_is_found(edit: str, tmp_path: Path) -> None:
    """Whatever was changed in it, the finding says that something was."""
    found = found_in(tmp_path, {**sealed(whole_record()), **EDITS[edit]})
    assert not found.passed
    assert "The record was changed after it was made" in found.detail


CONTRADICTIONS: dict[str, tuple[dict[str, Any], str]] = {
    "language": ({"language": "de"}, "record's language"),
    "length": ({"length": {"samples": 1}}, "record's length, samples,"),
    "no length": ({"length": 7}, "record's length is"),
    "totals": ({"totals_ms": {"work": 1}}, "record's totals_ms, work,"),
    "dose": ({"dose": {"days_a_week": 4}}, "record's dose"),
    "note": ({"notes": ["More."]}, "record's notes"),
    "an exercise more": ({"exercises": [{}, {}, {}]}, "3 exercises, and the plan 2"),
    "another exercise": ({"exercises": [{}, {"name": "Toe lift"}]}, "name of the record's exerc"),
    "its length": ({"exercises": [{"length_ms": 5}, {}]}, "length_ms of the record's exercise 1"),
}


@pytest.mark.parametrize("about", CONTRADICTIONS)
def test_a_record_that_contradicts_the_plan_is_found(about: str, tmp_path: Path) -> None:
    """Even one whose check sum was made anew after the edit."""
    edit, said = CONTRADICTIONS[about]
    found = found_in(tmp_path, sealed({**whole_record(), **edit}))
    assert not found.passed
    assert said in found.detail
    assert "changed after" not in found.detail


@pytest.mark.parametrize("name", ["a\0b", "half \ud800", "long" * 75], ids=ascii)
def test_a_name_that_no_file_can_have_is_found(name: str, tmp_path: Path) -> None:
    """A damaged record is told, whatever stands in it."""
    record = whole_record()
    record["files"] = {name: {"bytes": 1, "sha256": "0" * 64}}
    found = found_in(tmp_path, sealed(record))
    assert not found.passed
    assert "cannot be read" in found.detail


def test_an_older_record_passes_and_says_what_is_not_covered(tmp_path: Path) -> None:
    """It has no check sum of its own, and perhaps nothing that the plan says."""
    bare: dict[str, Any] = {"files": {}, "exercises": []}
    for record in (whole_record(), bare):
        found = found_in(tmp_path, record)
        assert (found.passed, found.measured) == (True, "0 files; itself not covered")


def test_the_folder_is_held_against_its_record(tmp_path: Path) -> None:
    """`verify` asks all of this of a whole folder."""
    swapped = exercises_of(brief_session())[::-1]
    folder = Result(exercises=swapped, formats=("flac",)).written(tmp_path)
    assert failed(verify_folder(folder)) == {Check.RECORD}
