"""The planner: a routine and the measured lengths of its lines in, a session out.

A pure function on integer samples.  Work lasts what the dose says; rests are settled
inside their ranges so that the session has exactly the promised length.
"""

from __future__ import annotations

from dataclasses import dataclass

from breathmark.dose.room import Room
from breathmark.problems import InputProblems, Problem
from breathmark.routine.model import Position, Routine, Side
from breathmark.script.blocks import closing, exercise_block, opening
from breathmark.script.coaching import Coaching
from breathmark.script.draft import BlockDraft, Line, SpanDraft, SpeechLengths
from breathmark.script.layout import Layout
from breathmark.script.lead_in import Desk
from breathmark.script.session import Activity, Block, Event, Session, Span
from breathmark.script.settle import room, settled
from breathmark.script.silence import filled
from breathmark.script.words import words_of
from breathmark.units import clock_text, duration_text

_STEPS_A_SECOND = 10


@dataclass(frozen=True, kw_only=True, slots=True)
class Wishes:
    """What is asked of the session beside the routine.

    ``voice`` is the profile that speaks; ``first_side`` of ``None`` is the routine's.
    """

    voice: str
    first_side: Side | None = None
    coaching: Coaching = Coaching.FADING


def plan_session(routine: Routine, lengths: SpeechLengths, wishes: Wishes) -> Session:
    """Plan a session on the clock of ``lengths.rate_hz``.

    Raises :class:`InputProblems` when something cannot be said in the rest before it,
    or when the routine's length lies outside what its rests allow.
    """
    desk = Desk(routine=routine, words=words_of(routine.language), lengths=lengths)
    blocks = draft_blocks(desk, wishes)
    if desk.problems:
        raise InputProblems(desk.problems)
    spans = [span for block in blocks for span in block.spans]
    allowed = room(spans)
    length = _target(routine, lengths, allowed)
    step = lengths.rate_hz // _STEPS_A_SECOND
    sizes = settled(spans, length, step=step)
    return _Drawing(desk, wishes, blocks, sizes).session(length, _notes(allowed, length, lengths))


def draft_blocks(desk: Desk, wishes: Wishes) -> tuple[BlockDraft, ...]:
    """The chapters of a routine before its rests have been settled."""
    routine = desk.routine
    first_side = wishes.first_side or routine.first_side
    came_from: Position | None = Position.STANDING
    blocks = [opening(desk, routine.length_ms)]
    for index, exercise in enumerate(routine.exercises):
        blocks.append(
            exercise_block(
                desk, index, came_from=came_from, first_side=first_side, coaching=wishes.coaching
            )
        )
        came_from = exercise.position or came_from
    return (*blocks, closing(desk))


def _target(routine: Routine, lengths: SpeechLengths, allowed: Room) -> int:
    """The promised length in samples; without one, the usual length up to a whole second."""
    if routine.length_ms is None:
        second = lengths.rate_hz
        return -(-allowed.usual // second) * second
    length = lengths.ms(routine.length_ms)
    if length in allowed:
        return length
    raise InputProblems([_unreachable(routine, lengths, allowed, length)])


def _unreachable(routine: Routine, lengths: SpeechLengths, allowed: Room, length: int) -> Problem:
    second = lengths.rate_hz
    shortest_ms = -(-allowed.low // second) * 1000
    longest_ms = allowed.high // second * 1000
    length_ms = lengths.to_ms(length)
    if length < allowed.low:
        nearest_ms, state, off = shortest_ms, "shortest", "long"
        other = "lower the ranges of the rests, drop a set or leave an exercise out"
    else:
        nearest_ms, state, off = longest_ms, "longest", "short"
        other = "allow longer rests, add a set or add an exercise"
    by = duration_text(abs(nearest_ms - length_ms))
    return Problem(
        rule="length-out-of-reach",
        message=(
            f"with every rest at its {state}, the session is {by} too {off} for "
            f"{duration_text(length_ms)}; it can last from {clock_text(shortest_ms)} "
            f"to {clock_text(longest_ms)}"
        ),
        place=routine.place("length"),
        remedy=f"Write `length: {duration_text(nearest_ms)}`, or {other}.",
    )


def _notes(allowed: Room, length: int, lengths: SpeechLengths) -> tuple[str, ...]:
    more = lengths.to_ms(abs(length - allowed.usual))
    if more < 1000:
        return ()
    way = "lengthened" if length > allowed.usual else "shortened"
    return (f"Rests and the closing were {way} by {duration_text(more)} in all to end on time.",)


class _Drawing:
    """Turns the drafts, once their lengths are known, into the session."""

    def __init__(
        self, desk: Desk, wishes: Wishes, blocks: tuple[BlockDraft, ...], sizes: tuple[int, ...]
    ) -> None:
        self._desk = desk
        self._wishes = wishes
        self._drafts = blocks
        self._sizes = iter(sizes)
        self._layout = Layout(desk.lengths, voice=wishes.voice)
        self._events: list[Event] = []
        self._quiet: list[Span] = []
        self._left_out: list[str] = []
        self._at = 0

    def session(self, length: int, notes: tuple[str, ...]) -> Session:
        """Lay everything out."""
        blocks = tuple(self._block(draft) for draft in self._drafts)
        spans = [span for block in blocks for span in block.spans]
        routine, voice = self._desk.routine, self._wishes.voice
        events = filled(
            self._events, spans, self._quiet, self._desk.lengths, self._desk.words, voice=voice
        )
        return Session(
            title=routine.title,
            language=routine.language,
            voice=voice,
            rate_hz=self._desk.lengths.rate_hz,
            length=length,
            blocks=blocks,
            events=events,
            left_out=tuple(self._left_out),
            notes=notes,
        )

    def _block(self, draft: BlockDraft) -> Block:
        start = self._at
        waiting: tuple[Line, ...] = ()
        side: Side | None = None
        spans = []
        for span_draft in draft.spans:
            if span_draft.side is not side:
                waiting = self._without_sided(draft.title, waiting)
                side = span_draft.side
            is_over = span_draft.activity is Activity.REST and span_draft.set_number is None
            span, unplaced = self._span(span_draft, () if is_over else waiting)
            waiting = waiting if is_over else unplaced
            spans.append(span)
        self._left_out += [_left_out(draft.title, line) for line in waiting]
        return Block(
            start=start,
            length=self._at - start,
            title=draft.title,
            spans=tuple(spans),
            exercise=draft.exercise,
        )

    def _without_sided(self, title: str, waiting: tuple[Line, ...]) -> tuple[Line, ...]:
        """Lines that name a side are not said on the other one."""
        self._left_out += [_left_out(title, line) for line in waiting if line.sided]
        return tuple(line for line in waiting if not line.sided)

    def _span(self, draft: SpanDraft, waiting: tuple[Line, ...]) -> tuple[Span, tuple[Line, ...]]:
        """Lay out one span; lines that found no room wait for the next one of the exercise."""
        size = next(self._sizes)
        span = Span(
            start=self._at,
            length=size,
            activity=draft.activity,
            doing=draft.doing,
            side=draft.side,
            set_number=draft.set_number,
        )
        laid = self._layout.span(draft, self._at, size, waiting)
        self._events += laid.events
        if draft.quiet:
            self._quiet.append(span)
        self._at += size
        return span, laid.unplaced


def _left_out(title: str, line: Line) -> str:
    return f"{title}: no room to say “{line.text}”"
