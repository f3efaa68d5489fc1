"""Who is in the session: exercises skipped, replaced or left out, each said."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import PurePath

from breathmark.problems import Place
from breathmark.routine.avoiding import Search, avoided, says_nothing, search, suggestion
from breathmark.routine.exercise import folded
from breathmark.routine.model import Exercise, Routine
from breathmark.routine.patient import Patient
from breathmark.routine.report import Report
from breathmark.routine.rules import Rule
from breathmark.routine.source import TABLES
from breathmark.routine.tailoring_changes import Change, ChangeKind, Wish, listed


@dataclass(kw_only=True, slots=True)
class Cast:
    """The exercises of the session so far, those taken out, and what was changed."""

    exercises: list[Exercise] = field(default_factory=list)
    dropped: list[Exercise] = field(default_factory=list)
    changes: list[Change] = field(default_factory=list)


def chosen(
    report: Report, routine: Routine, patient: Patient | None, skips: Sequence[Wish]
) -> Cast:
    """Skip what is to be skipped, and replace what involves something to be avoided.

    A dead end is reported at the exercise in the routine's file.
    """
    return _Choosing(report, routine, patient, skips).cast()


class _Choosing:
    def __init__(
        self, report: Report, routine: Routine, patient: Patient | None, skips: Sequence[Wish]
    ) -> None:
        self._report = report
        self._routine = routine
        self._patient = patient
        self._avoid = patient.avoid if patient else ()
        self._skips = {folded(wish.change.exercise): wish for wish in skips}
        everyone = (*routine.alternatives, *routine.exercises)
        self._pool = {folded(one.name): one for one in everyone}
        self._cast = Cast()
        self._needed: set[str] = set()

    def cast(self) -> Cast:
        """Go through the routine in its order."""
        standing = {folded(one.name) for one in self._routine.exercises if not self._unfit(one)}
        for exercise in self._routine.exercises:
            if folded(exercise.name) in self._skips:
                self._skip(exercise)
                continue
            found = search(exercise, self._pool, self._unfit)
            if found.found is None:
                self._refuse(exercise, found)
            elif not found.passed:
                self._keep(exercise)
            elif folded(found.found.name) in standing:
                self._leave_out(exercise, found, found.found)
            else:
                standing.add(folded(found.found.name))
                self._replace(exercise, found, found.found)
        self._cast.exercises = [
            replace(one, optional=one.optional and folded(one.name) not in self._needed)
            for one in self._cast.exercises
        ]
        return self._cast

    def _unfit(self, exercise: Exercise) -> str:
        """Why an exercise cannot be in the session; empty when it can."""
        tags = avoided(exercise, self._avoid)
        if tags:
            return f"it involves {listed(tags)}"
        return "it is to be skipped" if folded(exercise.name) in self._skips else ""

    def _keep(self, exercise: Exercise) -> None:
        self._cast.exercises.append(exercise)
        if self._avoid and says_nothing(exercise):
            self._cast.changes.append(
                Change(
                    kind=ChangeKind.NOT_KNOWN,
                    exercise=exercise.name,
                    place=self._routine.place(exercise.path),
                    sentence=f"{exercise.name}: kept, but it does not say what it involves, so"
                    f" nothing tells whether it involves {listed(self._avoid)}.",
                )
            )

    def _skip(self, exercise: Exercise) -> None:
        wish = self._skips[folded(exercise.name)]
        self._cast.dropped.append(exercise)
        self._cast.changes.append(
            Change(
                kind=ChangeKind.SKIPPED,
                exercise=exercise.name,
                place=wish.place,
                because=wish.origin.words,
                sentence=f"{exercise.name}: left out, {wish.origin.words}.",
            )
        )

    def _replace(self, exercise: Exercise, found: Search, instead: Exercise) -> None:
        self._cast.dropped.append(exercise)
        middle = f"replaced by {instead.name}, because {found.passed[0].why}"
        self._note(ChangeKind.REPLACED, exercise, found, middle=middle, after=instead.name)
        self._keep(replace(instead, optional=exercise.optional))

    def _leave_out(self, exercise: Exercise, found: Search, instead: Exercise) -> None:
        """The replacement is in the session already: once is enough."""
        self._cast.dropped.append(exercise)
        if not exercise.optional:
            self._needed.add(folded(instead.name))
        middle = (
            f"left out, because {found.passed[0].why}, and {instead.name},"
            " which would replace it, is in the session already"
        )
        self._note(ChangeKind.LEFT_OUT, exercise, found, middle=middle)

    def _note(
        self, kind: ChangeKind, exercise: Exercise, found: Search, *, middle: str, after: str = ""
    ) -> None:
        between = [f"{one.exercise.name} was passed over: {one.why}" for one in found.passed[1:]]
        more = f" ({'; '.join(between)})" if between else ""
        self._cast.changes.append(
            Change(
                kind=kind,
                exercise=exercise.name,
                before=exercise.name,
                after=after,
                because=found.passed[0].why,
                place=self._asked_at(exercise),
                sentence=f"{exercise.name}: {middle}{more}.",
            )
        )

    def _refuse(self, exercise: Exercise, found: Search) -> None:
        last = found.passed[-1].exercise
        asked = self._asked_at(exercise)
        tried = "".join(f" {one.exercise.name} was tried: {one.why}." for one in found.passed[1:])
        message = (
            f"`{exercise.name}` cannot be in the session: {found.passed[0].why}, which is"
            f" avoided at {asked.shown()}.{tried} {last.name} {found.end}"
        )
        everyone = [one.name for one in self._pool.values()]
        would_do = suggestion(exercise, self._avoid, everyone)
        example = f" (`{would_do}` of the starter library would do)" if would_do else ""
        in_table = PurePath(asked.file).suffix.lower() in TABLES
        where = "a patient file that the column `file` names" if in_table else "the patient file"
        another = "an" if last.instead is None else "another"
        self._report.add(
            Rule.AVOIDED,
            message,
            self._routine.place(f"{exercise.path}.involves"),
            f"Write {another} `instead` at {last.name}{example}, or `{exercise.name}: skip`"
            f" under `changes` in {where}.",
        )

    def _asked_at(self, exercise: Exercise) -> Place:
        """Where the patient's file says to avoid what an exercise involves."""
        if self._patient is None:
            return self._routine.place(exercise.path)
        tag = avoided(exercise, self._avoid)[0]
        return self._patient.place(f"avoid[{self._avoid.index(tag)}]")
