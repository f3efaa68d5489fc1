"""A remedy can be followed: what a check says to write is read, and silences it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from breathmark.dose.checks import check_routine
from breathmark.problems import Problem
from tests.dose.files import routine

KNEE = """
title: One leg
exercises:
  - name: Leg raise
    kind: reps
    reps: 10
    tempo: {out: 2 s, back: 2 s}
    sides: right
    targets: [quadriceps]
  - name: Knee press
    kind: hold
    hold: 5 s
    sides: left
    targets: [quadriceps]
    involves: [isometric effort]
"""


def found(folder: Path, check: str, text: str) -> list[Problem]:
    """What a check says of a routine."""
    problems = check_routine(routine(text, folder)).problems
    return [one for one in problems if one.rule == check]


def test_an_exercise_is_told_of_the_amount_it_gives(tmp_path: Path) -> None:
    """Not of another exercise's seconds."""
    told = [one.message for one in found(tmp_path, "sides-unequal", KNEE)]
    assert told == [
        "quadriceps: left gets 0 repetitions, right 10 a session",
        "quadriceps: left gets 5 s of contraction, right 0 s a session",
    ]


FLOOR = """
title: Up
exercises:
  - {name: Bridge, kind: free, position: supine, time: 30 s}
{between}  - {name: March, kind: free, position: standing, time: 30 s}
"""


def test_the_pause_that_is_offered_can_be_written_as_it_stands(tmp_path: Path) -> None:
    """It is read, and nothing more is said."""
    (problem,) = found(tmp_path, "rising-from-floor", FLOOR.replace("{between}", ""))
    pause = re.search(r"`(- \{.*\})`", problem.remedy)
    assert pause
    assert not found(tmp_path, "rising-from-floor", FLOOR.replace("{between}", f"  {pause[1]}\n"))


def test_an_exercise_without_a_position_does_not_hide_the_rise(tmp_path: Path) -> None:
    """It is named, as its position may be what is missing; a pause is rest all the same."""
    circles = "  - {name: Ankle circles, kind: free, time: 30 s}\n"
    (problem,) = found(tmp_path, "rising-from-floor", FLOOR.replace("{between}", circles))
    assert "If `Ankle circles` is done sitting, write `position: seated`" in problem.remedy
    seated = circles.replace("kind: free", "kind: free, position: seated")
    for between in (seated, "  - {name: Water, kind: pause, time: 1 min}\n"):
        assert not found(tmp_path, "rising-from-floor", FLOOR.replace("{between}", between))


@pytest.mark.parametrize(
    ("words", "listed"),
    [
        ("Roll your foot over a frozen bottle.", "bottle"),
        ("Tie the band to a post.", "band"),
        ("Take the exercise band.", "exercise band"),
        ("Sit on a chair.", "chair"),
        ("Sit on a sturdy chair with arms.", "sturdy chair with arms"),
        ("Pillow under the head.", "pillow"),
    ],
)
def test_what_is_to_be_listed_is_what_the_words_say(
    tmp_path: Path, words: str, listed: str
) -> None:
    """A frozen bottle would be printed as a small weight; listed so, it is at hand."""
    text = f"""
title: Things
exercises:
  - {{name: Roll, kind: free, time: 30 s, setup: {words}}}
"""
    (problem, *_) = found(tmp_path, "equipment-missing", text)
    assert f"`equipment: [{listed}]`" in problem.remedy
    done = text.replace("time:", f"equipment: [{listed}], time:")
    assert not [
        one for one in found(tmp_path, "equipment-missing", done) if one.remedy == problem.remedy
    ]


@pytest.mark.parametrize("words", ["Press on the nail bed.", "Tuck it into the waist band."])
def test_some_words_are_no_things(tmp_path: Path, words: str) -> None:
    """Nothing to fetch."""
    text = f"title: T\nexercises:\n  - {{name: Roll, kind: free, time: 30 s, setup: {words}}}\n"
    assert not found(tmp_path, "equipment-missing", text)


@pytest.mark.parametrize(
    ("check", "dose"),
    [
        ("stretch-under", "hold: 5 s"),
        ("stretch-over", "hold: 60 s, sets: 5"),
        ("hold-length", "hold: 5 s"),
    ],
)
def test_a_hold_that_is_an_effort_is_told_how_to_say_so(
    tmp_path: Path, check: str, dose: str
) -> None:
    """Written so, it is a stretch no more."""
    text = f"""
title: Press
exercises:
  - {{name: Press, kind: hold, {dose}}}
"""
    (problem,) = found(tmp_path, check, text)
    assert problem.remedy.endswith("If it is an effort, write `involves: [isometric effort]`.")
    effort = "involves: [isometric effort], kind: hold"
    told = found(tmp_path, check, text.replace("kind: hold", effort))
    assert not [one for one in told if "stretch" in one.message]
    (tagged,) = found(
        tmp_path, check, text.replace("kind: hold", "involves: [sitting], kind: hold")
    )
    assert tagged.remedy.endswith("If it is an effort, add `isometric effort` to its `involves`.")


BALANCE = """
title: Stand
language: de
exercises:
  - name: Einbeinstand
    kind: hold
    hold: 20 s
    position: standing
    involves: [balance on one leg]
    setup: Stellen Sie sich vor die Arbeitsplatte, beide Hände darauf.
"""


def test_support_in_another_language_is_asked_for_where_it_is_read(tmp_path: Path) -> None:
    """The set-up is read in English alone, so that a remedy for it would not be followed."""
    (told,) = found(tmp_path, "balance-support", BALANCE)
    assert "`equipment`" in told.remedy
    mended = BALANCE.rstrip() + "\n    equipment: [Arbeitsplatte]\n"
    assert not found(tmp_path, "balance-support", mended)
