"""Every change that the routine's weeks and the patient's file ask for, in their order."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from breathmark.problems import nearest
from breathmark.routine.exercise import folded
from breathmark.routine.model import Exercise, Routine, Week
from breathmark.routine.patient import Patient
from breathmark.routine.reader import short
from breathmark.routine.report import Report
from breathmark.routine.rules import Rule
from breathmark.routine.tailoring_changes import Origin, Wish
from breathmark.routine.tailoring_dose import Standing, changed, fits


def week_starts(routine: Routine, patient: Patient | None) -> tuple[int, ...]:
    """The weeks in which something changes: 1, and where the blocks of `weeks` begin."""
    weeks = (*routine.weeks, *(patient.weeks if patient else ()))
    return tuple(sorted({1, *(week.from_week for week in weeks)}))


def blocks_until(
    routine: Routine, patient: Patient | None, week: int
) -> Iterator[tuple[Week, Origin]]:
    """The blocks of `weeks` up to a week, earliest first in each file, with who asks."""
    for file, name in ((routine, "routine"), (patient, "patient file")):
        if file is None:
            continue
        for one in sorted(file.weeks, key=lambda block: block.from_week):
            if one.from_week <= week:
                yield one, _origin(f"week {one.from_week} of the {name}", file, one.from_week)


def patient_origin(patient: Patient) -> Origin:
    """What the patient's file asks for in every week."""
    return _origin("the patient file", patient)


def wishes_of(routine: Routine, patient: Patient | None, week: int) -> tuple[Wish, ...]:
    """The changes of exercises in a week, the last word last.

    The routine's weeks come first, then the patient's file, then its weeks.
    """
    blocks = tuple(blocks_until(routine, patient, week))
    general = patient_origin(patient) if patient else None
    return (
        *_wishes(blocks, patient=False),
        *(Wish(change=one, origin=general) for one in (patient.changes if patient else ())
          if general is not None),
        *_wishes(blocks, patient=True),
    )  # fmt: skip


def check_all(
    report: Report, routine: Routine, patient: Patient | None, *, names_only: bool = False
) -> None:
    """Report what is wrong with the changes of any week.

    ``names_only`` asks no more than whether the exercises exist: the routine may hold
    stand-ins for what could not be read.
    """
    everyone = (*routine.exercises, *routine.alternatives)
    for week in week_starts(routine, patient):
        wishes = wishes_of(routine, patient, week)
        check_wishes(report, everyone, wishes, names_only=names_only)
        if not names_only:
            _check_left_out(report, wishes, week)


def check_wishes(
    report: Report,
    exercises: Iterable[Exercise],
    wishes: Iterable[Wish],
    *,
    names_only: bool = False,
) -> None:
    """Report every wish that names no exercise, or asks of it what it has not or cannot be."""
    standing = {folded(one.name): Standing.of(one) for one in exercises}
    for wish in wishes:
        name = folded(wish.change.exercise)
        if name not in standing:
            message = f"the routine has no exercise `{short(wish.change.exercise)}`"
            close = nearest(wish.change.exercise, (one.written.name for one in standing.values()))
            remedy = f"Did you mean `{close}`?" if close else ""
            report.add(Rule.UNKNOWN_EXERCISE, message, wish.place, remedy)
        elif not names_only and fits(report, standing[name].written, wish):
            standing[name] = changed(report, standing[name], wish)


def _check_left_out(report: Report, wishes: Iterable[Wish], week: int) -> None:
    """Report every change that begins in a week in which its exercise is left out already."""
    skips: dict[str, Wish] = {}
    for wish in wishes:
        name = folded(wish.change.exercise)
        skip = skips.get(name)
        if wish.change.skip:
            skips.setdefault(name, wish)
        elif skip is not None and wish.origin.from_week == week:
            since = f"week {skip.origin.from_week} ({skip.place.shown()})"
            message = (
                f"this has no effect: `{short(wish.change.exercise)}` is left out since {since}"
            )
            remedy = "Take this out, or the `skip` that comes before it: `skip` counts to the end."
            report.add(Rule.CONTRADICTION, message, wish.place, remedy)


def _wishes(blocks: Iterable[tuple[Week, Origin]], *, patient: bool) -> Iterator[Wish]:
    for week, origin in blocks:
        if origin.patient is patient:
            yield from (Wish(change=change, origin=origin) for change in week.changes)


def _origin(asker: str, file: Routine | Patient, from_week: int = 1) -> Origin:
    patient = isinstance(file, Patient)
    return Origin(asker=asker, place=file.place, patient=patient, from_week=from_week)
