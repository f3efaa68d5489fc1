"""Which side works when: the order of an exercise's work intervals."""

from __future__ import annotations

from dataclasses import dataclass

from breathmark.routine.model import (
    BreathingDose,
    ChangeSides,
    ContractRelaxDose,
    Exercise,
    FreeDose,
    HoldDose,
    PauseDose,
    RepsDose,
    Side,
    Sides,
)


@dataclass(frozen=True, kw_only=True, slots=True)
class Interval:
    """One stretch of work: its side, its set on that side, its place in the exercise.

    ``set_number`` counts from 1; ``index`` counts all intervals of the exercise from 0.
    """

    side: Side | None
    set_number: int
    sets: int
    index: int

    @property
    def last_set(self) -> bool:
        """Whether this is the last set of its side."""
        return self.set_number == self.sets


def sets_of(exercise: Exercise) -> int:
    """The usual number of sets (on each side that works)."""
    match exercise.dose:
        case HoldDose() | RepsDose() | ContractRelaxDose():
            return exercise.dose.sets.usual
        case _:
            return 1


def work_ms(exercise: Exercise) -> int:
    """How long one work interval lasts at its usual dose, in milliseconds."""
    match exercise.dose:
        case HoldDose(hold_ms=hold):
            return hold.usual
        case RepsDose(reps=reps, tempo=tempo):
            return reps.usual * tempo.repetition_ms
        case FreeDose(time_ms=time) | PauseDose(time_ms=time):
            return time.usual
        case BreathingDose(breaths=breaths, pattern=pattern):
            return breaths.usual * pattern.breath_ms
        case ContractRelaxDose() as dose:
            return dose.contract_ms.usual + dose.relax_ms.usual + dose.stretch_ms.usual


def intervals(exercise: Exercise, first_side: Side) -> tuple[Interval, ...]:
    """The work intervals of an exercise in the order in which they are done.

    ``first_side`` is used when the exercise does not say which side comes first.
    """
    sets = sets_of(exercise)
    pairs = _order(exercise, sets, exercise.first_side or first_side)
    return tuple(
        Interval(side=side, set_number=number, sets=sets, index=index)
        for index, (side, number) in enumerate(pairs)
    )


def _order(exercise: Exercise, sets: int, first: Side) -> list[tuple[Side | None, int]]:
    numbers = range(1, sets + 1)
    match exercise.sides:
        case Sides.BOTH | Sides.ALTERNATING:
            return [(None, number) for number in numbers]
        case Sides.LEFT | Sides.RIGHT:
            return [(Side(exercise.sides.value), number) for number in numbers]
        case Sides.EACH:
            pair = (first, first.other)
            if exercise.change_sides is ChangeSides.ALL_SETS:
                return [(side, number) for side in pair for number in numbers]
            return [(side, number) for number in numbers for side in pair]
