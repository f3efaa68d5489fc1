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
    pairs = _order(exercise, exercise.first_side or first_side)
    return tuple(
        Interval(side=side, set_number=number, sets=sets_on(exercise, side), index=index)
        for index, (side, number) in enumerate(pairs)
    )


def sets_on(exercise: Exercise, side: Side | None) -> int:
    """The usual number of sets on one side, the extra one included."""
    is_extra = exercise.sides is Sides.EACH and side is not None and side is exercise.extra_set
    return sets_of(exercise) + (1 if is_extra else 0)


def _order(exercise: Exercise, first: Side) -> list[tuple[Side | None, int]]:
    numbers = range(1, sets_of(exercise) + 1)
    match exercise.sides:
        case Sides.BOTH | Sides.ALTERNATING:
            return [(None, number) for number in numbers]
        case Sides.LEFT | Sides.RIGHT:
            return [(Side(exercise.sides.value), number) for number in numbers]
        case Sides.EACH:
            pair = (first, first.other)
            most = range(1, max(sets_on(exercise, side) for side in pair) + 1)
            by_side = [(side, number) for side in pair for number in most]
            if exercise.change_sides is ChangeSides.EVERY_SET:
                by_side.sort(key=lambda turn: turn[1])
            return [turn for turn in by_side if turn[1] <= sets_on(exercise, turn[0])]
