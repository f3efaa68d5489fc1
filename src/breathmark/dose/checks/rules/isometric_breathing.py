"""A muscle is tensed and nothing is said about breathing.

What: an exercise with an isometric effort (a tagged hold or repetition, or
contract-relax) has no `breathe` line and speaks of breath nowhere else.  A line that asks
to hold the breath does not count.

Why: people hold their breath and bear down when they tense a muscle, and blood pressure
climbs.  Breathing out instead of bearing down took it from 163/120 to 148/112 mmHg.

Source: Phys Ther 1989;69:757-61, quadriceps isometrics (published).

To mend: add `breathe: Breathe out as you press.`

To accept: say how the patient was taught to breathe.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from breathmark.dose.checks.asking_breath import asked_phrase
from breathmark.dose.checks.finding import Check, Finding, Subject
from breathmark.dose.checks.lines import exercise_lines
from breathmark.dose.totals import contraction_ms
from breathmark.problems import Severity
from breathmark.routine.model import Exercise

_BREATH = re.compile(r"\b(?:breath|breathe|breathing|exhale|blow)\b", re.IGNORECASE)


def find(subject: Subject) -> Iterator[Finding]:
    """Efforts without a word about breathing."""
    for exercise in subject.every_exercise:
        if contraction_ms(exercise) and not _speaks_of_breath(exercise):
            yield Finding(
                path=f"{exercise.path}.name",
                message="a muscle is tensed here and nothing is said about breathing",
                remedy="Add a line such as `breathe: Breathe out as you press.`",
                exercise=exercise,
            )


def _speaks_of_breath(exercise: Exercise) -> bool:
    return any(
        (line.kind == "breathe" or _BREATH.search(line.text)) and not asked_phrase(line.text)
        for line in exercise_lines(exercise)
    )


CHECK = Check(
    id="isometric-breathing",
    severity=Severity.CAUTION,
    says="a muscle is tensed and nothing is said about breathing",
    find=find,
)
