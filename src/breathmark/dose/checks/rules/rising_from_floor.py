"""Rising from lying or kneeling straight into standing work.

What: an exercise lying, kneeling or on hands and knees is followed by one standing, with
no pause or seated exercise between and no written rest of at least a minute before it.
An exercise between that says no position is taken for one on the floor.

Why: blood pressure dips within 15 s of standing up and needs up to 40 s to recover; and
rising from the floor takes an older adult 45 to 60 s by itself.

Source: the dip and its recovery, second-hand; the times, and sitting 30 to 60 s and
standing 15 to 30 s first, common practice.

To mend: put a seated exercise between, or write `rests: {before: 1 min}`, or a pause:
`- {name: Sit and rest, kind: pause, time: 1 min, position: seated}`.

To accept: say why this patient rises without trouble.
"""

from __future__ import annotations

from collections.abc import Iterator

from breathmark.dose.checks.finding import Check, Finding, Subject
from breathmark.problems import Severity
from breathmark.routine.model import Exercise, Kind, Position

LEAST_REST_MS = 60_000
"""A written rest that holds rising and standing still: 45 s and 15 s (common practice)."""

_PAUSE = "- {name: Sit and rest, kind: pause, time: 1 min, position: seated}"
_DOWN = frozenset(
    {
        Position.SUPINE,
        Position.PRONE,
        Position.SIDE_LYING,
        Position.KNEELING,
        Position.HANDS_AND_KNEES,
    }
)


def find(subject: Subject) -> Iterator[Finding]:
    """Standing exercises that come straight after one on the floor or lying."""
    down, unsaid = "", ""
    for exercise in subject.routine.exercises:
        if exercise.position is None and exercise.kind is not Kind.PAUSE:
            unsaid = exercise.name
            continue
        if down and exercise.position is Position.STANDING and not _rested(exercise):
            yield Finding(
                path=f"{exercise.path}.position",
                message=f"the patient rises from {down} straight into standing work",
                remedy=_remedy(unsaid),
                exercise=exercise,
            )
        down = exercise.position if exercise.position in _DOWN else ""
        unsaid = ""


def _remedy(unsaid: str) -> str:
    """What to write; first the position that an exercise between leaves open."""
    pause = f"put a pause between: `{_PAUSE}`."
    if unsaid:
        return f"If `{unsaid}` is done sitting, write `position: seated` there; else {pause}"
    return pause[0].upper() + pause[1:]


def _rested(after: Exercise) -> bool:
    written = after.rests.before_ms
    return written is not None and written.low >= LEAST_REST_MS


CHECK = Check(
    id="rising-from-floor",
    severity=Severity.CAUTION,
    says="rising from lying or kneeling into standing work without a pause",
    find=find,
)
