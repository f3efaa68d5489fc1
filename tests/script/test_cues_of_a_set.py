"""A cue for the first or the last set is said there or right before it, or is told as left out."""

from __future__ import annotations

from pathlib import Path

import pytest

from breathmark.routine.reading import read_routine
from breathmark.script.session import Session
from tests.script.planning import planned

CUE = "Last set on this side, take the heavy weight."
ROUTINE = f"""\
title: Curls
rests: {{exercises: 10 s (10 s to 40 s), sets: RESTS, sides: 8 s}}
exercises:
  - name: Quick curl
    kind: reps
    sides: each
    change sides: after all sets
    reps: REPS
    sets: 2
    tempo: {{out: 2 s, back: BACK}}
    setup: Sit tall.
    breathe: Breathe.
    cues:
      - {{say: "{CUE}", when: WHEN}}
"""


def session(folder: Path, *, when: str, rests: str, back: str = "2 s", reps: int = 4) -> Session:
    """The plan at 400 ms a word: the cue lasts 3.6 s, and a repetition of 4 s has no room."""
    text = ROUTINE.replace("WHEN", when).replace("RESTS", rests).replace("BACK", back)
    path = folder / "routine.yaml"
    path.write_text(text.replace("REPS", str(reps)), encoding="utf-8")
    return planned(read_routine(path), 400)


def heard(one: Session) -> list[tuple[str, str | None, int | None]]:
    """Where the cue is heard: activity, side, and set."""
    return [
        (str(span.activity), span.side, span.set_number)
        for line in one.spoken
        for block in one.blocks
        for span in block.spans
        if line.text == CUE and span.start <= line.start < span.end
    ]


def not_said(one: Session) -> list[str]:
    """What is told of the cue."""
    return [line for line in one.left_out if CUE in line]


def test_without_room_in_its_set_it_is_said_in_the_rest_before(tmp_path: Path) -> None:
    """In the rest before each side's last set, and nowhere else."""
    one = session(tmp_path, when="last set", rests="12 s")
    assert heard(one) == [("rest", "left", 2), ("rest", "right", 2)]
    assert not_said(one) == []


@pytest.mark.parametrize(("when", "number"), [("first set", 1), ("last set", 2)])
def test_without_any_room_it_is_told_for_each_side(tmp_path: Path, when: str, number: int) -> None:
    """It is not carried into another set or on to the other side."""
    one = session(tmp_path, when=when, rests="5 s")
    assert heard(one) == []
    assert not_said(one) == [
        f"Quick curl: no room to say “{CUE}” in set {number} on the {side} side"
        for side in ("left", "right")
    ]


@pytest.mark.parametrize(("when", "number"), [("first set", 1), ("last set", 2)])
def test_with_room_in_its_set_it_is_said_there(tmp_path: Path, when: str, number: int) -> None:
    """Even where the rest before has room, too."""
    one = session(tmp_path, when=when, rests="12 s", back="10 s")
    assert heard(one) == [("work", "left", number), ("work", "right", number)]
    assert not_said(one) == []
