"""Contract-relax (PNF): each phase called where it begins."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from breathmark.routine.model import ContractRelaxDose
from breathmark.script import pacing
from breathmark.script.draft import Line, Pinned, SpanDraft
from breathmark.script.work.task import Task, countdown

_STEP_MS = 500


@dataclass(frozen=True, kw_only=True, slots=True)
class ShortPhase:
    """A phase with no room for its call: its key, and what it needs in whole half seconds."""

    key: str
    call: Line
    needs_ms: int


def span(task: Task, dose: ContractRelaxDose) -> SpanDraft:
    """The span of one contraction, the letting go, and the stretch after it.

    A call that does not fit is left out here; :func:`short_phases` finds it before.
    """
    relax_at = task.ms(dose.contract_ms.usual)
    stretch_at = relax_at + task.ms(dose.relax_ms.usual)
    length = stretch_at + task.ms(dose.stretch_ms.usual)
    contract, relax, stretch = _calls(task)
    tones = countdown(task, stretch_at, length)
    calls = (
        (task.after_start_tone, relax_at, contract),
        (relax_at, stretch_at, relax),
        (stretch_at, tones[0].offset if tones else length, stretch),
    )
    pinned = [
        Pinned(offset=at, what=line)
        for at, until, line in calls
        if task.fits(line, at, until, tone=line is stretch)
    ]
    return task.span(length, [*pinned, *tones])


def short_phases(task: Task, dose: ContractRelaxDose) -> Iterator[ShortPhase]:
    """The phases that are over before their call and the pause after it."""
    contract, relax, stretch = _calls(task)
    around = task.ms(pacing.AROUND_COUNT_MS)
    before = task.ms(pacing.BEFORE_TONE_MS)
    phases = (
        ("contract", dose.contract_ms.usual, contract, task.after_start_tone + around),
        ("relax", dose.relax_ms.usual, relax, around),
        ("stretch", dose.stretch_ms.usual, stretch, before + _tones(task, dose.stretch_ms.usual)),
    )
    for key, lasts_ms, call, beside in phases:
        need = task.lengths.of(call.text) + beside
        if need <= task.ms(lasts_ms):
            continue
        needs_ms = _up(task, need)
        if key == "stretch" and lasts_ms < pacing.COUNTDOWN_FROM_MS:
            needs_ms = _up(task, need + _tones(task, needs_ms))
        yield ShortPhase(key=key, call=call, needs_ms=needs_ms)


def _tones(task: Task, stretch_ms: int) -> int:
    """What the countdown keeps of the end of a stretch, in samples."""
    counted = stretch_ms >= pacing.COUNTDOWN_FROM_MS
    return task.ms(max(pacing.COUNTDOWN_MS)) if counted else 0


def _calls(task: Task) -> tuple[Line, Line, Line]:
    calls = task.exercise.calls
    return (
        task.call(calls.contract, "call contract"),
        task.call(calls.relax, "call relax"),
        task.call(calls.stretch, "call stretch"),
    )


def _up(task: Task, count: int) -> int:
    """Samples as milliseconds, up to a whole half second."""
    return -(-count // task.ms(_STEP_MS)) * _STEP_MS
