"""The starter library through the reader and the planner, as a routine would take it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from breathmark.routine.library import starter_library
from breathmark.routine.model import Exercise, HoldDose, Kind, Routine
from breathmark.routine.reading import read_routine
from breathmark.script.draft import SpeechLengths
from breathmark.script.planner import plan_session
from breathmark.script.session import Session
from breathmark.script.wishes import Wishes
from tests.routine_starter.shelf import entries

LIBRARY = starter_library()
each = pytest.mark.parametrize("exercise", LIBRARY, ids=lambda one: one.name)


def planned_alone(exercise: Exercise) -> Session:
    """A session of one exercise with the usual rests, spoken at 150 words a minute."""
    routine = Routine(
        title="One exercise",
        file="one.yaml",
        sha256="",
        exercises=(replace(exercise, path="exercises[0]"),),
    )
    return plan_session(routine, SpeechLengths({}, rate_hz=24_000), Wishes(voice="calm"))


def test_every_entry_reads_without_a_problem() -> None:
    assert [one.name for one in LIBRARY] == [entry.name for entry in entries()]


def test_what_is_read_is_what_is_written() -> None:
    (calf,) = [one for one in LIBRARY if one.name == "Standing calf stretch"]
    assert calf.kind is Kind.HOLD
    assert isinstance(calf.dose, HoldDose)
    hold, sets = calf.dose.hold_ms, calf.dose.sets
    assert (hold.low, hold.usual, hold.high) == (20_000, 30_000, 45_000)
    assert (sets.low, sets.usual, sets.high) == (1, 2, 4)
    assert calf.harder is not None
    assert calf.harder.dose is not None
    assert calf.instead == "Seated calf stretch with a towel"
    assert calf.involves == ("standing", "ankle end range")


@each
def test_both_variations_are_read(exercise: Exercise) -> None:
    for variation in (exercise.easier, exercise.harder):
        assert variation is not None
        assert len(variation.say) == 1


def test_a_routine_can_use_all_of_them(tmp_path: Path) -> None:
    path = tmp_path / "all.yaml"
    lines = [f"  - use: {one.name}" for one in LIBRARY]
    path.write_text("\n".join(["title: All of it", "exercises:", *lines]), encoding="utf-8")
    routine = read_routine(path)
    assert [one.name for one in routine.exercises] == [one.name for one in LIBRARY]
    assert routine.alternatives == ()


@each
def test_it_can_be_said_in_the_usual_rests_with_every_cue(exercise: Exercise) -> None:
    """Set-up, cues and breathing lines find room; how it feels may wait for a longer rest."""
    session = planned_alone(exercise)
    left_out = " ".join(session.left_out)
    lines = [cue.say for cue in exercise.cues] + list(exercise.breathe)
    assert [line for line in lines if line in left_out] == []
    assert session.blocks[1].spans[0].length <= 36 * session.rate_hz
