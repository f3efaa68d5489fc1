"""What a patient's file and later weeks say of the whole session."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from breathmark.problems import Place
from breathmark.routine.avoiding import avoided
from breathmark.routine.exercise import folded
from breathmark.routine.model import Coaching, Exercise, Routine
from breathmark.routine.patient import Patient
from breathmark.routine.tailoring_changes import Change, ChangeKind, Origin, listed
from breathmark.routine.tailoring_dose import avoided_ways, without_offer
from breathmark.routine.tailoring_standins import Cast
from breathmark.routine.tailoring_wishes import blocks_until, patient_origin
from breathmark.units import duration_text


@dataclass(frozen=True, kw_only=True, slots=True)
class Saying:
    """What one part of a file says of the session, and where; ``None`` says nothing."""

    origin: Origin
    path: str
    length_ms: int | None = None
    coaching: Coaching | None = None

    def place(self, key: str) -> Place:
        """Where one of its keys stands."""
        return self.origin.place(f"{self.path}.{key}" if self.path else key)


def sayings(routine: Routine, patient: Patient | None, week: int) -> tuple[Saying, ...]:
    """What the weeks and the patient's file say, in the order of :func:`wishes_of`."""
    blocks = [
        Saying(origin=origin, path=one.path, length_ms=one.length_ms, coaching=one.coaching)
        for one, origin in blocks_until(routine, patient, week)
    ]
    if patient is None:
        return tuple(blocks)
    general = Saying(
        origin=patient_origin(patient),
        path="",
        length_ms=patient.length_ms,
        coaching=patient.coaching,
    )
    own = (one for one in blocks if one.origin.patient)
    return (*(one for one in blocks if not one.origin.patient), general, *own)


