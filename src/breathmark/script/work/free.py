"""Free movement: coaching, with calls of the time that is left."""

from __future__ import annotations

from breathmark.routine.model import FreeDose
from breathmark.script.draft import Line, Pinned, SpanDraft
from breathmark.script.session import Purpose
from breathmark.script.work.task import Task, countdown, halfway

_LAST_CALL_MS = 10_000
_LAST_CALL_FROM_MS = 40_000


def span(task: Task, dose: FreeDose) -> SpanDraft:
    """The span of one stretch of free movement."""
    length = task.ms(dose.time_ms.usual)
    points = [*halfway(task, length), *countdown(task, 0, length)]
    if dose.time_ms.usual >= _LAST_CALL_FROM_MS:
        text = task.words.say("time left", time=task.words.time(_LAST_CALL_MS))
        call = Line(text=text, purpose=Purpose.TIME)
        points.append(Pinned(offset=length - task.ms(_LAST_CALL_MS), what=call))
    return task.span(length, points)
