"""Repetitions: paced by their tempo, counted, the phases called at first."""

from __future__ import annotations

from collections.abc import Iterator

from breathmark.routine.model import RepsDose
from breathmark.script import pacing
from breathmark.script.draft import Line, Pinned, SpanDraft
from breathmark.script.session import Purpose
from breathmark.script.work.task import Task

_CALLED_REPS = 3
_LAST_FROM = 4
_ALWAYS_COUNTED = 3


def span(task: Task, dose: RepsDose) -> SpanDraft:
    """The span of one set of repetitions."""
    rep = task.ms(dose.tempo.repetition_ms)
    reps = dose.reps.usual
    quick = dose.tempo.repetition_ms < pacing.QUICK_REPETITION_MS
    pinned: list[Pinned] = []
    soft: list[Pinned] = []
    late: list[Pinned] = []
    for index in range(reps):
        counted = _count(task, dose, index, index * rep)
        gives_way = quick and _ALWAYS_COUNTED <= index < reps - _ALWAYS_COUNTED
        (soft if gives_way else pinned).extend(counted)
        known = _CALLED_REPS <= index < reps - 1
        (late if known else pinned).extend(_calls(task, dose, index, counted))
    calls = task.exercise.calls
    own = (calls.out if task.own_out else "", calls.hold, calls.back)
    own_calls = [task.call(text) for text in own if text]
    return task.span(rep * reps, pinned, soft=soft, late=late, calls=own_calls)


def _count(task: Task, dose: RepsDose, index: int, start: int) -> list[Pinned]:
    """The count word at the start of a repetition; the first waits for the start tone."""
    reps = dose.reps.usual
    is_last = index == reps - 1 and reps >= _LAST_FROM
    text = task.words.say("last repetition") if is_last else task.words.say("count", n=index + 1)
    line = Line(text=text, purpose=Purpose.COUNT)
    at = start if index else task.after_start_tone
    end = start + task.ms(dose.tempo.repetition_ms)
    fits = task.fits(line, at, end, tone=index == reps - 1)
    return [Pinned(offset=at, what=line)] if fits else []


def _calls(task: Task, dose: RepsDose, index: int, counted: list[Pinned]) -> Iterator[Pinned]:
    """The called phases of one repetition, each only if it is over before the next thing."""
    tempo, calls = dose.tempo, task.exercise.calls
    start = index * task.ms(tempo.repetition_ms)
    hold_at = start + task.ms(tempo.out_ms)
    back_at = hold_at + task.ms(tempo.hold_ms)
    end = start + task.ms(tempo.repetition_ms)
    closes = index == dose.reps.usual - 1
    early = index < (_CALLED_REPS if task.interval.index == 0 else 1)
    free = _said_until(task, start, counted)
    if early and calls.out:
        yield from _if_fits(task, task.call(calls.out), free, hold_at)
    if early and tempo.hold_ms and hold_at >= free:
        yield from _if_fits(task, task.call(calls.hold, "call hold"), hold_at, back_at)
    often = early or tempo.repetition_ms >= pacing.LONG_REPETITION_MS
    if tempo.back_ms and often and back_at >= free:
        back = task.call(calls.back, "call back")
        yield from _if_fits(task, back, back_at, end, tone=closes)


def _said_until(task: Task, start: int, counted: list[Pinned]) -> int:
    """When the count word is over and the next word may come."""
    if not counted or not isinstance(counted[0].what, Line):
        return start or task.after_start_tone
    length = task.lengths.of(counted[0].what.text)
    return counted[0].offset + length + task.ms(pacing.AROUND_COUNT_MS)


def _if_fits(
    task: Task, line: Line, at: int, until: int, *, tone: bool = False
) -> Iterator[Pinned]:
    if task.fits(line, at, until, tone=tone):
        yield Pinned(offset=at, what=line)
