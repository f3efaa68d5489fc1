"""A stretch adds up to less than does something.

What: no target of a stretch reaches 60 s a session on a side that is stretched, or
stretches are done on fewer than 2 days a week.

Why: below that, little is gained for the time it takes.

Source: Garber 2011, Med Sci Sports Exerc 43(7):1334-59: 60 s in all for each flexibility
exercise, at least 2 days a week (published).

To mend: hold longer or add a set, so that hold times sets makes 60 s on each side.
A hold that is an effort needs `involves: [isometric effort]`.

To accept: say why, such as the first weeks after an operation, or a joint that only
moves through its range as a warm-up.
"""

from __future__ import annotations

from collections.abc import Iterator

from breathmark.dose.checks.efforts import unless_effort
from breathmark.dose.checks.finding import Check, Finding, Subject
from breathmark.dose.guidance import STRETCH_DAYS, STRETCH_SESSION, Verdict
from breathmark.dose.totals import DoseTotals, ExerciseDose, targets_of
from breathmark.problems import Severity
from breathmark.routine.model import Side
from breathmark.units import duration_text


def find(subject: Subject) -> Iterator[Finding]:
    """Stretches that stay under the guidance, and a week with too few days of them."""
    stretches = [one for one in subject.totals.exercises if _stretched(one)]
    for dose in stretches:
        most_ms = min(_most_ms(subject.totals, dose, side) for side in _stretched(dose))
        if STRETCH_SESSION.verdict(most_ms) is Verdict.UNDER:
            yield Finding(
                path=f"{dose.exercise.path}.sets",
                message=f"this stretch comes to {duration_text(most_ms)} a session on a side; "
                "guidance is 60 s",
                remedy="Hold longer or add a set, or accept it with the reason."
                + unless_effort(dose.exercise),
                exercise=dose.exercise,
            )
    days = subject.totals.days_a_week
    if stretches and days is not None and STRETCH_DAYS.verdict(days) is Verdict.UNDER:
        yield Finding(
            path="frequency",
            message="stretches on 1 day a week; guidance is at least 2 days",
            remedy="Write `2 days a week` or more, or accept it with the reason.",
        )


def _stretched(dose: ExerciseDose) -> tuple[Side, ...]:
    return tuple(side for side in Side if dose.of(side).stretch_ms)


def _most_ms(totals: DoseTotals, dose: ExerciseDose, side: Side) -> int:
    """The stretch that the best served target of an exercise gets on a side."""
    named = [totals.target(target) for target in targets_of(dose.exercise)]
    return max(one.of(side).stretch_ms for one in named if one is not None)


CHECK = Check(
    id="stretch-under",
    severity=Severity.CAUTION,
    says="a stretch adds up to less than the guidance",
    find=find,
)
