"""More exercises than are usually kept up.

What: a routine has more than six exercises; pauses do not count.

Why: the longer the list, the less of it is done at home.

Source: four or more were kept up worse than two or fewer, Eckard 2015, Mil Med
180:186-91; more than six against one to three, odds ratio 0.2, Medina-Mirapeix 2009, BMC
Musculoskelet Disord 10:155 (both published).

To mend: keep the ones that matter most, mark others `optional: yes` so that a shorter
`length` leaves them out, or split the routine over two days.

To accept: say why this patient will keep it up.
"""

from __future__ import annotations

from collections.abc import Iterator

from breathmark.dose.checks.finding import Check, Finding, Subject
from breathmark.problems import Severity
from breathmark.routine.model import Kind

MOST_EXERCISES = 6


def find(subject: Subject) -> Iterator[Finding]:
    """A list that is too long, marked at the first exercise too many."""
    counted = [one for one in subject.routine.exercises if one.kind is not Kind.PAUSE]
    if len(counted) > MOST_EXERCISES:
        yield Finding(
            path=f"{counted[MOST_EXERCISES].path}.name",
            message=f"{len(counted)} exercises: more than six are seldom kept up, "
            "and from four on it already grows harder",
            remedy="Keep what matters most, or mark some `optional: yes` and shorten `length`.",
        )


CHECK = Check(
    id="many-exercises",
    severity=Severity.NOTE,
    says="more exercises than are usually kept up",
    find=find,
    of_session=True,
)
