"""Every check speaks where it should, at the line and column, and is silent just inside."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from breathmark.dose.checks import CheckResult, check_routine
from breathmark.dose.checks.lines import Line
from breathmark.dose.checks.registry import all_checks
from breathmark.dose.checks.rules.reading_grade import grade_of
from breathmark.pipeline import Order, read_case
from breathmark.routine.library import starter_library
from breathmark.routine.model import Cue, Exercise, Routine
from breathmark.series import weeks_of
from tests.dose.check_cases import CASES, Case
from tests.dose.files import Spots, marked
from tests.script.routines import routines

ROOM = Path(__file__).parents[2] / "src" / "breathmark" / "routine"
WRITTEN = sorted([*ROOM.glob("demo/*.yaml"), *ROOM.glob("starting/*.yaml")])


def run(routine: Routine, given: Mapping[str, object]) -> CheckResult:
    """The result of all checks with what the case gives."""
    return check_routine(routine, **given)  # type: ignore[arg-type]


def spots(result: CheckResult, check: str) -> Spots:
    """Where a check speaks."""
    return frozenset(
        (one.place.line, one.place.column) for one in result.problems if one.rule == check
    )


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.check)
def test_a_check_points_at_what_trips_it(case: Case, tmp_path: Path) -> None:
    """At every mark and nowhere else, with its own weight and a remedy."""
    file = marked(case.trips, tmp_path)
    result = run(file.routine, case.given)
    assert spots(result, case.check) == file.spots
    (check,) = (one for one in all_checks() if one.id == case.check)
    for problem in result.problems:
        if problem.rule == case.check:
            assert problem.severity is check.severity
            assert problem.remedy
            assert problem.place.file.endswith("routine.yaml")


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.check)
def test_a_check_is_silent_just_inside(case: Case, tmp_path: Path) -> None:
    """What it asks for is enough."""
    file = marked(case.inside, tmp_path)
    assert not file.spots
    result = run(file.routine, case.given_inside)
    assert spots(result, case.check) == frozenset()


def test_every_check_has_a_case() -> None:
    """No check goes untried."""
    assert {case.check for case in CASES} == {check.id for check in all_checks()}


@pytest.mark.parametrize("path", WRITTEN, ids=lambda path: path.stem)
def test_what_breathmark_shows_passes_its_own_checks(path: Path) -> None:
    """The demo and the starting files, in every week, without one accepted exception."""
    order = Order(source=path)
    cases = [read_case(path, week=week) for week in weeks_of(order)]
    assert [case.routine.accepted for case in cases] == [()] * len(cases)
    assert [problem.shown() for case in cases for problem in case.checked.problems] == []


@pytest.mark.parametrize("exercise", starter_library(), ids=lambda exercise: exercise.name)
def test_a_starter_exercise_passes_every_check(exercise: Exercise) -> None:
    """Alone in a routine of five days a week, not even a note."""
    routine = Routine(
        title="One exercise", file="one.yaml", sha256="", exercises=(exercise,), days_a_week=5
    )
    assert [one.shown() for one in check_routine(routine).problems] == []


def test_a_word_on_a_later_line_of_a_text_is_pointed_at_by_its_field(tmp_path: Path) -> None:
    """A folded text begins where its sign stands."""
    text = """
title: Folded
exercises:
  - name: Calf stretch
    kind: hold
    hold: 60 s
    setup: ‸>
      Stand tall and mind your
      ROM at all times.
"""
    file = marked(text, tmp_path)
    assert spots(check_routine(file.routine), "unspeakable") == file.spots


def test_checks_of_english_words_leave_other_languages_alone(tmp_path: Path) -> None:
    """The rest of the checks still apply."""
    text = """
title: Auf die Zehen
language: de
exercises:
  - name: Wadendehnung
    kind: hold
    position: standing
    hold: ‸5 s
    targets: [gastrocnemius]
    cues:
      - Ferse an die WAND; und los.
"""
    file = marked(text, tmp_path)
    result = check_routine(file.routine)
    assert spots(result, "hold-length") == file.spots
    assert {one.rule for one in result.problems} == {
        "hold-length",
        "stretch-under",
        "when-to-stop",
    }


@given(routines(), st.lists(st.text(min_size=1, max_size=30), min_size=3, max_size=3))
def test_no_words_are_too_odd_to_be_checked(invented: Routine, odd: list[str]) -> None:
    """Whatever is written: every problem has a place and a remedy, none is said twice."""
    texts = [" ".join(text.split()) or "-" for text in odd]
    first = dataclasses.replace(
        invented.exercises[0], setup=(texts[0],), cues=(Cue(say=texts[1]),), feel=(texts[2],)
    )
    others = invented.exercises[1:]
    routine = dataclasses.replace(invented, exercises=(first, *others), cautions=(texts[0],))
    problems = check_routine(routine, conditions=("osteoporosis",), avoid=("kneeling",)).problems
    assert len(set(problems)) == len(problems)
    assert all(one.remedy and one.message and one.place.line == 1 for one in problems)


@pytest.mark.parametrize("text", ["10", "—", "Встаньте прямо."])
def test_words_that_have_no_grade_are_not_judged(text: str) -> None:
    """The formula is for English words."""
    assert grade_of([Line(path="x", kind="setup", text=text)]) == 0.0
