"""One side only of what takes turns as written: a caution that can be followed."""

from __future__ import annotations

from pathlib import Path

from breathmark.dose.checks import CheckResult
from breathmark.pipeline import read_case

CHECK = "side-word-missing"
ROUTINE = """\
title: By turns
exercises:
  - name: Knee lift
    kind: reps
    sides: alternating
    reps: 10
    tempo: {out: 2 s, back: 2 s}
    setup: Lift one knee, then the other.
  - {name: Slow breathing, kind: breathing, breaths: 6}
"""
ACCEPT = """\
accept:
  - {check: side-word-missing, exercise: Knee lift, because: shown in the clinic}
"""


def checked(folder: Path, more: str, routine: str = ROUTINE) -> CheckResult:
    """What the checks say for a patient who works on the left only."""
    (folder / "routine.yaml").write_text(routine)
    path = folder / "r-204.yaml"
    path.write_text(f"label: R-204\nroutine: routine.yaml\nsides: {{only: left}}\n{more}")
    return read_case(path).checked


def about_sides(result: CheckResult) -> list[tuple[int, str, str]]:
    """Line, message and remedy of what the check says, and of accepting it in vain."""
    return [
        (one.place.line, one.message, one.remedy)
        for one in result.problems
        if one.rule in (CHECK, "accept-unused")
    ]


def test_one_side_of_what_takes_turns_is_not_told_to_name_a_side(tmp_path: Path) -> None:
    """`{side}` would be an error there."""
    assert about_sides(checked(tmp_path, "")) == [
        (
            8,
            "sides take turns in the routine and are `left` here, but the set-up does not say"
            " which side",
            "See whether these words suit one side; then `accept` it in the patient file with the"
            " reason, or skip the exercise there.",
        )
    ]


def test_both_remedies_silence_it(tmp_path: Path) -> None:
    """Accepting is kept with the reason, skipping leaves nothing to say."""
    accepted = checked(tmp_path, ACCEPT)
    assert about_sides(accepted) == []
    assert [one.because for one in accepted.accepted] == ["shown in the clinic"]
    assert about_sides(checked(tmp_path, "changes: {Knee lift: skip}\n")) == []


def test_each_side_by_itself_is_still_told_to_name_it(tmp_path: Path) -> None:
    """There `{side}` may be written."""
    ((_, message, remedy),) = about_sides(
        checked(tmp_path, "", ROUTINE.replace("alternating", "each"))
    )
    assert message == "sides are `left`, but the set-up does not say which side"
    assert "Write `{side}`" in remedy


def test_a_side_named_by_turns_is_not_told_to_write_it_either(tmp_path: Path) -> None:
    """The routine has it for both sides; only the patient file makes it one."""
    result = checked(tmp_path, "", ROUTINE.replace("Lift one knee", "Lift your right knee"))
    (problem,) = [one for one in result.problems if one.rule == "side-named"]
    assert problem.remedy == (
        "See whether these words suit one side; then `accept` it with the reason."
    )