class Session:
    """The routine of the session, put together with a change for everything that differs."""

    def __init__(self, routine: Routine, patient: Patient | None, places: dict[str, Place]) -> None:
        self._written = routine
        self._patient = patient
        self._places = places
        self.changes: list[Change] = []

    def routine(
        self, cast: Cast, exercises: tuple[Exercise, ...], said: Sequence[Saying]
    ) -> Routine:
        """The routine with its exercises, and what was said of the whole session."""
        written, patient = self._written, self._patient
        suitable = self._alternatives(exercises)
        length_ms = self._length(said)
        done = replace(
            written,
            exercises=tuple(_with_instead(one, (*suitable, *exercises)) for one in exercises),
            alternatives=suitable,
            dropped=(*written.dropped, *cast.dropped),
            equipment=(*written.equipment, *self._equipment(exercises)),
            length_ms=length_ms,
            places=self._places,
        )
        return done if patient is None else self._with_patient(done, patient)

    def coaching(self, said: Sequence[Saying]) -> Coaching | None:
        """The last that was said of coaching."""
        last = next((one for one in reversed(said) if one.coaching), None)
        if last is None:
            return None
        text = f"Coaching is {last.coaching}, {last.origin.words}."
        self._say(ChangeKind.COACHING, text, last.place("coaching"), after=str(last.coaching))
        return last.coaching

    def _length(self, said: Sequence[Saying]) -> int | None:
        last = next((one for one in reversed(said) if one.length_ms), None)
        usual = self._written.length_ms
        if last is None or last.length_ms is None:
            return usual
        self._places["length"] = last.place("length")
        if last.length_ms != usual:
            before = duration_text(usual) if usual else "its natural length"
            text = f"The session lasts {duration_text(last.length_ms)} instead of {before}"
            self._say(
                ChangeKind.LENGTH, f"{text}, {last.origin.words}.", self._places["length"],
                before=before, after=duration_text(last.length_ms),
            )  # fmt: skip
        return last.length_ms

    def _with_patient(self, routine: Routine, patient: Patient) -> Routine:
        asks = "as the patient file asks"
        first = patient.first_side or routine.first_side
        if first is not routine.first_side:
            text = f"The {first} side comes first, unless an exercise says otherwise, {asks}."
            self._place("first side", patient.place("sides.first"), ChangeKind.SIDE, text)
        voice = patient.voice or routine.voice
        if voice != routine.voice:
            text = f"The voice is `{voice}` instead of `{routine.voice}`, {asks}."
            self._place("voice", patient.place("voice"), ChangeKind.VOICE, text)
        if patient.hearing is not None:
            text = f"The recording is made for hearing that is `{patient.hearing}`, {asks}."
            self._place("hearing", patient.place("hearing"), ChangeKind.HEARING, text)
        if patient.background is not None:
            text = f"The background is `{patient.background}`, {asks}."
            self._place("background", patient.place("background"), ChangeKind.BACKGROUND, text)
        for index, caution in enumerate(patient.cautions, start=len(routine.cautions)):
            place = patient.place(f"cautions[{index - len(routine.cautions)}]")
            text = f"A caution more, {asks}: “{caution}”."
            self._place(f"cautions[{index}]", place, ChangeKind.CAUTION, text)
        for index in range(len(patient.accepted)):
            place = patient.place(f"accept[{index}].check")
            self._places[f"accept[{len(routine.accepted) + index}].check"] = place
        pain_limit = routine.pain_limit if patient.pain_limit is None else patient.pain_limit
        if pain_limit != routine.pain_limit:
            before, after = _pain(routine.pain_limit), _pain(pain_limit)
            self._say(
                ChangeKind.PAIN_LIMIT, f"{after.capitalize()} instead of {before}, {asks}.",
                patient.place("pain limit"), before=before, after=after,
            )  # fmt: skip
        return replace(
            routine,
            pain_limit=pain_limit,
            first_side=first,
            voice=voice,
            cautions=(*routine.cautions, *patient.cautions),
            accepted=(*routine.accepted, *patient.accepted),
            tags=(*routine.tags, *patient.tags),
        )

    def _alternatives(self, exercises: Iterable[Exercise]) -> tuple[Exercise, ...]:
        """The alternatives that this patient could do and that are not in the session."""
        avoid = self._patient.avoid if self._patient else ()
        here = {folded(one.name) for one in exercises}
        return tuple(
            without_avoided_ways(one, avoid)
            for one in self._written.alternatives
            if folded(one.name) not in here and not avoided(one, avoid)
        )

    def _equipment(self, exercises: Iterable[Exercise]) -> list[str]:
        """What replacements need beside what the routine lists."""
        own = {folded(one.name) for one in self._written.exercises}
        more: list[str] = []
        for exercise in exercises:
            new = [
                item
                for item in exercise.equipment
                if folded(exercise.name) not in own
                and item not in (*self._written.equipment, *more)
            ]
            if new:
                items = listed(new)
                text = f"{exercise.name}: needs {items} at hand, beside what the routine lists."
                place = self._written.place(f"{exercise.path}.equipment")
                self._say(ChangeKind.EQUIPMENT, text, place, exercise=exercise.name, after=items)
            more += new
        return more

    def _place(self, path: str, place: Place, kind: ChangeKind, text: str) -> None:
        self._places[path] = place
        self._say(kind, text, place)

    def _say(
        self, kind: ChangeKind, sentence: str, place: Place,
        *, exercise: str = "", before: str = "", after: str = "",
    ) -> None:  # fmt: skip
        self.changes.append(
            Change(
                kind=kind, sentence=sentence, place=place,
                exercise=exercise, before=before, after=after,
            )
        )  # fmt: skip


def _pain(limit: int | None) -> str:
    """How much pain is acceptable, for the clinician."""
    return f"pain up to {limit} of 10" if limit else "no pain"


def without_avoided_ways(exercise: Exercise, avoid: Sequence[str]) -> Exercise:
    """The exercise without the ways that involve something to be avoided."""
    for version in avoided_ways(exercise, avoid):
        exercise = without_offer(exercise, version)
    return exercise


def _with_instead(exercise: Exercise, others: Iterable[Exercise]) -> Exercise:
    """The exercise without an `instead` that cannot stand in for it here."""
    names = {folded(one.name) for one in others}
    fitting = exercise.instead is not None and folded(exercise.instead) in names
    return exercise if fitting else replace(exercise, instead=None)
