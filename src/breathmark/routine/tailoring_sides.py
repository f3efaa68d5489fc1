"""The sides of a session: one side only, or a set more on one of them."""

from __future__ import annotations

from dataclasses import replace

from breathmark.routine.model import (
    Dose,
    Exercise,
    FreeDose,
    Kind,
    RepsDose,
    Side,
    Sides,
    Variation,
)
from breathmark.routine.other_ways import with_dose
from breathmark.routine.patient import Patient
from breathmark.routine.report import Report
from breathmark.routine.rules import Rule
from breathmark.routine.tailoring_changes import Change, ChangeKind
from breathmark.units import Ranged, duration_text


def sided(report: Report, exercise: Exercise, patient: Patient) -> tuple[Exercise, Change | None]:
    """The exercise with the sides that the patient's file asks for.

    With `only`, an exercise for each side becomes one for that side; one that alternates
    does too, with half its repetitions or time: the side keeps the dose that it had.  An
    exercise for the other side alone is reported.  Both sides at once stay as they are.
    """
    if patient.only_side is not None:
        return _only(report, exercise, patient, patient.only_side)
    if patient.extra_set is not None and exercise.sides is Sides.EACH:
        return _extra(exercise, patient, patient.extra_set)
    return exercise, None


def _only(
    report: Report, exercise: Exercise, patient: Patient, side: Side
) -> tuple[Exercise, Change | None]:
    place = patient.place("sides.only")
    one = Sides(side.value)
    match exercise.sides:
        case Sides.BOTH:
            return exercise, None
        case Sides.EACH:
            done = replace(exercise, sides=one, first_side=None)
            what = f"only on the {side} side"
        case Sides.ALTERNATING:
            halved = with_dose(_with_halved_ways(exercise), _half(exercise.dose))
            done = replace(halved, sides=one, first_side=None, by_turns=True)
            what = f"only on the {side} side, {_halved_text(done)}"
        case _:
            if exercise.sides is not one:
                message = (
                    f"`{exercise.name}` is for the {exercise.sides} side only, and this"
                    f" session is for the {side} side"
                )
                remedy = f"Write `{exercise.name}: skip` under `changes`, or another side here."
                report.add(Rule.WRONG_SIDE, message, place, remedy)
            return exercise, None
    change = Change(
        kind=ChangeKind.SIDE,
        exercise=exercise.name,
        before=str(exercise.sides),
        after=str(one),
        because="as the patient file asks",
        place=place,
        sentence=f"{exercise.name}: {what}, as the patient file asks.",
    )
    return done, change


def _with_halved_ways(exercise: Exercise) -> Exercise:
    """The exercise with what one side gets of its easier and harder ways."""

    def halved(way: Variation | None) -> Variation | None:
        return way if way is None or way.dose is None else replace(way, dose=_half(way.dose))

    whole = replace(exercise, easier=halved(exercise.easier), harder=halved(exercise.harder))
    return replace(whole, dose=_half(exercise.dose))


def _half(dose_by_turns: Dose) -> RepsDose | FreeDose:
    """What one side gets of a dose that alternates; an odd count or second is rounded up."""
    match dose_by_turns:
        case RepsDose() as dose:
            return replace(dose, reps=_halved(dose.reps, 1))
        case FreeDose() as dose:
            return replace(dose, time_ms=_halved(dose.time_ms, 1_000))
        case _:
            raise ValueError(f"{type(dose_by_turns).__name__} does not alternate")


def _halved(amount: Ranged, unit: int) -> Ranged:
    low, usual, high = (
        -(-value // (2 * unit)) * unit for value in (amount.low, amount.usual, amount.high)
    )
    return Ranged(low=low, usual=usual, high=high)


def _halved_text(done: Exercise) -> str:
    if isinstance(done.dose, FreeDose):
        return f"{duration_text(done.dose.time_ms.usual)}, half of the time"
    if isinstance(done.dose, RepsDose):
        return f"{done.dose.reps.usual} repetitions, half of those by turns"
    raise ValueError(f"an exercise of kind {done.kind} does not alternate")


def _extra(exercise: Exercise, patient: Patient, side: Side) -> tuple[Exercise, Change | None]:
    if exercise.kind is Kind.FREE:
        what, before, after = f"once more on the {side} side", "once", "twice"
    else:
        what = f"one set more on the {side} side"
        before, after = "no extra set", "one set more"
    change = Change(
        kind=ChangeKind.EXTRA_SET,
        exercise=exercise.name,
        before=before,
        after=after,
        because="as the patient file asks",
        place=patient.place("sides.extra set"),
        sentence=f"{exercise.name}: {what}, as the patient file asks.",
    )
    return replace(exercise, extra_set=side), change
