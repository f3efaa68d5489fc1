"""Routine files for the tests of checks, written where the test stands.

A `‸` marks the column that a finding should point at; it is not part of the file.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from breathmark.routine.model import Routine
from breathmark.routine.reading import read_routine

MARK = "‸"
Spots = frozenset[tuple[int, int]]


@dataclass(frozen=True, kw_only=True, slots=True)
class Marked:
    """A routine, and the lines and columns (from 1) of its marks."""

    routine: Routine
    spots: Spots


def marked(text: str, folder: Path) -> Marked:
    """Read a routine file out of a text, its marks taken out."""
    lines = text.strip("\n").split("\n")
    spots = {
        (number, match.start() - line[: match.start()].count(MARK) + 1)
        for number, line in enumerate(lines, 1)
        for match in re.finditer(MARK, line)
    }
    path = folder / "routine.yaml"
    path.write_text("\n".join(lines).replace(MARK, "") + "\n", encoding="utf-8")
    return Marked(routine=read_routine(path), spots=frozenset(spots))


def routine(text: str, folder: Path) -> Routine:
    """Read a routine file without marks out of a text."""
    found = marked(text, folder)
    assert not found.spots
    return found.routine
