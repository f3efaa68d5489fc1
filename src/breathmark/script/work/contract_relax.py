"""Contract-relax (PNF): each phase called where it begins."""

from __future__ import annotations

from breathmark.routine.model import ContractRelaxDose
from breathmark.script.draft import Pinned, SpanDraft
from breathmark.script.work.task import Task, countdown


def span(task: Task, dose: ContractRelaxDose) -> SpanDraft:
    """The span of one contraction, the letting go, and the stretch after it."""
    calls = task.exercise.calls
    relax_at = task.ms(dose.contract_ms.usual)
    stretch_at = relax_at + task.ms(dose.relax_ms.usual)
    length = stretch_at + task.ms(dose.stretch_ms.usual)
    phases = (
        (task.after_start_tone, relax_at, task.call(calls.contract, "call contract")),
        (relax_at, stretch_at, task.call(calls.relax, "call relax")),
        (stretch_at, length, task.call(calls.stretch, "call stretch")),
    )
    pinned = [
        Pinned(offset=at, what=line)
        for at, until, line in phases
        if task.fits(line, at, until, tone=until == length)
    ]
    return task.span(length, [*pinned, *countdown(task, stretch_at, length)])
