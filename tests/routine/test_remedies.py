"""Remedies in a hurry: what is offered is what was meant, and never its opposite."""

from __future__ import annotations

from pathlib import Path

import pytest

from breathmark.problems import InputProblems
from breathmark.routine.patient_reading import PATIENT_KEYS
from breathmark.routine.reading import PATIENT_ONLY, ROUTINE_KEYS, read_routine

EXERCISE = "{name: N, kind: hold, hold: 30 s, "


def remedies(tmp_path: Path, text: str) -> list[str]:
    """What is offered for each problem of a routine, in its order."""
    path = tmp_path / "routine.yaml"
    path.write_text(f"title: T\n{text}\n", encoding="utf-8")
    with pytest.raises(InputProblems) as raised:
        read_routine(path)
    return [problem.remedy for problem in raised.value.problems]


@pytest.mark.parametrize(
    ("written", "offered"),
    [
        ("position: sitting", "seated"), ("position: all fours", "hands and knees"),
        ("position: Quadruped", "hands and knees"), ("position: standng", "standing"),
        ("position: on your back", "supine"), ("sides: R", "right"),
        ("involves: [standng]", "standing"), ("targets: [hamstring]", "hamstrings"),
        ("progression: More.", "harder"), ("breathing: Breathe.", "breathe"), ("cue: Up.", "cues"),
    ],
)  # fmt: skip
def test_what_is_meant_is_offered(tmp_path: Path, written: str, offered: str) -> None:
    (remedy,) = remedies(tmp_path, f"exercises:\n  - {EXERCISE}{written}}}")
    assert remedy.startswith(f"Did you mean `{offered}`?")


@pytest.mark.parametrize(
    "written",
    [
        "position: lying", 'sides: "left, right"', "sides: unilateral",
        "targets: [hip abductors]", "targets: [knee extensors]", "targets: [traps]",
        "involves: [knee flexion]", "involves: [bending]", "involves: [eyes open]",
        "involves: [squatting]", "involves: [hip extension]",
    ],
)  # fmt: skip
def test_what_is_not_meant_is_not_offered(tmp_path: Path, written: str) -> None:
    """Another position, another part of the body, the opposite muscle."""
    (remedy,) = remedies(tmp_path, f"exercises:\n  - {EXERCISE}{written}}}")
    assert "Did you mean" not in remedy
    assert remedy


@pytest.mark.parametrize("written", ["bilateral", "both legs", "beidseits", "Des deux côtés"])
def test_both_sides_may_be_at_once_or_in_turn(tmp_path: Path, written: str) -> None:
    """Ten repetitions of both legs at once are half of ten on each."""
    (remedy,) = remedies(tmp_path, f"exercises:\n  - {EXERCISE}sides: {written}}}")
    assert remedy.startswith("Write `both` where the sides work at once, `each`")


@pytest.mark.parametrize("key", PATIENT_ONLY)
def test_a_key_of_the_patient_file_is_sent_there(tmp_path: Path, key: str) -> None:
    """`conditions` is no misspelt `cautions`: it would be read aloud."""
    text = f"{key}: x\nexercises:\n  - {{name: N, kind: free, time: 9 s}}"
    assert remedies(tmp_path, text) == ["It belongs to a patient file, beside `label`."]


def test_every_key_that_only_a_patient_file_has_is_known() -> None:
    assert set(PATIENT_KEYS) - set(ROUTINE_KEYS) == {*PATIENT_ONLY, "sides", "helper"}


@pytest.mark.parametrize(
    ("key", "where"), [("precautions", "`cautions`"), ("contraindications", "`involves` as tags")]
)
def test_what_an_exercise_has_no_key_for_is_sent_where_it_belongs(
    tmp_path: Path, key: str, where: str
) -> None:
    """Prose renamed to `involves` would be taken for tags."""
    (remedy,) = remedies(tmp_path, f"exercises:\n  - {EXERCISE}{key}: Not after surgery.}}")
    assert where in remedy
    assert "Did you mean" not in remedy


def test_a_helper_is_no_yes(tmp_path: Path) -> None:
    """It would be said: "For your helper: yes"."""
    (remedy,) = remedies(tmp_path, f"exercises:\n  - {EXERCISE}helper: yes}}")
    assert "patient file" in remedy


@pytest.mark.parametrize(
    ("dose", "remedy"),
    [
        ("kind: reps, reps: 3x10, tempo: {out: 2 s, back: 2 s}", "Write `sets: 3`, and here `10`."),
        ("kind: reps, reps: 10 x 3, tempo: {out: 2 s, back: 2 s}",
         "Write `sets: 10`, and here `3`, or `sets: 3`, and here `10`."),
        ("kind: hold, hold: 2 x 30 s", "Write `sets: 2`, and here `30 s`."),
        ("kind: hold, hold: 2 x 1 MIN", "Write `sets: 2`, and here `1 min`."),
        ("kind: hold, hold: 30\"", "Write `30 s`."),
        ("kind: hold, hold: 3'", "Write `3 min` or `3 s`."),
        ("kind: hold, hold: 30 m", "Write `30 min` or `30 s`."),
        ("kind: reps, reps: 8, tempo: 2-1-3",
         "Write each part, such as `tempo: {out: 2 s, hold: 1 s, back: 3 s}`."
         " `out` is the way that comes first."),
        ("kind: reps, reps: 8, tempo: slow",
         "Write each part, such as `tempo: {out: 3 s, back: 3 s}`."
         " `out` is the way that comes first."),
        ("kind: breathing, breaths: 4, pattern: 4-6",
         "Write each part, such as `pattern: {in: 4 s, out: 6 s}`."),
        ("kind: reps, reps: 8", "Write for example `tempo: {out: 2 s, back: 2 s}`."),
    ],
)  # fmt: skip
def test_shorthand_gets_a_remedy_that_keeps_its_numbers(
    tmp_path: Path, dose: str, remedy: str
) -> None:
    assert remedies(tmp_path, f"exercises:\n  - {{name: N, {dose}}}") == [remedy]
