"""The position changes back and forth.

What: four exercises in a row change between the same two positions and back (standing,
seated, standing, seated).  An exercise that rises from a chair belongs to both.

Why: every change costs 10 to 60 s of the session and tires an older patient before the
exercise begins.

Source: the times of position changes, common practice.

To mend: put the exercises of one position together.

To accept: say what the order is for, such as rising often being the aim.
"""

from __future__ import annotations

from collections.abc import Iterator

from breathmark.dose.checks.finding import Check, Finding, Subject
from breathmark.problems import Severity
from breathmark.routine.model import Exercise

RISING_TAG = "rising from a chair"


def find(subject: Subject) -> Iterator[Finding]:
    """The fourth exercise of an order that goes back and forth, once for each such run."""
    runs = _runs(subject.routine.exercises)
    at = 3
    while at < len(runs):
        first, second, third, last = (one.position for one in runs[at - 3 : at + 1])
        if first == third and second == last:
            yield Finding(
                path=f"{runs[at].path}.position",
                message=f"the position goes back and forth between {first} and {second}",
                remedy="Put the exercises of one position together.",
                exercise=runs[at],
            )
            at += 3
        at += 1


def _runs(exercises: tuple[Exercise, ...]) -> list[Exercise]:
    """The first exercise of each run of one position."""
    runs: list[Exercise] = []
    for one in exercises:
        if one.position is None or RISING_TAG in one.involves:
            continue
        if not runs or runs[-1].position is not one.position:
            runs.append(one)
    return runs


CHECK = Check(
    id="back-and-forth",
    severity=Severity.NOTE,
    says="the position changes back and forth",
    find=find,
)
