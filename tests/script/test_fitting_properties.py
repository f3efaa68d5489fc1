"""Fitting inside ranges: the promised length to the sample, or a refusal that helps."""

from __future__ import annotations

import dataclasses
import random
import re
import statistics
import time

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from breathmark.dose.options import options, values, with_amounts
from breathmark.problems import InputProblems
from breathmark.routine.model import Exercise, Kind, RepsDose, Routine, Sides
from breathmark.script.draft import SpeechLengths
from breathmark.script.fitting import Fitting
from breathmark.script.intervals import sets_of
from breathmark.script.reach import verified_edits
from breathmark.script.session import Activity, Session
from breathmark.script.wishes import Wishes
from breathmark.units import Ranged, parse_duration_ms
from tests.script.planning import RATE_HZ, planned
from tests.script.routines import routines, speech_lengths

MS_A_WORD = 400


@st.composite
def ranged_routines(draw: st.DrawFn, *, most: int = 4) -> Routine:
    """Random routines whose doses may move and some of whose exercises are optional."""
    routine = draw(routines(most=most))
    seed = random.Random(draw(st.integers(0, 1 << 30)))
    exercises = tuple(with_ranges(exercise, seed) for exercise in routine.exercises)
    return dataclasses.replace(routine, exercises=exercises)


