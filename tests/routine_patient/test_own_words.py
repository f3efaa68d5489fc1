"""The published words, and those that a routine, a library or a patient file declares."""

from __future__ import annotations

from pathlib import Path

import pytest

from breathmark.problems import InputProblems
from breathmark.routine.library import read_library
from breathmark.routine.model import Routine
from breathmark.routine.patient_reading import read_patient, read_prescription
from breathmark.routine.reading import read_routine
from breathmark.routine.rules import Rule
from breathmark.routine.tags import published
from breathmark.routine.tailoring import tailored

LIBRARY = """\
tags: {cold water: The hands are in cold water.}
targets: {grip: grip of the hand}
exercises:
  - name: Water squeeze
    kind: free
    time: 30 s
    targets: grip
    involves: [Cold  Water, sitting]
"""
ROUTINE = """\
title: Hands
library: hands.yaml
tags:
  Loud room: Others are talking.
exercises:
  - use: Water squeeze
  - {name: Fist, kind: free, time: 30 s, involves: [cold water, loud room, STANDING]}
"""


@pytest.fixture
def routine(tmp_path: Path) -> Routine:
    """A routine with a word of its own and a library with two."""
    (tmp_path / "hands.yaml").write_text(LIBRARY, "utf-8")
    (tmp_path / "routine.yaml").write_text(ROUTINE, "utf-8")
    return read_routine(tmp_path / "routine.yaml")


def test_words_are_spelled_as_in_their_list_whatever_was_typed(routine: Routine) -> None:
    squeeze, fist = routine.exercises
    assert squeeze.involves == ("cold water", "sitting")
    assert fist.involves == ("cold water", "Loud room", "standing")
    assert squeeze.targets == ("grip",)


def test_a_routine_knows_the_words_of_its_libraries(routine: Routine, tmp_path: Path) -> None:
    assert routine.tags == (
        ("cold water", "The hands are in cold water."),
        ("Loud room", "Others are talking."),
    )
    assert routine.targets == (("grip", "grip of the hand"),)
    known = published().with_own(routine.tags, routine.targets)
    assert known.tags["Loud room"] == "Others are talking."
    assert known.targets["grip"].plain == "grip of the hand"
    assert read_library(tmp_path / "hands.yaml").tags == routine.tags[:1]


def test_published_words_keep_their_meaning() -> None:
    known = published().with_own((("standing", "Something else."),), (("soleus", "x"),))
    assert known.tags["standing"] == published().tags["standing"]
    assert known.targets["soleus"] == published().targets["soleus"]


@pytest.mark.usefixtures("routine")
def test_a_patient_avoids_words_of_the_library_and_of_the_file(tmp_path: Path) -> None:
    patient = tmp_path / "patient.yaml"
    patient.write_text(
        "label: R-204\nroutine: routine.yaml\ntags: {bright light: The lamp is on.}\n"
        "avoid: [LOUD room, bright light]\nchanges: {Fist: skip}\n",
        "utf-8",
    )
    both = read_prescription(patient)
    assert both.patient.avoid == ("Loud room", "bright light")
    made = tailored(both.routine, both.patient)
    assert [one.name for one in made.routine.exercises] == ["Water squeeze"]
    assert made.routine.tags[-1] == ("bright light", "The lamp is on.")


def test_a_library_refuses_words_nobody_declares(tmp_path: Path) -> None:
    path = tmp_path / "hands.yaml"
    path.write_text(LIBRARY.replace("targets: grip\n", "targets: gripp\n"), "utf-8")
    with pytest.raises(InputProblems) as raised:
        read_library(path)
    (problem,) = raised.value.problems
    assert (problem.rule, problem.place.line, problem.place.column) == (Rule.UNKNOWN_TARGET, 7, 14)
    assert problem.remedy == "Did you mean `grip`?"


def test_a_word_like_no_other_is_answered_with_how_to_declare_it(tmp_path: Path) -> None:
    path = tmp_path / "routine.yaml"
    path.write_text(
        "title: T\nexercises:\n  - {name: F, kind: free, time: 9 s, involves: xylophone}\n", "utf-8"
    )
    with pytest.raises(InputProblems) as raised:
        read_routine(path)
    (problem,) = raised.value.problems
    assert problem.remedy == (
        "No tag is spelled like it. `breathmark exercises --tags` lists all."
        " Declare your own at the left edge: `tags: {xylophone: what it means}`."
    )


@pytest.mark.parametrize(
    ("written", "remedy"),
    [
        ("HTN", "Did you mean `high blood pressure`?"),
        ("THR", "Did you mean `hip replacement`?"),
        ("HTN, osteoporosis", "Write each by itself: `[high blood pressure, osteoporosis]`."),
        ("high blood pressure and osteoporosis",
         "Write each by itself: `[high blood pressure, osteoporosis]`."),
    ],
)  # fmt: skip
def test_a_condition_in_a_clinics_letters_is_told_in_words(
    tmp_path: Path, written: str, remedy: str
) -> None:
    """Two in one text were one that there is not, and each by itself was known."""
    path = tmp_path / "patient.yaml"
    path.write_text(f"label: R-204\nroutine: routine.yaml\nconditions: {written}\n")
    exercise = "{name: N, kind: free, time: 9 s}"
    (tmp_path / "routine.yaml").write_text(f"title: T\nexercises: [{exercise}]\n")
    with pytest.raises(InputProblems) as raised:
        read_patient(path)
    assert [one.remedy for one in raised.value.problems] == [remedy]
