"""Dose totals, against sums worked by hand and against the planner's own intervals."""

from __future__ import annotations

import dataclasses
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from breathmark.dose.table import dose_text
from breathmark.dose.totals import Amounts, dose_totals, exercise_dose
from breathmark.routine.model import Exercise, PauseDose, Routine, Side, Sides
from breathmark.script.intervals import intervals, work_ms
from tests.dose.files import routine
from tests.script.routines import exercises, routines

DOSES = """
title: One of each
frequency: 3 days a week
exercises:
  - {name: Squeeze, kind: hold, targets: [rhomboids], hold: 5 s, sets: 6,
     involves: [isometric effort]}
  - {name: Stance, kind: hold, targets: [standing balance, gluteus medius], sides: each,
     hold: 20 s, sets: 2}
  - {name: Tuck, kind: reps, targets: [deep neck flexors], reps: 8, sets: 2,
     tempo: {out: 2 s, hold: 5 s, back: 2 s, pause: 1 s}, involves: [isometric effort]}
  - {name: Curl, kind: reps, targets: [biceps, Biceps], sides: each, reps: 10, sets: 3,
     tempo: {out: 2 s, hold: 5 s, back: 3 s}}
  - {name: March, kind: reps, targets: [hip flexors], sides: alternating, reps: 12, sets: 2,
     tempo: {out: 2 s, back: 2 s}}
  - {name: Press and stretch, kind: contract-relax, targets: [hamstrings], sides: right,
     contract: 6 s, relax: 2 s, stretch: 20 s, sets: 3}
  - {name: Walk, kind: free, targets: [stepping balance], sides: alternating, time: 45 s}
  - {name: Water, kind: pause, time: 1 min}
  - {name: Calm, kind: breathing, targets: [diaphragm], breaths: 6, pattern: {in: 4 s, out: 6 s}}
  - {name: Own thing, kind: free, time: 30 s}
"""


def test_calf_twice_30_s_over_5_days(tmp_path: Path) -> None:
    """Worked example: 60 s a session and 300 s a week on each side."""
    read = routine(
        """
title: Calves
frequency: 5 days a week
exercises:
  - {name: Calf stretch, kind: hold, targets: [gastrocnemius], sides: each, hold: 30 s, sets: 2}
""",
        tmp_path,
    )
    totals = dose_totals(read)
    calf = totals.target("Gastrocnemius")
    assert calf is not None
    assert calf.region == "ankle and foot"
    assert calf.left == calf.right == Amounts(stretch_ms=60_000, work_ms=60_000, sets=2)
    week = totals.week(calf.left)
    assert week is not None
    assert week.stretch_ms == 300_000
    assert totals.work_ms == 120_000


def test_the_block_of_felands_trial(tmp_path: Path) -> None:
    """Feland 2001, Phys Ther 81:1110-7: 4 x 60 s with 10 s rests is a block of 270 s, and
    1,200 s of stretch a week over 5 days."""
    read = routine(
        """
title: Hamstrings
frequency: 5 days a week
rests: {sets: 10 s}
exercises:
  - {name: Hamstring stretch, kind: hold, targets: [hamstrings], sides: right, hold: 60 s, sets: 4}
""",
        tmp_path,
    )
    totals = dose_totals(read, session_ms=270_000)
    hamstrings = totals.target("hamstrings")
    assert hamstrings is not None
    assert hamstrings.right.stretch_ms == 240_000
    assert hamstrings.left == Amounts()
    week = totals.week(hamstrings.right)
    assert week is not None
    assert week.stretch_ms == 1_200_000
    assert totals.work_ms == 240_000
    assert totals.rest_ms == 30_000


