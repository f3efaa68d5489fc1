"""Rests and pauses that cannot hold their words: the place, and a remedy that is just enough."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from breathmark.problems import InputProblems, Problem
from breathmark.routine.reading import read_routine
from breathmark.script import pacing
from breathmark.script.draft import SpeechLengths
from breathmark.script.planner import plan_session
from breathmark.script.wishes import Wishes
from breathmark.units import duration_text, parse_duration_ms

HALF_SECOND_MS = 500

SET_UP = """\
title: A long set-up
exercises:
  - name: Bridge
    kind: reps
    reps: 5
    tempo: {out: 2 s, back: 2 s}
    setup: Lie on your back with your knees bent and your feet flat on the bed.
    rests: {before: AMOUNT}
"""
POSITION = """\
title: Up at once
rests: {exercises: AMOUNT}
exercises:
  - {name: Bridge, kind: free, time: 30 s, rests: {before: 40 s}}
  - {name: Clam, kind: free, time: 30 s, position: supine, rests: {before: 40 s}}
  - name: March
    kind: free
    position: standing
    time: 30 s
"""
SETS = """\
title: No rest
exercises:
  - name: Bridge
    kind: hold
    hold: 5 s
    sets: 2
    rests: {before: 40 s, sets: AMOUNT}
"""
SIDES = SETS.replace("sets: 2", "sides: each").replace("sets: AMOUNT", "sides: AMOUNT")
PAUSE = """\
title: A sip
exercises:
  - {name: March, kind: free, time: 30 s}
  - name: Water
    kind: pause
    setup: Sit down and drink a little water, there is no hurry at all.
    time: AMOUNT
"""


def refusal(folder: Path, text: str) -> Problem | None:
    """What planning says of a routine whose lines take 0.4 s a word; ``None`` if all is well."""
    path = folder / "routine.yaml"
    path.write_text(text, encoding="utf-8")
    try:
        lengths = SpeechLengths({}, rate_hz=24_000)
        plan_session(read_routine(path), lengths, Wishes(voice="calm"))
    except InputProblems as problems:
        (problem,) = problems.problems
        return problem
    return None


def needed_ms(problem: Problem) -> int:
    """The amount that the remedy, or else the message, asks for."""
    amount = r"(\d[\d.]* min \d[\d.]* s|\d[\d.]* (?:min|s))"
    return parse_duration_ms(re.findall(amount, problem.remedy or problem.message)[0])


@pytest.mark.parametrize(
    ("text", "rule", "line", "beside_ms"),
    [
        (SET_UP, "set-up-too-long", 8, 0),
        (POSITION, "position-change-too-short", 8, pacing.SETTLE_MS),
        (SETS, "rest-too-short", 7, 0),
        (SIDES, "rest-too-short", 7, 0),
        (PAUSE, "pause-too-short", 7, 0),
    ],
    ids=["set-up", "position", "sets", "sides", "pause"],
)
def test_the_stated_amount_is_just_enough(
    tmp_path: Path, text: str, rule: str, line: int, beside_ms: int
) -> None:
    """Too short is refused where it is written; what is asked for builds, half a second less not.

    From one exercise to the next there is a short settling, too, which is no part of the amount.
    """
    problem = refusal(tmp_path, text.replace("AMOUNT", "3 s" if beside_ms else "1 s"))
    assert problem is not None
    assert (problem.rule, problem.place.line) == (rule, line)
    enough_ms = needed_ms(problem) + beside_ms
    assert refusal(tmp_path, text.replace("AMOUNT", duration_text(enough_ms))) is None
    less = refusal(tmp_path, text.replace("AMOUNT", duration_text(enough_ms - HALF_SECOND_MS)))
    assert less is not None
    assert (less.rule, less.place.line) == (rule, line)
