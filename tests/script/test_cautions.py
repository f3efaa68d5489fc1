"""The usual cautions are always said, whatever a file says."""

from __future__ import annotations

from pathlib import Path

import pytest

from breathmark.problems import InputProblems
from breathmark.routine.patient_reading import read_prescription
from breathmark.routine.tailoring import tailored
from breathmark.script.words import words_of
from tests.script.planning import planned

ROUTINE = """\
title: Invented
{more}exercises:
  - {{name: One leg, kind: hold, hold: 20 s, position: standing, involves: [standing, {tag}]}}
"""


def said(tmp_path: Path, *, more: str = "", patient: str = "", tag: str = "standing") -> list[str]:
    """The lines of the opening for a patient."""
    (tmp_path / "routine.yaml").write_text(ROUTINE.format(more=more, tag=tag))
    path = tmp_path / "patient.yaml"
    path.write_text(f"label: R-204\nroutine: routine.yaml\n{patient}")
    both = read_prescription(path)
    session = planned(tailored(both.routine, both.patient).routine, 400)
    return [line.text for line in session.spoken if line.end <= session.blocks[0].end]


def test_stop_pain_and_the_clinicians_word_are_always_said(tmp_path: Path) -> None:
    """With an empty routine and patient file they are there."""
    words = words_of("en")
    lines = said(tmp_path)
    for key in ("stop rule", "pain rule", "clinician first"):
        assert words.say(key) in lines
    assert words.say("balance rule") not in lines


def test_balance_work_has_its_caution(tmp_path: Path) -> None:
    """Standing on one leg brings the words about something steady within reach."""
    assert words_of("en").say("balance rule") in said(tmp_path, tag="balance on one leg")


def test_the_pain_rule_is_a_setting_and_cannot_be_taken_away(tmp_path: Path) -> None:
    """Pain zones differ between sources (0 to 2 or 0 to 3, from memory): a number changes it."""
    words = words_of("en")
    assert words.say("pain rule with limit", n=3) in said(tmp_path, more="pain limit: 3\n")
    lowered = said(tmp_path, more="pain limit: 3\n", patient="pain limit: 2\n")
    assert words.say("pain rule with limit", n=2) in lowered


def test_a_pain_limit_of_none_says_that_pain_is_not_fine(tmp_path: Path) -> None:
    """Of 0 out of 10 nothing is "acceptable": the words are those without a limit."""
    words = words_of("en")
    assert words.say("pain rule") in said(tmp_path, more="pain limit: 0\n")
    lowered = said(tmp_path, more="pain limit: 3\n", patient="pain limit: 0\n")
    assert words.say("pain rule") in lowered


def test_a_patient_file_loosens_no_caution(tmp_path: Path) -> None:
    """A higher limit than the routine's is refused in its place; cautions are only added."""
    with pytest.raises(InputProblems) as caught:
        said(tmp_path, more="pain limit: 2\n", patient="pain limit: 4\n")
    (problem,) = caught.value.problems
    assert (problem.rule, problem.place.line, problem.place.column) == ("contradiction", 3, 13)
    lines = said(tmp_path, more="cautions: [Mind the cat.]\n", patient="cautions: [Mind the dog.]")
    assert lines[-2:] == ["Mind the cat.", "Mind the dog."]