def with_ranges(exercise: Exercise, seed: random.Random) -> Exercise:
    """The exercise with random ranges around its usual dose, sometimes optional."""
    dose = exercise.dose
    changed = {}
    for name in ("hold_ms", "time_ms", "stretch_ms", "reps", "breaths", "sets"):
        amount = getattr(dose, name, None)
        if isinstance(amount, Ranged) and not (name == "time_ms" and exercise.kind is Kind.PAUSE):
            step = 5_000 if name.endswith("_ms") else 1
            if isinstance(dose, RepsDose) and exercise.sides is Sides.ALTERNATING:
                step = 2 if name == "reps" else 1
            down = min(seed.randint(0, 2), (amount.usual - 1) // step)
            low = amount.usual - step * down
            high = amount.usual + step * seed.randint(0, 3)
            changed[name] = Ranged(low=low, usual=amount.usual, high=high)
    redosed = with_amounts(dose, changed)
    return dataclasses.replace(exercise, dose=redosed, optional=seed.random() < 0.3)


def reach_in_seconds(routine: Routine) -> tuple[int, int]:
    """The shortest and longest length that the fitting states."""
    known: dict[str, int] = {}
    while True:
        lengths = SpeechLengths(known, rate_hz=RATE_HZ)
        reach = Fitting(routine, lengths, Wishes(voice="calm")).reach()
        if not lengths.missing:
            return reach.shortest_s, reach.longest_s
        known |= speech_lengths(lengths.missing, RATE_HZ, MS_A_WORD)


def of_length(routine: Routine, length_s: int) -> Routine:
    return dataclasses.replace(routine, length_ms=length_s * 1000)


@settings(max_examples=500, deadline=None, suppress_health_check=list(HealthCheck))
@given(routine=ranged_routines(), part=st.floats(-0.15, 1.15))
def test_exact_or_refused_with_bounds_and_edits_that_work(routine: Routine, part: float) -> None:
    """An exact total, or a refusal whose bounds and whose three edits are buildable."""
    shortest_s, longest_s = reach_in_seconds(routine)
    length_s = max(5, round(shortest_s + part * (longest_s - shortest_s)))
    asked = of_length(routine, length_s)
    try:
        session = planned(asked, MS_A_WORD)
    except InputProblems as refused:
        (problem,) = refused.problems
        assert problem.rule == "length-out-of-reach"
        is_hole = shortest_s <= length_s <= longest_s
        assert not is_hole or "no choice of doses" in problem.message
        the_stated_edits_work(asked, problem.remedy)
        return
    assert shortest_s <= length_s <= longest_s
    assert session.length == length_s * RATE_HZ
    doses_stay_in_their_ranges(routine, session)


def the_stated_edits_work(asked: Routine, remedy: str) -> None:
    """Each of the three edits, done as it says, leads to a session of exactly its length."""
    known: dict[str, int] = {}
    while True:
        lengths = SpeechLengths(known, rate_hz=RATE_HZ)
        reach = Fitting(asked, lengths, Wishes(voice="calm")).reach()
        tried = verified_edits(asked, reach, lengths, Wishes(voice="calm"))
        if not lengths.missing:
            break
        known |= speech_lengths(lengths.missing, RATE_HZ, MS_A_WORD)
    assert [edit.text for edit in tried] == [
        line.split(". ", 1)[1] for line in remedy.splitlines()[1:]
    ]
    assert len(tried) == 3
    for edit in tried:
        assert not re.search(r"\((.+) to \1\)", edit.text), "no range from an amount to itself"
        session = planned(edit.routine, MS_A_WORD)
        assert edit.routine.length_ms is not None
        assert session.length == edit.routine.length_ms * (RATE_HZ // 1000)


def doses_stay_in_their_ranges(routine: Routine, session: Session) -> None:
    """What is planned is one of the doses that the file allows; only optional ones are missing."""
    titles = [block.title for block in session.blocks[1:-1]]
    for exercise in routine.exercises:
        if exercise.name not in titles:
            assert exercise.optional
            continue
        (block,) = [block for block in session.blocks if block.title == exercise.name]
        work = [s for s in block.spans if s.activity in (Activity.WORK, Activity.PAUSE)]
        allowed = {
            sets_of(dataclasses.replace(exercise, dose=option.dose))
            * (2 if exercise.sides is Sides.EACH else 1)
            + (0 if exercise.extra_set is None else 1)
            for option in options(exercise)
        }
        assert len(work) in allowed
        assert len({span.length for span in work}) == 1


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(routine=ranged_routines(most=3))
def test_the_bounds_are_sharp(routine: Routine) -> None:
    """The shortest and the longest build; 5 s beyond either is refused."""
    shortest_s, longest_s = reach_in_seconds(routine)
    for length_s in (shortest_s, longest_s):
        assert planned(of_length(routine, length_s), MS_A_WORD).length == length_s * RATE_HZ
    for length_s in (shortest_s - 5, longest_s + 5):
        if length_s > 0:
            with pytest.raises(InputProblems, match="length-out-of-reach"):
                planned(of_length(routine, length_s), MS_A_WORD)


def test_steps_are_five_seconds_and_ones() -> None:
    """Holds move in steps of 5 s from the usual, counts in ones, both inside the range."""
    assert values(Ranged(low=18_000, usual=30_000, high=41_000), 5_000) == (
        20_000,
        25_000,
        30_000,
        35_000,
        40_000,
    )
    assert values(Ranged(low=1, usual=2, high=4), 1) == (1, 2, 3, 4)


@settings(max_examples=1, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_large_routines_are_fitted_with_proof(data: st.DataObject) -> None:
    """30 exercises with wide ranges: solved to the end; scripts/bench.py has the times."""
    took = []
    for number in range(3):
        seed = random.Random(number)
        drawn = [data.draw(routines(most=1)).exercises[0] for _ in range(30)]
        exercises = tuple(
            dataclasses.replace(
                with_ranges(one, seed), name=f"Exercise {index}", path=f"exercises[{index}]"
            )
            for index, one in enumerate(drawn)
        )
        base = data.draw(routines(most=1))
        routine = dataclasses.replace(base, exercises=exercises)
        shortest_s, longest_s = reach_in_seconds(routine)
        start = time.perf_counter()
        session = planned(of_length(routine, (shortest_s + longest_s) // 2), MS_A_WORD)
        took.append(time.perf_counter() - start)
        assert session.length == (shortest_s + longest_s) // 2 * RATE_HZ
    assert statistics.median(took) < 60  # a guard against a runaway, not a measurement


def test_a_refusal_reads_well() -> None:
    """The message says how far off it is and what the ranges allow; edits are numbered."""
    routine = dataclasses.replace(
        Routine(title="Short", file="a.yaml", sha256="", exercises=(_bridge(),)), length_ms=30_000
    )
    with pytest.raises(InputProblems) as caught:
        planned(routine, MS_A_WORD)
    (problem,) = caught.value.problems
    assert "the session cannot last 30 s: that is" in problem.message
    first = problem.remedy.splitlines()[1].strip()
    assert first.startswith("1. Write `length: ")
    shortest = parse_duration_ms(first.split("length: ")[1].rstrip("`."))
    assert planned(dataclasses.replace(routine, length_ms=shortest), MS_A_WORD)


def _bridge() -> Exercise:
    from breathmark.routine.model import HoldDose

    dose = HoldDose(hold_ms=Ranged(low=5_000, usual=10_000, high=15_000), sets=Ranged.fixed(5))
    return Exercise(name="Bridge", kind=Kind.HOLD, dose=dose, path="exercises[0]")
