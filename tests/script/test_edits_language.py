"""An edit's own words are said to the patient: they are in the routine's language."""

from __future__ import annotations

from pathlib import Path

import pytest

from breathmark.problems import InputProblems
from breathmark.routine.reading import read_routine
from breathmark.script.draft import SpeechLengths
from breathmark.script.planner import plan_session
from breathmark.script.wishes import Wishes

TOO_SHORT = """\
title: T
length: 7 min
exercises:
  - {name: March, kind: free, time: 2 min}
  - {name: rest, kind: free, time: 10 s}
"""


@pytest.mark.parametrize(("language", "name"), [("en", "Rest 2"), ("fr", "Repos"), ("de", "Pause")])
def test_a_pause_to_put_in_has_a_name_of_the_language(
    tmp_path: Path, language: str, name: str
) -> None:
    """And none that an exercise has already."""
    path = tmp_path / "routine.yaml"
    path.write_text(f"language: {language}\n{TOO_SHORT}", encoding="utf-8")
    with pytest.raises(InputProblems) as raised:
        plan_session(read_routine(path), SpeechLengths({}, rate_hz=24_000), Wishes(voice="any"))
    (problem,) = raised.value.problems
    assert f"add `- {{name: {name}, kind: pause, time: " in problem.remedy
