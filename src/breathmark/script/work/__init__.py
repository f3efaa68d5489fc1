"""The work intervals: one module a kind, each laying out its fixed points.

A builder gets what every kind needs in one :class:`Task` and returns a span of fixed
length: work lasts what the dose says, from its start tone to the onset of its end tone.
"""

from __future__ import annotations

from breathmark.routine.model import (
    BreathingDose,
    ContractRelaxDose,
    FreeDose,
    HoldDose,
    PauseDose,
    RepsDose,
)
from breathmark.script.draft import SpanDraft
from breathmark.script.work import breathing, contract_relax, free, hold, reps
from breathmark.script.work.task import Task


def work_span(task: Task) -> SpanDraft:
    """The span of one work interval; a pause is no work and is refused."""
    match task.exercise.dose:
        case HoldDose() as dose:
            return hold.span(task, dose)
        case RepsDose() as dose:
            return reps.span(task, dose)
        case FreeDose() as dose:
            return free.span(task, dose)
        case BreathingDose() as dose:
            return breathing.span(task, dose)
        case ContractRelaxDose() as dose:
            return contract_relax.span(task, dose)
        case PauseDose():
            raise TypeError("a pause has no work intervals")
