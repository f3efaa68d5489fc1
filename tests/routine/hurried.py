"""Routines of one exercise, as a hurried hand writes them."""

from __future__ import annotations

from pathlib import Path

import pytest

from breathmark.problems import InputProblems, Problem
from breathmark.routine.model import Routine
from breathmark.routine.reading import read_routine

HOLD, REPS = "kind: hold", "kind: reps\n    tempo: {out: 2 s, back: 2 s}"


def routine_of(tmp_path: Path, *lines: str, top: str = "") -> Routine:
    """A routine of one exercise with these lines, read from a file."""
    path = tmp_path / "routine.yaml"
    body = "\n    ".join(lines)
    path.write_text(f"title: T\n{top}exercises:\n  - name: N\n    {body}\n", encoding="utf-8")
    return read_routine(path)


def problems_of(tmp_path: Path, *lines: str, top: str = "") -> tuple[Problem, ...]:
    """What is wrong with it."""
    with pytest.raises(InputProblems) as raised:
        routine_of(tmp_path, *lines, top=top)
    return raised.value.problems
