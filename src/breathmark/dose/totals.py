"""Dose totals: what each target gets on each side, in a session and in a week.

Usual doses are added up, so a fitted routine gives the doses it was fitted to.  What an
exercise's work counts as:

========================== ==========================================================
exercise                   counts as
========================== ==========================================================
`hold`                     contraction when tagged `isometric effort`; else balance
                           when a target belongs to the region balance; else stretch
`contract-relax`           `contract` is contraction, `stretch` is stretch
`reps`                     repetitions; with `isometric effort` and a `hold` in the
                           tempo of 5 s or longer that hold is contraction, too
`free`, `breathing`        work time alone
`pause`                    nothing
========================== ==========================================================

With `sides: both` each side gets the whole dose, with `each` as well; `alternating`
repetitions and time are halved between the sides, and each side takes part in every
set.  An extra set counts for its side.  Every target of an exercise gets the exercise's
whole dose.  An exercise that names no target is added up under its own name.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, fields

from breathmark.dose.vocabulary import region_of
from breathmark.routine.model import (
    BreathingDose,
    ContractRelaxDose,
    Exercise,
    FreeDose,
    HoldDose,
    PauseDose,
    RepsDose,
    Routine,
    Side,
    Sides,
)

ISOMETRIC_TAG = "isometric effort"
"""The tag that makes a hold an effort."""

ISOMETRIC_FROM_MS = 5_000
"""A hold inside a repetition counts as a contraction from here on (the tag's meaning)."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Amounts:
    """What one side gets: times in milliseconds, repetitions and sets in numbers."""

    stretch_ms: int = 0
    contraction_ms: int = 0
    balance_ms: int = 0
    work_ms: int = 0
    repetitions: int = 0
    sets: int = 0

    def __add__(self, other: Amounts) -> Amounts:
        return Amounts(
            **{one.name: getattr(self, one.name) + getattr(other, one.name) for one in fields(self)}
        )

    def times(self, number: int) -> Amounts:
        """The same, ``number`` times."""
        return Amounts(**{one.name: getattr(self, one.name) * number for one in fields(self)})


NOTHING = Amounts()
"""No dose at all."""


@dataclass(frozen=True, kw_only=True, slots=True)
class ExerciseDose:
    """One exercise, what it gives to each side, and how long its work takes in all."""

    exercise: Exercise
    left: Amounts
    right: Amounts
    work_ms: int

    def of(self, side: Side) -> Amounts:
        """What a side gets."""
        return self.left if side is Side.LEFT else self.right


@dataclass(frozen=True, kw_only=True, slots=True)
class TargetDose:
    """One target (a muscle or an ability) over all exercises of a session.

    ``region`` is empty for a target that the published words do not have.
    """

    target: str
    region: str
    left: Amounts
    right: Amounts

    def of(self, side: Side) -> Amounts:
        """What a side gets."""
        return self.left if side is Side.LEFT else self.right

    @property
    def equal(self) -> bool:
        """Whether both sides get the same."""
        return self.left == self.right


@dataclass(frozen=True, kw_only=True, slots=True)
class DoseTotals:
    """A routine's dose in one session.

    ``days_a_week`` is ``None`` when the routine does not say it plainly, and the week is
    unknown then; the session is done ``times_a_day`` on each of these days. ``rest_ms`` is
    all of the session that is not work, ``None`` when the session's length was not given.
    """

    targets: tuple[TargetDose, ...]
    exercises: tuple[ExerciseDose, ...]
    days_a_week: int | None
    work_ms: int
    rest_ms: int | None = None
    times_a_day: int = 1

    @property
    def sessions_a_week(self) -> int | None:
        """How often the session is done in a week, if that is known."""
        return None if self.days_a_week is None else self.days_a_week * self.times_a_day

    def week(self, amounts: Amounts) -> Amounts | None:
        """What a session's amounts come to in a week, if that is known."""
        sessions = self.sessions_a_week
        return None if sessions is None else amounts.times(sessions)

    def target(self, name: str) -> TargetDose | None:
        """The total of one target, capitals ignored."""
        wanted = name.casefold()
        return next((one for one in self.targets if one.target.casefold() == wanted), None)


def dose_totals(routine: Routine, *, session_ms: int | None = None) -> DoseTotals:
    """Add up the usual doses of a routine's exercises (not of its alternatives).

    ``session_ms`` is the planned session's length, of which what is not work is rest.
    """
    exercises = tuple(exercise_dose(one) for one in routine.exercises)
    work_ms = sum(one.work_ms for one in exercises)
    return DoseTotals(
        targets=_targets(exercises),
        exercises=exercises,
        days_a_week=routine.days_a_week,
        times_a_day=routine.times_a_day,
        work_ms=work_ms,
        rest_ms=None if session_ms is None else session_ms - work_ms,
    )


def exercise_dose(exercise: Exercise) -> ExerciseDose:
    """What one exercise gives to each side."""
    one_set = _per_set(exercise)
    left, right = _shared(one_set.times(sets_of(exercise)), exercise.sides)
    if exercise.extra_set is Side.LEFT:
        left += one_set
    elif exercise.extra_set is Side.RIGHT:
        right += one_set
    once = exercise.sides is Sides.BOTH
    work_ms = left.work_ms if once else left.work_ms + right.work_ms
    return ExerciseDose(exercise=exercise, left=left, right=right, work_ms=work_ms)


def targets_of(exercise: Exercise) -> tuple[str, ...]:
    """What an exercise's dose is added up under: its targets, each once, else its name."""
    return tuple({target.casefold(): target for target in exercise.targets}.values()) or (
        exercise.name,
    )


def is_contraction(exercise: Exercise) -> bool:
    """Whether an exercise is tagged as work against something that does not move."""
    return ISOMETRIC_TAG in exercise.involves


def is_balance(exercise: Exercise) -> bool:
    """Whether one of an exercise's targets belongs to the region balance."""
    return any(region_of(target) == "balance" for target in exercise.targets)


def is_stretch(exercise: Exercise) -> bool:
    """Whether an exercise is a hold that counts as a stretch."""
    held = isinstance(exercise.dose, HoldDose)
    return held and not is_contraction(exercise) and not is_balance(exercise)


def sets_of(exercise: Exercise) -> int:
    """The usual number of sets (on each side that works); 0 for a pause."""
    match exercise.dose:
        case HoldDose(sets=sets) | RepsDose(sets=sets) | ContractRelaxDose(sets=sets):
            return sets.usual
        case PauseDose():
            return 0
        case _:
            return 1


def contraction_ms(exercise: Exercise) -> int:
    """How long a single contraction lasts; 0 when an exercise has none that counts."""
    match exercise.dose:
        case HoldDose(hold_ms=hold) if is_contraction(exercise):
            return hold.usual
        case ContractRelaxDose(contract_ms=contract):
            return contract.usual
        case RepsDose(tempo=tempo) if is_contraction(exercise):
            return tempo.hold_ms if tempo.hold_ms >= ISOMETRIC_FROM_MS else 0
        case _:
            return 0


def _per_set(exercise: Exercise) -> Amounts:
    """What one set gives, before it is shared between the sides."""
    match exercise.dose:
        case HoldDose(hold_ms=hold):
            return _held(exercise, hold.usual)
        case ContractRelaxDose() as dose:
            contract, stretch = dose.contract_ms.usual, dose.stretch_ms.usual
            work = contract + dose.relax_ms.usual + stretch
            return Amounts(sets=1, contraction_ms=contract, stretch_ms=stretch, work_ms=work)
        case RepsDose(reps=reps, tempo=tempo):
            once = Amounts(
                repetitions=1,
                contraction_ms=contraction_ms(exercise),
                work_ms=tempo.repetition_ms,
            )
            return once.times(reps.usual) + Amounts(sets=1)
        case FreeDose(time_ms=time):
            return Amounts(sets=1, work_ms=time.usual)
        case BreathingDose(breaths=breaths, pattern=pattern):
            return Amounts(sets=1, work_ms=breaths.usual * pattern.breath_ms)
        case PauseDose():
            return NOTHING


def _held(exercise: Exercise, hold_ms: int) -> Amounts:
    held = Amounts(sets=1, work_ms=hold_ms)
    if is_contraction(exercise):
        return held + Amounts(contraction_ms=hold_ms)
    if is_balance(exercise):
        return held + Amounts(balance_ms=hold_ms)
    return held + Amounts(stretch_ms=hold_ms)


def _shared(whole: Amounts, sides: Sides) -> tuple[Amounts, Amounts]:
    """The dose of the left and of the right side."""
    match sides:
        case Sides.LEFT:
            return whole, NOTHING
        case Sides.RIGHT:
            return NOTHING, whole
        case Sides.ALTERNATING:
            left = {one.name: getattr(whole, one.name) // 2 for one in fields(whole)}
            right = {name: getattr(whole, name) - half for name, half in left.items()}
            both = {"sets": whole.sets}
            return Amounts(**left | both), Amounts(**right | both)
        case Sides.BOTH | Sides.EACH:
            return whole, whole


def _targets(exercises: Iterable[ExerciseDose]) -> tuple[TargetDose, ...]:
    """The totals of every target, in the order in which the routine names them first."""
    sums: dict[str, tuple[str, Amounts, Amounts]] = {}
    for one in exercises:
        if isinstance(one.exercise.dose, PauseDose):
            continue
        for target in targets_of(one.exercise):
            name, left, right = sums.get(target.casefold(), (target, NOTHING, NOTHING))
            sums[target.casefold()] = name, left + one.left, right + one.right
    return tuple(
        TargetDose(target=name, region=region_of(name), left=left, right=right)
        for name, left, right in sums.values()
    )
