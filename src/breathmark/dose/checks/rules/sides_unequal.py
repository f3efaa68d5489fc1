"""One side gets less of a target than the other.

What: the left and the right side of a target are given different amounts of stretch,
contraction, balance time or repetitions in a session.  What a patient file asks for
under `sides` (`only`, `extra set`) is decided already and not asked again.

Why: an exercise that was meant for both sides and written for one is easily overlooked,
and the patient does what is said.

Source: common practice; both sides get the same dose unless somebody decides otherwise.

To mend: write `sides: each`, or give the other side an exercise of its own.

To accept: say why only one side is trained, such as the side that was operated on.
"""

from __future__ import annotations

from collections.abc import Iterator

from breathmark.dose.checks.finding import Check, Finding, Subject
from breathmark.dose.totals import Amounts, ExerciseDose, TargetDose, exercise_dose, targets_of
from breathmark.problems import Severity
from breathmark.units import duration_text

_COMPARED = {
    "stretch_ms": "of stretch",
    "contraction_ms": "of contraction",
    "balance_ms": "of balance",
    "repetitions": "repetitions",
    "work_ms": "of work",
}


def find(subject: Subject) -> Iterator[Finding]:
    """Exercises that serve one side more, where that leaves a target's sides unequal."""
    if subject.sides_decided:
        return
    unequal = {one.target.casefold(): one for one in subject.totals.targets if _difference(one)}
    for exercise in subject.routine.exercises:
        dose = exercise_dose(exercise)
        if dose.left == dose.right or exercise.extra_set is not None:
            continue
        for target in targets_of(exercise):
            total = unequal.get(target.casefold())
            told = _difference(total, dose) if total else ""
            if total and told:
                yield Finding(
                    path=f"{exercise.path}.sides",
                    message=f"{total.target}: {told} a session",
                    remedy="Write `sides: each`, or accept it with the reason.",
                    exercise=exercise,
                )
                break


def _difference(total: TargetDose, of_one: ExerciseDose | None = None) -> str:
    """The first amount that differs, in words; empty when none does.

    With an exercise's own dose only what that gives to one side more.
    """
    for name, of in _COMPARED.items():
        left, right = _amount(total.left, name), _amount(total.right, name)
        own = of_one is None or getattr(of_one.left, name) != getattr(of_one.right, name)
        if own and left != right:
            return f"left gets {left} {of}, right {right}"
    return ""


def _amount(amounts: Amounts, name: str) -> str:
    value: int = getattr(amounts, name)
    return duration_text(value) if name.endswith("_ms") else str(value)


CHECK = Check(
    id="sides-unequal",
    severity=Severity.CAUTION,
    says="one side gets less of a target than the other",
    find=find,
    of_session=True,
)
