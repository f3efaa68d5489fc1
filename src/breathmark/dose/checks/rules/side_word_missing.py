"""The set-up does not say which side.

What: the sides of an exercise differ (`each`, `left` or `right`) and its set-up holds
neither `{side}` nor `{other side}`; with one side only, the side's own name is enough.

Why: the patient gets into position during the set-up, with the eyes closed; the side
comes too late when the work begins.

Source: common practice.

To mend: write the side where it belongs: `Slide your {side} foot back.`

To accept: say how the patient knows the side.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from breathmark.dose.checks.finding import Check, Finding, Subject
from breathmark.problems import Severity
from breathmark.routine.model import Exercise, Kind, Sides

_ONE_SIDE = (Sides.LEFT, Sides.RIGHT)


def find(subject: Subject) -> Iterator[Finding]:
    """Exercises with sides whose set-up names none."""
    for exercise in subject.every_exercise:
        sided = exercise.sides in (Sides.EACH, *_ONE_SIDE) and exercise.kind is not Kind.PAUSE
        if sided and not _names_a_side(exercise, english=subject.english):
            path = "setup" if exercise.setup else "name"
            yield Finding(
                path=f"{exercise.path}.{path}",
                message=f"sides are `{exercise.sides}`, but the set-up does not say which side",
                remedy="Write `{side}` where it belongs: `Slide your {side} foot back.`",
                exercise=exercise,
            )


def _names_a_side(exercise: Exercise, *, english: bool) -> bool:
    text = " ".join(exercise.setup)
    if "{side}" in text or "{other side}" in text:
        return True
    named = exercise.sides in _ONE_SIDE and english
    return named and bool(re.search(rf"\b{exercise.sides}\b", text, re.IGNORECASE))


CHECK = Check(
    id="side-word-missing",
    severity=Severity.CAUTION,
    says="the set-up does not say which side",
    find=find,
)
