"""Holds: start tone, coaching, halfway, countdown, end tone."""

from __future__ import annotations

from breathmark.routine.model import HoldDose
from breathmark.script.draft import SpanDraft
from breathmark.script.work.task import Task, countdown, halfway


def span(task: Task, dose: HoldDose) -> SpanDraft:
    """The span of one hold."""
    length = task.ms(dose.hold_ms.usual)
    return task.span(length, [*halfway(task, length), *countdown(task, 0, length)])
