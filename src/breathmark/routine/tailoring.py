"""A routine for one patient in one week, and everything that was changed, said.

The order is: exercises to be skipped; exercises that involve something to be avoided,
which are replaced; then, for each exercise, what the routine's own weeks say, what the
patient's file says, and what its weeks say, in this order, so that the patient's file has
the last word; and last the sides.  In one change a version comes before the amounts.  A
step such as ``+10 s`` moves the amount in force, and its range with it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from breathmark.problems import Place
from breathmark.routine.exercise import folded
from breathmark.routine.model import Coaching, Exercise, Routine, Version
from breathmark.routine.patient import Patient
from breathmark.routine.report import Report
from breathmark.routine.rules import Rule
from breathmark.routine.tailoring_changes import Change, ChangeKind, Wish, listed
from breathmark.routine.tailoring_dose import (
    Standing,
    as_standing,
    avoided_ways,
    changed,
    without_offer,
)
from breathmark.routine.tailoring_session import Session, sayings
from breathmark.routine.tailoring_sides import sided
from breathmark.routine.tailoring_standins import chosen
from breathmark.routine.tailoring_wishes import check_wishes, week_starts, wishes_of
from breathmark.routine.tailoring_words import changes_of

__all__ = ["Change", "ChangeKind", "Tailored", "for_week", "tailored", "week_starts"]


@dataclass(frozen=True, kw_only=True, slots=True)
class Tailored:
    """A routine as this patient does it in this week.

    ``coaching`` of ``None`` is nobody's wish.  ``routine.places`` points into whichever
    file says a thing; ``routine.dropped`` holds the exercises that were taken out.
    """

    routine: Routine
    changes: tuple[Change, ...] = ()
    coaching: Coaching | None = None
    week: int = 1


def tailored(routine: Routine, patient: Patient | None) -> Tailored:
    """The routine for a patient in the first week; the same for the same files.

    Raises :class:`~breathmark.problems.InputProblems` when something to be avoided cannot
    be replaced, or a change does not fit, with places in the file at fault.
    """
    return for_week(routine, patient, 1)


def for_week(routine: Routine, patient: Patient | None, week: int) -> Tailored:
    """The routine in a week, counted from 1: all blocks of `weeks` up to it count.

    ``patient`` of ``None`` takes the routine's own weeks alone.  Raises as
    :func:`tailored` does.
    """
    report = Report()
    return report.settle(lambda: _Tailoring(report, routine, patient, week).tailored())


class _Tailoring:
    def __init__(
        self, report: Report, routine: Routine, patient: Patient | None, week: int
    ) -> None:
        self._report = report
        self._routine = routine
        self._patient = patient
        self._week = week
        self._wishes = wishes_of(routine, patient, week)
        self._changes: list[Change] = []
        self._places: dict[str, Place] = dict(routine.places)

    def tailored(self) -> Tailored:
        """Do it all, in the order above."""
        everyone = (*self._routine.exercises, *self._routine.alternatives)
        check_wishes(self._report, everyone, self._wishes)
        if len(self._report):
            return Tailored(routine=self._routine)
        skips = [wish for wish in self._wishes if wish.change.skip]
        cast = chosen(self._report, self._routine, self._patient, skips)
        self._changes += cast.changes
        exercises = tuple(self._exercise(one) for one in cast.exercises)
        self._require_some(exercises)
        self._not_applied(exercises, skips)
        self._extra_given(exercises)
        session = Session(self._routine, self._patient, self._places)
        said = sayings(self._routine, self._patient, self._week)
        routine, coaching = session.routine(cast, exercises, said), session.coaching(said)
        changes = (*self._changes, *session.changes)
        return Tailored(routine=routine, changes=changes, coaching=coaching, week=self._week)

    def _exercise(self, exercise: Exercise) -> Exercise:
        """One exercise with its changes, its offers sorted out, and its sides."""
        standing = Standing.of(exercise)
        for wish in self._wishes:
            if folded(wish.change.exercise) == folded(exercise.name):
                standing = self._wished(standing, wish)
        self._changes += changes_of(standing)
        self._keep_places(standing)
        done = self._without_avoided_offers(as_standing(standing))
        if self._patient is None:
            return done
        done, change = sided(self._report, done, self._patient)
        self._changes += [change] if change else []
        return done

    def _wished(self, standing: Standing, wish: Wish) -> Standing:
        """The exercise after a wish; a version that involves something avoided is refused."""
        version = wish.change.version
        tags = self._avoided_ways(standing.written).get(version) if version else None
        if not tags:
            return changed(self._report, standing, wish)
        name, place = standing.written.name, wish.place_of("version")
        if wish.origin.patient:
            message = (
                f"the {version} way of `{name}` involves {listed(tags)}, which this patient avoids"
            )
            self._report.add(Rule.AVOIDED, message, place, "Take it out, or change `avoid`.")
        else:
            self._not_done(
                ChangeKind.NOT_APPLIED, name, place,
                f"not the {version} way that {wish.origin.asker} asks for, because it involves"
                f" {listed(tags)}",
            )  # fmt: skip
        rest = replace(wish, change=replace(wish.change, version=None))
        return changed(self._report, standing, rest)

    def _avoided_ways(self, exercise: Exercise) -> dict[Version, list[str]]:
        return avoided_ways(exercise, self._patient.avoid if self._patient else ())

    def _without_avoided_offers(self, exercise: Exercise) -> Exercise:
        """Take out the easier and harder ways that involve something to be avoided."""
        for version, tags in self._avoided_ways(exercise).items():
            self._not_done(
                ChangeKind.OFFER_DROPPED,
                exercise.name,
                self._routine.place(f"{exercise.path}.{version}"),
                f"the {version} way is not offered, because it involves {listed(tags)}",
            )
            exercise = without_offer(exercise, version)
        return exercise

    def _keep_places(self, standing: Standing) -> None:
        """Point the changed fields of an exercise to where the change was asked for."""
        path = standing.written.path
        for key, wish in standing.wishes.items():
            if key != "version":
                self._places[f"{path}.{key}"] = wish.place_of(key)

    def _require_some(self, exercises: tuple[Exercise, ...]) -> None:
        if exercises or len(self._report):
            return
        place = self._wishes[-1].place if self._wishes else self._routine.place("exercises")
        message = "nothing is left of the routine: every exercise is left out"
        self._report.add(Rule.CONTRADICTION, message, place, "Keep at least one.")

    def _not_applied(self, exercises: tuple[Exercise, ...], skips: Iterable[Wish]) -> None:
        """Say which changes came to nothing, because their exercise is not in the session."""
        here = {folded(one.name) for one in exercises}
        here |= {folded(wish.change.exercise) for wish in skips}
        told: set[tuple[str, str]] = set()
        for wish in self._wishes:
            name = wish.change.exercise
            asked = folded(name), wish.origin.asker
            if folded(name) not in here and asked not in told:
                told.add(asked)
                self._not_done(
                    ChangeKind.NOT_APPLIED, name, wish.place,
                    f"what {wish.origin.asker} changes at it is not applied, because it is not"
                    " in the session",
                )  # fmt: skip

    def _extra_given(self, exercises: tuple[Exercise, ...]) -> None:
        """Say that no exercise here can have the extra set on a side that was asked for."""
        side = self._patient.extra_set if self._patient else None
        if self._patient is None or side is None or any(one.extra_set for one in exercises):
            return
        sentence = (
            f"No extra set on the {side} side, which the patient file asks for: no exercise of"
            " the session is for each side in turn."
        )
        place = self._patient.place("sides.extra set")
        self._changes.append(Change(kind=ChangeKind.NOT_APPLIED, place=place, sentence=sentence))

    def _not_done(self, kind: ChangeKind, exercise: str, place: Place, what: str) -> None:
        sentence = f"{exercise}: {what}."
        self._changes.append(Change(kind=kind, exercise=exercise, place=place, sentence=sentence))
