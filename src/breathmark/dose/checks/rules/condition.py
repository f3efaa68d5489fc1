"""An exercise involves something to think about twice with a condition.

What: an exercise involves a tag that is published under one of the patient's conditions:
loaded spinal flexion with osteoporosis, a held breath or an effort over 10 s with high
blood pressure, bending or crossing the leg with a hip replacement, and more.  The lists
stand in the published words under `conditions`.  A pattern that holds the breath and a
contract-relax count as tagged.  An exercise without any tag is told, too: nothing of it
can be held against a condition.

Why: these are what a colleague would ask about.  None is a ban: whether the exercise
suits this patient is the clinician's to say.

Source: osteoporosis, Sinaki and Mikkelsen 1984, Arch Phys Med Rehabil 65:593-6, and
Giangregorio 2015, Osteoporos Int 26:891-910 (published); high blood pressure, Phys Ther
1989;69:757-61 (published); hip replacement, the surgeon's own limits (common practice).

To mend: take another exercise, or list the tag under the patient's `avoid`, so that its
`instead` takes its place.

To accept: say why it suits this patient.
"""

from __future__ import annotations

from collections.abc import Iterator

from breathmark.dose.checks.finding import Check, Finding, Subject
from breathmark.dose.totals import contraction_ms
from breathmark.dose.vocabulary import Concern, Condition, conditions
from breathmark.problems import Severity, did_you_mean
from breathmark.routine.avoiding import says_nothing, told_by_dose
from breathmark.routine.model import Exercise
from breathmark.routine.tailoring_changes import listed


def find(subject: Subject) -> Iterator[Finding]:
    """What to consider with each of the patient's conditions; unknown ones are told."""
    for name in subject.conditions:
        condition = conditions().get(name)
        if condition is None:
            yield Finding(
                path="",
                message=f"nothing is published to consider with the condition `{name}`",
                remedy=did_you_mean(name, conditions()),
            )
            continue
        for exercise in subject.routine.exercises:
            yield from _concerns(exercise, condition)
    yield from _untold(subject)


def _concerns(exercise: Exercise, condition: Condition) -> Iterator[Finding]:
    tags = {tag.casefold(): tag for tag in (*told_by_dose(exercise), *exercise.involves)}
    for concern in condition.concerns:
        if concern.tag in tags and _long_enough(exercise, concern):
            written = tags[concern.tag] in exercise.involves
            yield Finding(
                path=f"{exercise.path}.{'involves' if written else 'name'}",
                message=f"{concern.tag}, to consider with {condition.name}: {concern.because}",
                remedy=f"Weigh it for this patient. Source: {condition.source}.",
                exercise=exercise,
                word=tags[concern.tag] if written else "",
            )


def _untold(subject: Subject) -> Iterator[Finding]:
    """Exercises without a tag: whether they suit the patient's conditions is not looked at."""
    known = [name for name in subject.conditions if name in conditions()]
    for exercise in subject.routine.exercises:
        if known and says_nothing(exercise):
            yield Finding(
                path=f"{exercise.path}.name",
                message=f"`{exercise.name}` does not say what it involves, so nothing of it is"
                f" looked at for {listed(known)}",
                remedy="List what it asks of the body under `involves`.",
                exercise=exercise,
            )


def _long_enough(exercise: Exercise, concern: Concern) -> bool:
    limit_ms = concern.longer_than_ms
    return not limit_ms or contraction_ms(exercise) > limit_ms


CHECK = Check(
    id="condition",
    severity=Severity.CAUTION,
    says="an exercise involves something to think about twice with a condition",
    find=find,
    of_session=True,
)
