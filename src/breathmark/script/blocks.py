"""The chapters of a session as drafts: the opening, one for each exercise, the closing."""

from __future__ import annotations

import itertools

from breathmark.dose.room import Room
from breathmark.problems import Problem
from breathmark.routine.model import ContractRelaxDose, Exercise, PauseDose, Position, Routine
from breathmark.script import pacing
from breathmark.script.coaching import coaching_lines
from breathmark.script.draft import BlockDraft, Line, SpanDraft
from breathmark.script.intervals import Interval, intervals, work_ms
from breathmark.script.lead_in import Desk, lead_in, set_rest, settle, side_change
from breathmark.script.session import Activity, Purpose
from breathmark.script.settle import room
from breathmark.script.words import Words
from breathmark.script.work import contract_relax, work_span
from breathmark.script.work.task import Task
from breathmark.units import duration_text, nearest, samples

BALANCE_TAGS = frozenset({"narrow stance", "balance on one leg", "eyes closed", "stepping up"})
"""What an exercise may involve that calls for something steady within reach."""


def opening(desk: Desk, length_ms: int | None) -> BlockDraft:
    """The opening: greeting, title and length, the author's words, the usual cautions."""
    texts = _opening_texts(desk, length_ms)
    lines = tuple(Line(text=text, purpose=Purpose.OPENING) for text in texts)
    spoken = desk.ms(pacing.LEAD_MS) + desk.said(lines) + desk.ms(pacing.OPENING_TAIL_MS)
    length = -(-spoken // desk.ms(1000)) * desk.ms(1000)
    span = SpanDraft(
        activity=Activity.OPENING,
        doing="listen",
        low=length,
        usual=length,
        high=length,
        path="opening",
        first=lines,
        spread=True,
    )
    return BlockDraft(title=desk.words.say("chapter opening"), spans=(span,))


def _opening_texts(desk: Desk, length_ms: int | None) -> list[str]:
    """What is said in the opening; a sample only says what it is."""
    routine, words = desk.routine, desk.words
    title = routine.title.rstrip(".")
    if desk.wishes.sample:
        return [f"{title}."]
    texts = [f"{title}."]
    if length_ms is not None:
        minutes = max(1, nearest(length_ms, 60_000))
        key = "welcome" if length_ms == minutes * 60_000 else "welcome about"
        texts = [words.say(key, title=title, time=words.say("minutes", n=minutes))]
    texts = [desk.wishes.greeting] * bool(desk.wishes.greeting) + texts
    texts += routine.opening
    texts += [words.say("clinician first"), pain_rule(routine, words), words.say("stop rule")]
    all_written = (*routine.exercises, *routine.dropped)
    if any(BALANCE_TAGS.intersection(exercise.involves) for exercise in all_written):
        texts.append(words.say("balance rule"))
    return [*texts, *routine.cautions]


def pain_rule(routine: Routine, words: Words) -> str:
    """What is said of pain: its limit is a setting, that it is said is not."""
    if not routine.pain_limit:
        return words.say("pain rule")
    return words.say("pain rule with limit", n=routine.pain_limit)


def closing(desk: Desk) -> BlockDraft:
    """The closing, whose pauses stretch to make the length exact."""
    texts = [desk.words.say("well done"), *desk.routine.closing, desk.words.say("over")]
    if desk.wishes.sample:
        texts = [desk.words.say("sample over")]
    lines = tuple(Line(text=text, purpose=Purpose.CLOSING) for text in texts)
    least = desk.end_tone + desk.said(lines) + desk.ms(pacing.CLOSING_TAIL_MS)
    stretch = desk.ms(pacing.CLOSING_STRETCH_MS) * len(lines)
    span = SpanDraft(
        activity=Activity.CLOSING,
        doing="come to an end",
        low=least,
        usual=least,
        high=least + stretch,
        path="closing",
        first=lines,
        spread=True,
    )
    return BlockDraft(title=desk.words.say("chapter closing"), spans=(span,))


def exercise_block(
    desk: Desk,
    index: int,
    *,
    came_from: Position | None,
) -> BlockDraft:
    """The chapter of one exercise: lead-in, work with its rests, and the rest after it."""
    exercise = desk.routine.exercises[index]
    if isinstance(exercise.dose, PauseDose):
        spans: tuple[SpanDraft, ...] = (_pause(desk, exercise, exercise.dose),)
    else:
        spans = _exercise_spans(desk, exercise, came_from, opens=index == 0)
    return BlockDraft(title=exercise.name, spans=spans, exercise=index)


def _exercise_spans(
    desk: Desk,
    exercise: Exercise,
    came_from: Position | None,
    *,
    opens: bool,
) -> tuple[SpanDraft, ...]:
    turns = intervals(exercise, desk.first_side)
    spans = [lead_in(desk, exercise, turns[0], came_from, opens=opens)]
    for turn in turns:
        if turn.index:
            spans.append(_between(desk, exercise, turns[turn.index - 1], turn))
        lines = coaching_lines(exercise, turn, desk.words, desk.wishes.coaching)
        spans.append(work_span(_task(desk, exercise, turn, lines)))
    after = settle(desk, exercise)
    return (*spans, after) if after else tuple(spans)


def _task(desk: Desk, exercise: Exercise, turn: Interval, coaching: tuple[Line, ...] = ()) -> Task:
    out = desk.routine.place(f"{exercise.path}.calls.out")
    return Task(
        exercise=exercise,
        interval=turn,
        coaching=coaching,
        words=desk.words,
        lengths=desk.lengths,
        own_out=not out.path.endswith(".use"),
    )


def _between(desk: Desk, exercise: Exercise, done: Interval, coming: Interval) -> SpanDraft:
    """The rest between two intervals of an exercise."""
    between = set_rest if done.side is coming.side else side_change
    return between(desk, exercise, coming)


def block_room(
    desk: Desk,
    exercise: Exercise,
    *,
    came_from: Position | None,
    opens: bool,
    rests: Room | None = None,
) -> Room:
    """What the chapter of an exercise may last, without laying out its work.

    ``rests`` is what :func:`rests_room` gives for it, if that is at hand.
    """
    if isinstance(exercise.dose, PauseDose):
        return room([_pause(desk, exercise, exercise.dose)])
    turns = intervals(exercise, desk.first_side)
    _report_short_phases(desk, exercise, turns)
    work = desk.ms(work_ms(exercise)) * len(turns)
    before = room([lead_in(desk, exercise, turns[0], came_from, opens=opens)])
    return before + Room(low=work, usual=work, high=work) + (rests or rests_room(desk, exercise))


def _report_short_phases(desk: Desk, exercise: Exercise, turns: tuple[Interval, ...]) -> None:
    """A phase that is not called goes by unnoticed: the patient would go on pressing."""
    if not isinstance(exercise.dose, ContractRelaxDose):
        return
    found: dict[str, contract_relax.ShortPhase] = {}
    for turn in {turn.side: turn for turn in turns}.values():
        task = _task(desk, exercise, turn)
        for phase in contract_relax.short_phases(task, exercise.dose):
            found[phase.key] = max(found.get(phase.key, phase), phase, key=lambda one: one.needs_ms)
    desk.problems.extend(_short_phase(desk, exercise, phase) for phase in found.values())


def _short_phase(desk: Desk, exercise: Exercise, phase: contract_relax.ShortPhase) -> Problem:
    needed = duration_text(phase.needs_ms)
    return Problem(
        rule="phase-too-short",
        message=f"{exercise.name}: `{phase.key}` is too short for its call “{phase.call.text}”",
        place=desk.routine.place(f"{exercise.path}.{phase.key}"),
        remedy=f"`{phase.key}` needs {needed}, or a shorter word for it under `calls`.",
    )


def rests_room(desk: Desk, exercise: Exercise) -> Room:
    """What the rests in an exercise and after it may last; its sets alone decide it."""
    if isinstance(exercise.dose, PauseDose):
        return Room.none()
    turns = intervals(exercise, desk.first_side)
    after = settle(desk, exercise)
    between = (_between(desk, exercise, *pair) for pair in itertools.pairwise(turns))
    return room([*between, *([after] if after else [])])


def _pause(desk: Desk, exercise: Exercise, dose: PauseDose) -> SpanDraft:
    length = samples(dose.time_ms.usual, desk.lengths.rate_hz)
    texts = [f"{exercise.name.rstrip('.')}.", *exercise.setup]
    said = tuple(Line(text=text, purpose=Purpose.SETUP) for text in texts)
    need = desk.end_tone + desk.said(said) + desk.ms(pacing.BEFORE_TONE_MS)
    if need > length:
        needed = duration_text(-(-desk.lengths.to_ms(need) // 500) * 500)
        desk.problems.append(
            Problem(
                rule="pause-too-short",
                message=f"{exercise.name}: its words alone need {needed}",
                place=desk.routine.place(f"{exercise.path}.time"),
                remedy=f"Write `time: {needed}` or say less.",
            )
        )
        length = need
    return SpanDraft(
        activity=Activity.PAUSE,
        doing=f"pause {duration_text(dose.time_ms.usual)}",
        low=length,
        usual=length,
        high=length,
        path=exercise.path,
        first=said,
        coaching=tuple(Line(text=cue.say, purpose=Purpose.CUE) for cue in exercise.cues),
        quiet=exercise.quiet,
    )
