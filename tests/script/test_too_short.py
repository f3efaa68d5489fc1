"""Rests and pauses that cannot hold their words: the place, and a remedy that is just enough."""

from __future__ import annotations

import itertools
import re
from pathlib import Path

import pytest

from breathmark.problems import InputProblems, Problem
from breathmark.routine.reading import read_routine
from breathmark.script import pacing
from breathmark.script.draft import SpeechLengths
from breathmark.script.planner import plan_session
from breathmark.script.session import Purpose
from breathmark.script.wishes import Wishes
from breathmark.units import duration_text, parse_duration_ms

HALF_SECOND_MS = 500
KNOWN = {"Relax.": 27_000}
"""One word of 1.1 s (measured, calm), which 0.4 s a word would miss."""

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
RELAX = """\
title: Press and stretch
exercises:
  - name: Hamstrings
    kind: contract-relax
    contract: 6 s
    relax: AMOUNT
    stretch: 10 s
    sides: left
"""
OWN_RELAX = RELAX.replace(
    "sides: left", "calls: {relax: 'Let your {side} leg go'}\n    sides: each"
)
CONTRACT = (
    RELAX.replace("AMOUNT", "2 s")
    .replace("6 s", "AMOUNT")
    .replace("sides: left", "calls: {contract: Press it gently down}")
)
LONG_STRETCH = (
    RELAX.replace("AMOUNT", "2 s")
    .replace("10 s", "AMOUNT")
    .replace("sides: left", f"calls: {{stretch: {'and ' * 23}so}}")
)
"""24 words last 9.6 s: with the countdown that comes at 10 s, 13.5 s are needed."""


def refusal(folder: Path, text: str) -> Problem | None:
    """What planning says of a routine, its other lines at 0.4 s a word; ``None`` if all is well."""
    path = folder / "routine.yaml"
    path.write_text(text, encoding="utf-8")
    try:
        lengths = SpeechLengths(KNOWN, rate_hz=24_000)
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
    ("text", "sides"), [(RELAX, 1), (OWN_RELAX, 2), (CONTRACT, 1), (LONG_STRETCH, 1)]
)
def test_with_the_stated_amount_every_part_is_called(tmp_path: Path, text: str, sides: int) -> None:
    """Three calls on each side, each over before the next thing."""
    problem = refusal(tmp_path, text.replace("AMOUNT", "1 s"))
    assert problem is not None
    path = tmp_path / "routine.yaml"
    path.write_text(text.replace("AMOUNT", duration_text(needed_ms(problem))), encoding="utf-8")
    lengths = SpeechLengths(KNOWN, rate_hz=24_000)
    session = plan_session(read_routine(path), lengths, Wishes(voice="calm"))
    calls = [line for line in session.spoken if line.purpose is Purpose.PHASE]
    assert len(calls) == 3 * sides
    for call, after in itertools.pairwise(session.foreground):
        if call in calls:
            assert after.start - call.end >= session.rate_hz * pacing.AROUND_COUNT_MS // 1000


@pytest.mark.parametrize(
    ("text", "rule", "line", "beside_ms"),
    [
        (SET_UP, "set-up-too-long", 8, 0),
        (POSITION, "position-change-too-short", 8, pacing.SETTLE_MS),
        (SETS, "rest-too-short", 7, 0),
        (SIDES, "rest-too-short", 7, 0),
        (PAUSE, "pause-too-short", 7, 0),
        (RELAX, "phase-too-short", 6, 0),
        (OWN_RELAX, "phase-too-short", 6, 0),
        (CONTRACT, "phase-too-short", 5, 0),
        (LONG_STRETCH, "phase-too-short", 7, 0),
    ],
    ids=[
        "set-up",
        "position",
        "sets",
        "sides",
        "pause",
        "relax",
        "own relax",
        "contract",
        "stretch",
    ],
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
