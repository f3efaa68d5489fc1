"""Exercises from libraries: `use`, what beside it overrides, and where each field stands."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from breathmark.problems import InputProblems
from breathmark.routine import library as library_module
from breathmark.routine.library import find_exercise, read_library, starter_library
from breathmark.routine.model import (
    BreathingDose,
    Exercise,
    FreeDose,
    HoldDose,
    RepsDose,
    Routine,
    Sides,
)
from breathmark.routine.reading import read_routine
from breathmark.routine.rules import Rule
from breathmark.units import Ranged

SHARED = """\
title: Ankles and feet
language: en
region: ankle
exercises:
  - name: Wall calf stretch
    kind: hold
    sides: each
    change sides: after all sets
    hold: 30 s
    sets: 2
    setup: Slide your {side} foot back.
    picture: calf.png
    instead: Towel calf stretch
  - name: Towel calf stretch
    kind: hold
    hold: 20 s
    instead: Ankle pumps
  - name: Ankle pumps
    kind: reps
    reps: 15
    tempo: {out: 1 s, back: 1 s}
  - name: Slow breathing
    kind: breathing
    breaths: 6
"""


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a library beside the routine, and a starter library of one exercise."""
    (tmp_path / "shared").mkdir()
    (tmp_path / "shared" / "ankles.yaml").write_text(SHARED, "utf-8")
    (tmp_path / "shared" / "calf.png").write_bytes(b"picture")
    starter = tmp_path / "starter"
    starter.mkdir()
    (starter / "one.yaml").write_text(
        "exercises:\n  - {name: Shoulder rolls, kind: free, time: 30 s}\n"
        "  - {name: Ankle pumps, kind: free, time: 30 s}\n",
        "utf-8",
    )
    monkeypatch.setattr(library_module, "STARTER_FOLDER", starter)
    return tmp_path


def _read(folder: Path, exercises: str) -> Routine:
    path = folder / "routine.yaml"
    head = "title: T\nlibrary: shared/ankles.yaml\nexercises:\n"
    path.write_text(head + "".join(f"  {line}\n" for line in exercises.splitlines()), "utf-8")
    return read_routine(path)


def _by_name(routine: Routine, name: str) -> Exercise:
    found = find_exercise((*routine.exercises, *routine.alternatives), name)
    assert found is not None
    return found


def test_a_shared_exercise_is_taken_by_name_in_capitals_or_not(folder: Path) -> None:
    routine = _read(folder, "- use: wall CALF stretch")
    (calf,) = routine.exercises
    assert calf.name == "Wall calf stretch"
    assert calf.path == "exercises[0]"
    assert calf.setup == ("Slide your {side} foot back.",)
    assert Path(calf.picture or "") == Path("shared/calf.png")


