"""Paced breathing: spoken at first, then the rising and falling sound alone."""

from __future__ import annotations

from collections.abc import Iterator

from breathmark.routine.model import BreathingDose
from breathmark.script.draft import Line, Pinned, Puff, SpanDraft
from breathmark.script.session import Breath, Purpose
from breathmark.script.work.task import Task

_SPOKEN_BREATHS = 3
_LAST_BREATH_FROM = 5


def span(task: Task, dose: BreathingDose) -> SpanDraft:
    """The span of all the breaths."""
    breath = task.ms(dose.pattern.breath_ms)
    length = breath * dose.breaths.usual
    points: list[Pinned] = []
    for index in range(dose.breaths.usual):
        points += _sounds(task, dose, index * breath)
        points += _words(task, dose, index, index * breath)
    return task.span(length, points)


def _sounds(task: Task, dose: BreathingDose, start: int) -> list[Pinned]:
    pattern = dose.pattern
    breath_in = Puff(direction=Breath.IN, length=task.ms(pattern.in_ms))
    breath_out = Puff(direction=Breath.OUT, length=task.ms(pattern.out_ms))
    out_at = start + task.ms(pattern.in_ms + pattern.hold_in_ms)
    return [Pinned(offset=start, what=breath_in), Pinned(offset=out_at, what=breath_out)]


def _words(task: Task, dose: BreathingDose, index: int, start: int) -> Iterator[Pinned]:
    breaths = dose.breaths.usual
    if index == breaths - 1 and breaths >= _LAST_BREATH_FROM:
        last = Line(text=task.words.say("last breath"), purpose=Purpose.BREATHING)
        if task.fits(last, start, start + task.ms(dose.pattern.in_ms)):
            yield Pinned(offset=start, what=last)
        return
    if index >= _SPOKEN_BREATHS:
        return
    at = start
    for key, part_ms in _phases(dose):
        offset = max(at, task.after_start_tone)
        at += task.ms(part_ms)
        ends = at == breaths * task.ms(dose.pattern.breath_ms)
        line = _fitting(task, key, offset, at, tone=ends)
        if line is not None:
            yield Pinned(offset=offset, what=line)


def _phases(dose: BreathingDose) -> list[tuple[str, int]]:
    pattern = dose.pattern
    phases = [
        ("breathe in", pattern.in_ms),
        ("breathe hold", pattern.hold_in_ms),
        ("breathe out", pattern.out_ms),
        ("breathe hold", pattern.hold_out_ms),
    ]
    return [(key, part_ms) for key, part_ms in phases if part_ms]


def _fitting(task: Task, key: str, offset: int, until: int, *, tone: bool) -> Line | None:
    """The word for a phase, in its short form if the phase is short; none if neither fits."""
    for wanted in (key, f"{key} short"):
        if wanted in task.words.entries:
            line = Line(text=task.words.say(wanted), purpose=Purpose.BREATHING)
            if task.fits(line, offset, until, tone=tone):
                return line
    return None
