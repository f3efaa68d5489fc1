"""Accepting a check on purpose: what it silences, what it may not, and what is told of it."""

from __future__ import annotations

import dataclasses
import runpy
from pathlib import Path

import pytest

from breathmark.dose.checks import check_routine, manual
from breathmark.dose.checks.registry import all_checks, pages
from breathmark.dose.checks.running import REFUSED_ACCEPT, UNKNOWN_ACCEPT, UNUSED_ACCEPT
from breathmark.problems import Severity
from breathmark.routine.model import Side
from tests.dose.files import marked, routine

GUIDE = Path(__file__).parents[2] / "src" / "breathmark" / "routine" / "guide" / "checks.md"

TWO_LONG = """
title: Two long holds
exercises:
  - {name: Calf stretch, kind: hold, hold: ‸90 s, feel: a mild pull}
  - {name: Thigh stretch, kind: hold, hold: ‸90 s, feel: a mild pull}
accept:
"""


def test_an_accepted_check_is_silent_and_its_reason_is_kept(tmp_path: Path) -> None:
    """For one exercise: the other still speaks."""
    text = TWO_LONG.replace("hold: ‸90 s", "hold: 90 s", 1) + (
        "  - {check: hold-length, because: stiff after the cast, exercise: calf stretch}\n"
    )
    file = marked(text, tmp_path)
    result = check_routine(file.routine)
    assert {(one.place.line, one.place.column) for one in result.problems} == file.spots
    (accepted,) = result.accepted
    assert accepted.because == "stiff after the cast"
    assert accepted.problem.rule == "hold-length"
    assert accepted.problem.place.line == 3


def test_the_record_tells_what_was_found_and_what_was_accepted_and_why(tmp_path: Path) -> None:
    """With lines and without a path."""
    text = TWO_LONG.replace("‸", "") + (
        "  - {check: hold-length, because: stiff after the cast, exercise: Calf stretch}\n"
    )
    data = check_routine(routine(text, tmp_path)).as_data()
    assert [
        (one["check"], one["severity"], one["line"], one["accepted_because"]) for one in data
    ] == [
        ("hold-length", "caution", 4, None),
        ("hold-length", "caution", 3, "stiff after the cast"),
    ]
    assert str(tmp_path) not in str(data)


def test_without_an_exercise_it_is_accepted_for_all(tmp_path: Path) -> None:
    """And the reason for one exercise goes before the general one."""
    text = TWO_LONG.replace("‸", "") + (
        "  - {check: hold-length, because: all of them}\n"
        "  - {check: hold-length, because: this one, exercise: Thigh stretch}\n"
    )
    result = check_routine(routine(text, tmp_path))
    assert result.problems == ()
    assert [one.because for one in result.accepted] == ["all of them", "this one"]


@pytest.mark.parametrize(
    ("entry", "rule", "severity", "remedy"),
    [
        ("hold-lenght", UNKNOWN_ACCEPT, Severity.CAUTION, "Did you mean `hold-length`?"),
        ("held-breath-effort", REFUSED_ACCEPT, Severity.ERROR, "mend what the check finds"),
        ("cue-length", UNUSED_ACCEPT, Severity.NOTE, "Take this entry out"),
    ],
)
def test_what_is_wrong_with_an_entry_is_told_at_its_place(
    tmp_path: Path, entry: str, rule: str, severity: Severity, remedy: str
) -> None:
    """Misspelt, not to be accepted, or about nothing."""
    text = f"""
title: Nothing long
exercises:
  - {{name: Quiet sitting, kind: free, time: 30 s, feel: rest}}
accept:
  - check: ‸{entry}
    because: it is so
"""
    file = marked(text, tmp_path)
    (problem,) = check_routine(file.routine).problems
    assert (problem.rule, problem.severity) == (rule, severity)
    assert {(problem.place.line, problem.place.column)} == file.spots
    assert remedy in problem.remedy