def test_a_picture_on_another_drive_is_named_in_full(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On Windows there is no way from one drive to another."""

    def no_way(*_paths: object) -> str:
        raise ValueError("path is on mount 'D:', start on mount 'C:'")

    monkeypatch.setattr(os.path, "relpath", no_way)
    (calf,) = _read(folder, "- use: Wall calf stretch").exercises
    assert calf.picture == str(folder / "shared" / "calf.png")


def test_keys_beside_use_override_and_each_has_its_own_place(folder: Path) -> None:
    routine = _read(folder, "- use: Wall calf stretch\n  name: Calf\n  hold: 20 s (15 to 30)")
    (calf,) = routine.exercises
    assert calf.name == "Calf"
    assert calf.dose == HoldDose(
        hold_ms=Ranged(low=15_000, usual=20_000, high=30_000), sets=Ranged.fixed(2)
    )
    hold, sets = routine.places["exercises[0].hold"], routine.places["exercises[0].sets"]
    assert (Path(hold.file).name, hold.line, hold.column) == ("routine.yaml", 6, 11)
    assert (Path(sets.file).name, sets.line, sets.column) == ("ankles.yaml", 10, 11)
    assert (sets.path, sets.text) == ("exercises[0].sets", "    sets: 2")


def test_the_replacements_of_shared_exercises_come_along(folder: Path) -> None:
    routine = _read(folder, "- use: Wall calf stretch")
    assert [one.name for one in routine.alternatives] == ["Towel calf stretch", "Ankle pumps"]
    assert [one.path for one in routine.alternatives] == ["alternatives[0]", "alternatives[1]"]
    assert routine.exercises[0].instead == "Towel calf stretch"
    assert routine.places["alternatives[1].reps"].line == 20


def test_an_own_library_comes_before_the_starter(folder: Path) -> None:
    routine = _read(folder, "- use: Ankle pumps\n- use: Shoulder rolls")
    assert isinstance(routine.exercises[0].dose, RepsDose)
    assert isinstance(routine.exercises[1].dose, FreeDose)


def test_what_the_starter_library_says_stands_where_it_is_used(folder: Path) -> None:
    """Nobody mends a file of the package; a library of one's own is shown as it is."""
    (folder / "starter" / "two.yaml").write_text(
        "exercises:\n  - {name: Marching, kind: free, time: 30 s, instead: Shoulder rolls}\n",
        "utf-8",
    )
    library_module._starters_in.cache_clear()
    routine = _read(folder, "- use: Wall calf stretch\n- use: Marching\n  time: 40 s")
    places = {path: (Path(at.file).name, at.line) for path, at in routine.places.items()}
    assert places["exercises[0].hold"][0] == "ankles.yaml"
    assert places["exercises[1].time"] == ("routine.yaml", 6)
    assert places["exercises[1].kind"] == places["exercises[1].use"] == ("routine.yaml", 5)
    (rolls,) = [one for one in routine.alternatives if one.name == "Shoulder rolls"]
    assert places[f"{rolls.path}.time"] == ("routine.yaml", 5)


def test_an_override_drops_what_it_leaves_without_meaning(folder: Path) -> None:
    routine = _read(
        folder,
        "- use: Wall calf stretch\n  sides: left\n"
        "- use: Ankle pumps\n  kind: hold\n  hold: 5 s\n"
        "- use: Slow breathing\n  time: 2 min\n",
    )
    assert routine.exercises[0].sides is Sides.LEFT
    assert isinstance(routine.exercises[1].dose, HoldDose)
    breathing = routine.exercises[2].dose
    assert isinstance(breathing, BreathingDose)
    assert (breathing.breaths.usual, breathing.in_time) == (12, True)


def test_an_override_that_breaks_a_shared_text_is_shown_where_the_text_stands(
    folder: Path,
) -> None:
    with pytest.raises(InputProblems) as raised:
        _read(folder, "- use: Wall calf stretch\n  sides: both")
    (problem,) = raised.value.problems
    assert problem.rule == Rule.NO_SIDE_HERE
    assert (Path(problem.place.file).name, problem.place.line) == ("ankles.yaml", 11)
    assert problem.place.path == "exercises[0].setup"


def test_the_same_shared_exercise_twice_needs_another_name(folder: Path) -> None:
    with pytest.raises(InputProblems) as raised:
        _read(folder, "- use: Ankle pumps\n- use: Ankle pumps")
    (problem,) = raised.value.problems
    assert problem.rule == Rule.SAME_NAME
    assert (Path(problem.place.file).name, problem.place.line) == ("routine.yaml", 5)
    renamed = _read(folder, "- use: Ankle pumps\n- use: Ankle pumps\n  name: Once more")
    assert [one.name for one in renamed.exercises] == ["Ankle pumps", "Once more"]


def test_an_unknown_shared_exercise_says_one_thing_with_the_nearest_name(folder: Path) -> None:
    with pytest.raises(InputProblems) as raised:
        _read(folder, "- use: Wall calv strech\n  hold: 30 s\n  setup: Slide your {side} foot.")
    (problem,) = raised.value.problems
    assert problem.rule == Rule.UNKNOWN_EXERCISE
    assert problem.remedy == "Did you mean `Wall calf stretch`?"


def test_problems_in_a_library_are_shown_with_those_of_the_routine(folder: Path) -> None:
    shared = folder / "shared" / "ankles.yaml"
    shared.write_text(SHARED.replace("reps: 15", "reps: many").replace("20 s", "20"), "utf-8")
    with pytest.raises(InputProblems) as raised:
        _read(folder, "- use: Ankle pumps\n  tempo: {out: 0 s}")
    found = [(Path(p.place.file).name, p.place.line, p.rule) for p in raised.value.problems]
    assert found == [
        ("routine.yaml", 5, Rule.IMPOSSIBLE_AMOUNT),
        ("ankles.yaml", 16, Rule.NOT_AN_AMOUNT),
        ("ankles.yaml", 20, Rule.NOT_AN_AMOUNT),
    ]


def test_a_library_alone_is_read_and_checked(folder: Path) -> None:
    library = read_library(folder / "shared" / "ankles.yaml")
    assert (library.title, library.language, library.region) == ("Ankles and feet", "en", "ankle")
    found = library.find("slow  BREATHING")
    assert found is not None
    assert library.places[f"{found.path}.breaths"].line == 24
    assert library.find("Zzyzx") is None


def test_a_library_knows_no_routine_keys_and_no_use(tmp_path: Path) -> None:
    path = tmp_path / "library.yaml"
    path.write_text(
        "length: 3 min\nexercises:\n  - use: Ankle pumps\n    name: Pumps\n    kind: free\n"
        "    time: 1 min\n    instead: Zzyzx qwrt\n",
        "utf-8",
    )
    with pytest.raises(InputProblems) as raised:
        read_library(path)
    found = [(p.rule, p.place.line, p.place.column) for p in raised.value.problems]
    assert found == [
        (Rule.UNKNOWN_KEY, 1, 1),
        (Rule.UNKNOWN_KEY, 3, 5),
        (Rule.UNKNOWN_EXERCISE, 7, 14),
    ]


def test_an_empty_starter_folder_does_no_harm(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(library_module, "STARTER_FOLDER", tmp_path / "nothing")
    assert starter_library() == ()


def test_the_starter_library_that_ships_is_sound() -> None:
    exercises = starter_library()
    assert exercises
    assert len({one.name.casefold() for one in exercises}) == len(exercises)
