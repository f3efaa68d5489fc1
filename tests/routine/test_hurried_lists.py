"""Lists as a hurried hand writes them: other bullets, a hyphen that is not there, braces."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.routine.hurried import HOLD, problems_of, routine_of


def test_an_exercise_without_its_hyphen_is_not_taken_out(tmp_path: Path) -> None:
    """The remedy was to keep one of the two, for each of its keys."""
    lines = ["hold: 30 s", "name: M", "kind: hold", "hold: 20 s"]
    (problem,) = problems_of(tmp_path, HOLD, *lines)
    remedy = "If another exercise begins here, write `- ` before it, the hyphen in column 3."
    assert problem.remedy == remedy


@pytest.mark.parametrize("bullet", ["-", "•", "–", "• ", "– ", "1. "])
def test_bullets_never_make_one_cue_of_two(tmp_path: Path, bullet: str) -> None:
    """YAML joins the rows, and both were read aloud as one line."""
    second = bullet.replace("1", "2")
    lines = ["hold: 30 s", "cues:", f"  {bullet}Heel heavy.", f"  {second}Shoulders soft."]
    (problem,) = problems_of(tmp_path, HOLD, *lines)
    assert problem.place.line == 7
    assert "a hyphen and a space: `- `" in problem.remedy


def test_a_star_for_a_bullet_is_told_as_one(tmp_path: Path) -> None:
    lines = ["hold: 30 s", "cues:", "  * Heel heavy.", "  * Shoulders soft."]
    (problem,) = problems_of(tmp_path, HOLD, *lines)
    assert (problem.place.line, problem.place.column, problem.remedy) == (7, 7, "Write `- ` there.")


def test_a_side_inside_brackets_gets_a_remedy_that_works(tmp_path: Path) -> None:
    """The remedy was a comma, or another bracket, and both were there."""
    lines = [HOLD, "hold: 30 s", "sides: each"]
    (problem,) = problems_of(tmp_path, *lines, "cues: [Press your {side} heel down.]")
    assert "in quotes" in problem.remedy
    cues = routine_of(tmp_path, *lines, 'cues: ["Press your {side} heel down."]').exercises[0].cues
    assert cues[0].say == "Press your {side} heel down."


def test_a_caret_stays_under_its_word_on_a_narrow_terminal(tmp_path: Path) -> None:
    """A row wider than the terminal is wrapped by it, and the caret points at another word."""
    lines = ["hold: 30 s", f"setup: {'Stand tall and look ahead. ' * 5}{{Side}} foot back."]
    (problem,) = problems_of(tmp_path, HOLD, *lines)
    row, caret = problem.place.caret().splitlines()
    assert len(row) <= 80
    assert row[caret.index("^") : caret.rindex("^") + 1] == "{Side}"
