"""An exercise involves what the patient must avoid.

What: something listed under the patient's `avoid` is still involved in an exercise after
the routine was changed to suit the patient.

Why: nothing avoided may be in a recording.  This is the second look after the exchange.

Source: the clinician's own instruction.

To mend: give the exercise an `instead`, skip it, or change `avoid`.

To accept: it may not be accepted.
"""

from __future__ import annotations

from collections.abc import Iterator

from breathmark.dose.checks.finding import Check, Finding, Subject
from breathmark.problems import Severity
from breathmark.routine.avoiding import avoided


def find(subject: Subject) -> Iterator[Finding]:
    """Exercises that involve something avoided."""
    for exercise in subject.routine.exercises:
        written = {tag.casefold(): tag for tag in exercise.involves}
        for tag in avoided(exercise, sorted(subject.avoid)):
            yield Finding(
                path=f"{exercise.path}.{'involves' if tag in written else 'name'}",
                message=f"`{exercise.name}` involves {tag}, which this patient must avoid",
                remedy="Give it an `instead`, or leave it out.",
                exercise=exercise,
                word=written.get(tag, ""),
            )


CHECK = Check(
    id="avoided",
    severity=Severity.ERROR,
    says="an exercise involves what the patient must avoid",
    find=find,
    acceptable=False,
    of_session=True,
)
