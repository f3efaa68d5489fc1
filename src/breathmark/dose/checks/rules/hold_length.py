"""A single hold is far shorter or longer than its kind is held.

What: a stretch is held for less than 10 s or for more than 60 s at a time, or a muscle
is tensed for more than 10 s at a time.

Why: shorter stretches gain little; in longer ones nothing more was gained and people
lose heart; a long effort makes it hard to go on breathing.

Source: Garber 2011, Med Sci Sports Exerc 43(7):1334-59: 10 to 30 s, older adults 30 to
60 s (second-hand); Bandy 1997, Phys Ther 77:1090-6: nothing gained from more than 30 s
(published); isometric holds 6 to 10 s (from memory), printed sheets 3 to 10 s (common
practice).

To mend: bring the hold inside, and make up for it with sets.  A hold that is an effort
needs `involves: [isometric effort]`.

To accept: say what the unusual hold is for.
"""

from __future__ import annotations

from collections.abc import Iterator

from breathmark.dose.checks.efforts import unless_effort
from breathmark.dose.checks.finding import Check, Finding, Subject
from breathmark.dose.guidance import ISOMETRIC_HOLD, STRETCH_HOLD, Verdict
from breathmark.dose.totals import contraction_ms, is_stretch
from breathmark.problems import Severity
from breathmark.routine.model import ContractRelaxDose, Exercise, HoldDose, RepsDose
from breathmark.units import duration_text


def find(subject: Subject) -> Iterator[Finding]:
    """Stretches and efforts whose single hold lies outside."""
    for exercise in subject.every_exercise:
        message = _stretch(exercise) or _effort(exercise)
        if message:
            yield Finding(
                path=f"{exercise.path}.{_key(exercise)}",
                message=message,
                remedy="Change the hold and make up for it with sets, or accept it."
                + unless_effort(exercise),
                exercise=exercise,
            )


def _stretch(exercise: Exercise) -> str:
    dose = exercise.dose
    if not isinstance(dose, HoldDose) or not is_stretch(exercise):
        return ""
    held_ms = dose.hold_ms.usual
    if STRETCH_HOLD.verdict(held_ms) is Verdict.INSIDE:
        return ""
    return f"a stretch is held {duration_text(held_ms)} at a time; guidance is 10 to 60 s"


def _effort(exercise: Exercise) -> str:
    held_ms = contraction_ms(exercise)
    if ISOMETRIC_HOLD.verdict(held_ms) is not Verdict.OVER:
        return ""
    return f"a muscle is tensed {duration_text(held_ms)} at a time; 10 s is usually the most"


def _key(exercise: Exercise) -> str:
    match exercise.dose:
        case ContractRelaxDose():
            return "contract"
        case RepsDose():
            return "tempo.hold"
        case _:
            return "hold"


CHECK = Check(
    id="hold-length",
    severity=Severity.CAUTION,
    says="a single hold is far shorter or longer than guidance",
    find=find,
)
