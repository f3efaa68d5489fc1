"""A small prescription for the tests of what is handed over."""

from __future__ import annotations

import dataclasses

from breathmark.deliver.record import Prescribed
from breathmark.dose.checks import check_routine
from breathmark.dose.totals import dose_totals
from breathmark.routine.frequency import frequency_of
from breathmark.routine.model import Exercise, HoldDose, Kind, Position, Routine
from breathmark.script.session import Session
from breathmark.units import Ranged, milliseconds
from tests.plan_sessions import twelve_minutes


def prescribed(
    session: Session | None = None,
    *,
    title: str = "Steady on your feet",
    frequency: str = "5 days a week",
) -> Prescribed:
    """A prescription of ``session``, which gets the title; twelve minutes when not given."""
    plan = dataclasses.replace(session or twelve_minutes(), title=title)
    routine = Routine(
        title=title,
        file="steady.yaml",
        sha256="5" * 64,
        frequency=frequency,
        days_a_week=frequency_of(frequency).days_a_week,
        times_a_day=frequency_of(frequency).times_a_day,
        exercises=tuple(
            Exercise(
                name=block.title,
                kind=Kind.HOLD,
                dose=HoldDose(hold_ms=Ranged.fixed(30_000), sets=Ranged.fixed(2)),
                path=f"exercises[{block.exercise}]",
                position=Position.STANDING,
            )
            for block in plan.blocks
            if block.exercise is not None
        ),
    )
    return Prescribed(
        routine=routine,
        session=plan,
        voices=[],
        gain_db=0.0,
        totals=dose_totals(routine, session_ms=milliseconds(plan.length, plan.rate_hz)),
        checked=check_routine(routine),
    )