def test_every_kind_counts_as_what_it_is(tmp_path: Path) -> None:
    """Each total added up by hand."""
    totals = dose_totals(routine(DOSES, tmp_path))
    on_each = {one.target: one.left for one in totals.targets if one.equal}
    stance = Amounts(balance_ms=40_000, work_ms=40_000, sets=2)
    assert on_each == {
        "rhomboids": Amounts(contraction_ms=30_000, work_ms=30_000, sets=6),
        "standing balance": stance,
        "gluteus medius": stance,
        "deep neck flexors": Amounts(
            contraction_ms=80_000, work_ms=160_000, repetitions=16, sets=2
        ),
        "biceps": Amounts(work_ms=300_000, repetitions=30, sets=3),
        "hip flexors": Amounts(work_ms=48_000, repetitions=12, sets=2),
        "stepping balance": Amounts(work_ms=22_500, sets=1),
        "diaphragm": Amounts(work_ms=60_000, sets=1),
        "Own thing": Amounts(work_ms=30_000, sets=1),
    }
    hamstrings = totals.target("hamstrings")
    assert hamstrings is not None
    assert hamstrings.left == Amounts()
    assert hamstrings.right == Amounts(
        contraction_ms=18_000, stretch_ms=60_000, work_ms=84_000, sets=3
    )
    assert totals.work_ms == 30_000 + 80_000 + 160_000 + 600_000 + 96_000 + 84_000 + 45_000 + 90_000
    assert totals.days_a_week == 3
    assert totals.rest_ms is None


def test_a_week_that_is_not_said_is_unknown(tmp_path: Path) -> None:
    """No frequency, no week."""
    read = routine("title: A\nexercises:\n  - {name: B, kind: free, time: 30 s}\n", tmp_path)
    totals = dose_totals(read)
    assert totals.days_a_week is None
    assert totals.week(totals.targets[0].left) is None


def test_a_week_counts_every_session_of_a_day(tmp_path: Path) -> None:
    """By hand: 60 s of stretch, three times a day, on five days: 15 min."""
    text = "title: A\nfrequency: 3 times a day, 5 days a week\nexercises:\n"
    read = routine(f"{text}  - {{name: B, kind: hold, hold: 30 s, sets: 2}}\n", tmp_path)
    totals = dose_totals(read)
    week = totals.week(totals.targets[0].left)
    assert week is not None
    assert week.stretch_ms == 15 * 60_000
    assert "Dose in a week of 5 days, 3 sessions on each, for each side" in dose_text(totals)


def test_an_extra_set_counts_for_its_side(tmp_path: Path) -> None:
    """Two sets on the right, three on the left."""
    read = routine(
        "title: A\nexercises:\n"
        "  - {name: B, kind: hold, targets: [soleus], sides: each, hold: 30 s, sets: 2}\n",
        tmp_path,
    )
    more = dataclasses.replace(read.exercises[0], extra_set=Side.LEFT)
    dose = exercise_dose(more)
    assert (dose.left.stretch_ms, dose.right.stretch_ms) == (90_000, 60_000)
    assert (dose.left.sets, dose.right.sets) == (3, 2)
    assert dose.work_ms == 150_000
    other = exercise_dose(dataclasses.replace(more, extra_set=Side.RIGHT))
    assert (other.left, other.right) == (dose.right, dose.left)


@given(exercises(0))
def test_both_at_once_is_each_in_turn_for_a_side(exercise: Exercise) -> None:
    """A side gets the same whether it works with the other or after it."""
    even = dataclasses.replace(exercise, extra_set=None)
    both = exercise_dose(dataclasses.replace(even, sides=Sides.BOTH))
    each = exercise_dose(dataclasses.replace(even, sides=Sides.EACH))
    assert (both.left, both.right) == (each.left, each.right)
    assert both.left == both.right
    assert each.work_ms == 2 * both.work_ms


@given(exercises(0))
def test_left_and_right_are_mirror_images(exercise: Exercise) -> None:
    """What one side gets, the other would get."""
    even = dataclasses.replace(exercise, extra_set=None)
    left = exercise_dose(dataclasses.replace(even, sides=Sides.LEFT))
    right = exercise_dose(dataclasses.replace(even, sides=Sides.RIGHT))
    assert left.left == right.right
    assert left.right == right.left == Amounts()


@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(routines(), st.none() | st.integers(1, 7))
def test_work_is_what_the_planner_plans(invented: Routine, days: int | None) -> None:
    """The work of all intervals that the planner makes, and a week of so many sessions."""
    read = dataclasses.replace(invented, days_a_week=days)
    totals = dose_totals(read)
    planned = sum(
        len(intervals(one, Side.LEFT)) * work_ms(one)
        for one in read.exercises
        if not isinstance(one.dose, PauseDose)
    )
    assert totals.work_ms == planned
    for target in totals.targets:
        week = totals.week(target.left)
        assert (week is None) == (days is None)
        if week is not None and days is not None:
            assert week.work_ms == target.left.work_ms * days
