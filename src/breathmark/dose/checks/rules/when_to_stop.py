"""No word about what it should and should not feel like.

What: an exercise has no `feel` line.

Why: the recording always begins with the general stop rule, but which feeling is right
and which is a reason to stop differs from exercise to exercise, and nobody is there to
ask.

Source: 40 to 80 % of what is said in the clinic is forgotten at once, Kessels 2003, J R
Soc Med 96:219-22 (published); saying both feelings, common practice.

To mend: add `feel:` with both, such as `a mild pull in the calf, never a sharp pain`.

To accept: say why there is nothing to feel, as in quiet sitting.
"""

from __future__ import annotations

from collections.abc import Iterator

from breathmark.dose.checks.finding import Check, Finding, Subject
from breathmark.problems import Severity
from breathmark.routine.model import Kind


def find(subject: Subject) -> Iterator[Finding]:
    """Exercises without a word about how they feel."""
    for exercise in subject.every_exercise:
        if exercise.kind is not Kind.PAUSE and not exercise.feel:
            yield Finding(
                path=f"{exercise.path}.name",
                message="nothing says what this should feel like, and what is a reason to stop",
                remedy="Add `feel:`, such as `a mild pull in the calf, never a sharp pain`.",
                exercise=exercise,
            )


CHECK = Check(
    id="when-to-stop",
    severity=Severity.NOTE,
    says="no word about what it should and should not feel like",
    find=find,
)