def test_what_only_some_sessions_need_is_accepted_beforehand(tmp_path: Path) -> None:
    """Another patient's condition or length; an exercise that was taken out for this one."""
    text = """
title: Nothing long
exercises:
  - {name: Quiet sitting, kind: free, time: 30 s, feel: rest}
  - {name: Calf stretch, kind: hold, hold: 60 s, feel: a mild pull}
accept:
  - {check: condition, because: agreed with the surgeon}
  - {check: session-length, because: on Sundays}
  - {check: cue-length, because: it rhymes, exercise: Calf stretch}
"""
    read = routine(text, tmp_path)
    assert [one.place.line for one in check_routine(read).problems] == [8]
    without = dataclasses.replace(read, exercises=read.exercises[:1])
    assert check_routine(without).problems == ()


def test_what_guards_safety_is_never_silenced(tmp_path: Path) -> None:
    """The finding stays, and accepting it is an error beside it."""
    text = """
title: Bearing down
exercises:
  - name: Heel raises
    kind: reps
    reps: 8
    tempo: {out: 2 s, back: 2 s}
    breathe: Hold your breath.
    feel: your calves
accept:
  - {check: held-breath-effort, because: I say so}
"""
    result = check_routine(routine(text, tmp_path))
    assert [one.rule for one in result.errors] == ["held-breath-effort", REFUSED_ACCEPT]
    assert result.accepted == ()


def test_only_what_leaves_nothing_to_weigh_may_not_be_accepted() -> None:
    """Everything else is the clinician's to say; what may not be is an error."""
    strict = [check for check in all_checks() if not check.acceptable]
    assert {check.id for check in strict} == {"avoided", "held-breath-effort"}
    assert all(check.severity is Severity.ERROR for check in strict)


def test_sides_that_the_patient_file_decides_are_not_asked_again(tmp_path: Path) -> None:
    """An extra set, or one side only; a routine that leaves a side out is still asked."""
    read = routine(
        "title: A\nexercises:\n"
        "  - {name: B, kind: hold, sides: each, hold: 30 s, sets: 2, feel: a pull,\n"
        "     setup: 'Your {side} foot.'}\n",
        tmp_path,
    )
    (one,) = read.exercises
    extra = dataclasses.replace(one, extra_set=Side.LEFT)
    assert check_routine(dataclasses.replace(read, exercises=(extra,))).problems == ()
    text = (
        "title: A\nexercises:\n  - {name: B, kind: hold, sides: left, hold: 60 s, feel: a pull,"
        " setup: 'Your {side} foot.'}\n"
    )
    left = routine(text, tmp_path)
    assert [found.rule for found in check_routine(left).problems] == ["sides-unequal"]
    assert check_routine(left, sides_decided=True).problems == ()


@pytest.mark.parametrize("page", pages(), ids=lambda page: page.check.id)
def test_a_manual_page_says_everything(page: object) -> None:
    """What, why, source with its mark, how to mend, how to accept."""
    found = next(one for one in pages() if one is page)
    parts = ("What:", "Why:", "Source:", "To mend:", "To accept:")
    paragraphs = found.text.split("\n\n")
    assert tuple(part.split()[0] + (" " + part.split()[1] if part.startswith("To ") else "")
                 for part in paragraphs[1:]) == parts  # fmt: skip
    marks = ("published", "second-hand", "from memory", "common practice", "own instruction")
    assert any(mark in " ".join(paragraphs[3].split()) for mark in marks)
    assert (paragraphs[5] == "To accept: it may not be accepted.") != found.check.acceptable
    assert found.check.says[0].islower()


def test_the_manual_is_the_one_in_the_guide(capsys: pytest.CaptureFixture[str]) -> None:
    """`python -m breathmark.dose.checks` writes it; write it again after changing a check."""
    assert GUIDE.read_text(encoding="utf-8") == manual()
    runpy.run_module("breathmark.dose.checks", run_name="__main__")
    assert capsys.readouterr().out == manual()


def test_every_check_is_in_the_manual_once() -> None:
    """As a section and in the table."""
    text = manual()
    for check in all_checks():
        assert text.count(f"\n## {check.id}\n") == 1
        assert text.count(f"| [{check.id}](#{check.id}) |") == 1
