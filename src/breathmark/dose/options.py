"""The doses an exercise may be given, each with its distance from the usual one.

Holds and times move in steps of 5 s from the usual amount, repetitions, breaths and
sets in ones; with alternating sides repetitions move in twos, so that both sides stay
equal.  The lengths of a contraction and of letting go stay as they are usual.
"""

from __future__ import annotations

import dataclasses
import itertools
from dataclasses import dataclass
from typing import Any

from breathmark.routine.model import (
    BreathingDose,
    ContractRelaxDose,
    Dose,
    Exercise,
    FreeDose,
    HoldDose,
    PauseDose,
    RepsDose,
    Sides,
)
from breathmark.units import Ranged

STEP_MS = 5_000
"""Holds and times move in steps of this."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Option:
    """One dose of an exercise: ``deviation`` is its distance from the usual dose.

    The distance is the sum, over the amounts that moved, of how far each moved as a part
    of its usual value, in thousandths.
    """

    dose: Dose
    deviation: int


def options(exercise: Exercise) -> tuple[Option, ...]:
    """Every dose that the ranges allow, the usual one first, then by deviation."""
    steps = _steps(exercise)
    found = [
        _option(exercise.dose, steps, dict(zip(steps, chosen, strict=True)))
        for chosen in itertools.product(*(values(*step) for step in steps.values()))
    ]
    return tuple(sorted(found, key=lambda option: option.deviation))


def _steps(exercise: Exercise) -> dict[str, tuple[Ranged, int]]:
    """The amounts of a dose that may move, each with its step."""
    match exercise.dose:
        case HoldDose(hold_ms=hold, sets=sets):
            return {"hold_ms": (hold, STEP_MS), "sets": (sets, 1)}
        case RepsDose(reps=reps, sets=sets):
            step = 2 if exercise.sides is Sides.ALTERNATING else 1
            return {"reps": (reps, step), "sets": (sets, 1)}
        case FreeDose(time_ms=time) | PauseDose(time_ms=time):
            return {"time_ms": (time, STEP_MS)}
        case BreathingDose(breaths=breaths):
            return {"breaths": (breaths, 1)}
        case ContractRelaxDose(stretch_ms=stretch, sets=sets):
            return {"stretch_ms": (stretch, STEP_MS), "sets": (sets, 1)}


def values(amount: Ranged, step: int) -> tuple[int, ...]:
    """The values inside a range that lie whole steps from the usual one, lowest first.

    >>> values(Ranged(low=20_000, usual=30_000, high=45_000), 5_000)
    (20000, 25000, 30000, 35000, 40000, 45000)
    """
    down = (amount.usual - amount.low) // step
    up = (amount.high - amount.usual) // step
    return tuple(amount.usual + step * k for k in range(-down, up + 1))


def _option(dose: Dose, steps: dict[str, tuple[Ranged, int]], chosen: dict[str, int]) -> Option:
    moved = sum(
        round(1000 * abs(value - steps[name][0].usual) / steps[name][0].usual)
        for name, value in chosen.items()
    )
    changed = {
        name: dataclasses.replace(steps[name][0], usual=value) for name, value in chosen.items()
    }
    return Option(dose=with_amounts(dose, changed), deviation=moved)


def with_amounts(dose: Dose, changed: dict[str, Ranged]) -> Dose:
    """A dose with some of its amounts replaced; the names are those of its fields."""
    amounts: dict[str, Any] = dict(changed)
    return dataclasses.replace(dose, **amounts)
