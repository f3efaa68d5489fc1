"""The set-up does not say which side.

What: the sides of an exercise differ (`each`, `left` or `right`) and its set-up holds
neither `{side}` nor `{other side}`; with one side only, the side's own name is enough,
`L foot` as well.
So it is with sides that take turns as written, when the patient file asks for one only.

Why: the patient gets into position during the set-up, with the eyes closed; the side
comes too late when the work begins.

Source: common practice.

To mend: write the side where it belongs: `Slide your {side} foot back.`  Where sides take
turns as written, no side can be named: skip the exercise in the patient file, or accept it
there.

To accept: say how the patient knows the side.
"""

from __future__ import annotations

from collections.abc import Iterator

from breathmark.dose.checks.finding import Check, Finding, Subject
from breathmark.dose.checks.sides import sides_named
from breathmark.problems import Severity
from breathmark.routine.model import Exercise, Kind, Sides

_ONE_SIDE = (Sides.LEFT, Sides.RIGHT)


def find(subject: Subject) -> Iterator[Finding]:
    """Exercises with sides whose set-up names none."""
    for exercise in subject.every_exercise:
        sided = exercise.sides in (Sides.EACH, *_ONE_SIDE) and exercise.kind is not Kind.PAUSE
        if sided and not _names_a_side(exercise, english=subject.english):
            path = "setup" if exercise.setup else "name"
            message, remedy = _said(exercise)
            where = f"{exercise.path}.{path}"
            yield Finding(path=where, message=message, remedy=remedy, exercise=exercise)


def _said(exercise: Exercise) -> tuple[str, str]:
    """What is wrong, and what to do about it."""
    missing = "but the set-up does not say which side"
    if exercise.by_turns:
        return (
            f"sides take turns in the routine and are `{exercise.sides}` here, {missing}",
            "See whether these words suit one side; then `accept` it in the patient file with the"
            " reason, or skip the exercise there.",
        )
    return (
        f"sides are `{exercise.sides}`, {missing}",
        "Write `{side}` where it belongs: `Slide your {side} foot back.`",
    )


def _names_a_side(exercise: Exercise, *, english: bool) -> bool:
    text = " ".join(exercise.setup)
    if "{side}" in text or "{other side}" in text:
        return True
    if exercise.sides not in _ONE_SIDE or not english:
        return False
    return any(side.value == exercise.sides.value for side, _ in sides_named(text))


CHECK = Check(
    id="side-word-missing",
    severity=Severity.CAUTION,
    says="the set-up does not say which side",
    find=find,
)
