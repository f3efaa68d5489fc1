"""Balance work without something to hold named.

What: an exercise on the feet is tagged `narrow stance`, `balance on one leg`, `eyes
closed` or `stepping up`, or trains balance, and neither its set-up nor its own equipment
names anything to hold.

Why: the patient may be alone with closed eyes and the phone in a pocket.  Balance is
trained by nearly losing it; what catches the patient has to be there.

Source: counter in front, chair behind, shoes on, eyes open (common practice); balance
with functional exercise cuts falls, rate ratio 0.76, Sherrington 2020, BJSM 54:885-91
(published).

To mend: say it first in the set-up, such as `Face the counter with both hands on it.`

To accept: say who or what makes it safe, such as a therapist beside the patient.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from breathmark.dose.checks.finding import Check, Finding, Subject
from breathmark.dose.checks.lines import lines_of
from breathmark.dose.totals import is_balance
from breathmark.problems import Severity
from breathmark.routine.model import Exercise, Position

BALANCE_TAGS = frozenset({"narrow stance", "balance on one leg", "eyes closed", "stepping up"})
"""Tags of work that may end in a fall."""

_STEADY = re.compile(
    r"\b(?:counter|worktop|sink|table|desk|chair|chairs|armchair|armrests?|wall|walls|doorway|"
    r"door frame|rail|banister|bars?|bed|walker|walking frame|zimmer|frame|"
    r"stick|cane|helper|hold on)\b",
    re.IGNORECASE,
)


def find(subject: Subject) -> Iterator[Finding]:
    """Balance work on the feet with nothing to hold."""
    for exercise in subject.every_exercise:
        if _may_fall(exercise) and not _has_support(exercise, english=subject.english):
            yield Finding(
                path=f"{exercise.path}.name",
                message="this trains balance, and nothing to hold is named",
                remedy="Begin its set-up with one, such as `Face the counter, both hands on it.`",
                exercise=exercise,
            )


def _may_fall(exercise: Exercise) -> bool:
    on_feet = exercise.position in (Position.STANDING, None)
    return on_feet and (is_balance(exercise) or bool(BALANCE_TAGS & set(exercise.involves)))


def _has_support(exercise: Exercise, *, english: bool) -> bool:
    """Whether something to hold is named; in other languages any equipment counts."""
    if not english:
        return bool(exercise.equipment)
    texts = [line.text for line in lines_of(exercise, "setup", "helper")]
    return any(_STEADY.search(text) for text in (*texts, *exercise.equipment))


CHECK = Check(
    id="balance-support",
    severity=Severity.ERROR,
    says="balance work without something to hold named",
    find=find,
)
