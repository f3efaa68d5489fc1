"""The planner: a routine and the measured lengths of its lines in, a session out.

A pure function on integer samples.  Work lasts what the dose says; where rests alone
cannot meet the promised length, the doses are fitted inside their ranges first.
"""

from __future__ import annotations

import dataclasses
import itertools
from collections.abc import Iterator, Sequence

from breathmark.dose.room import Room
from breathmark.routine.model import Position, Routine, Side
from breathmark.script.blocks import closing, exercise_block, opening
from breathmark.script.coaching import for_side
from breathmark.script.draft import BlockDraft, Line, SpanDraft, SpeechLengths
from breathmark.script.layout import Laid, Layout
from breathmark.script.lead_in import Desk
from breathmark.script.reach import fit_routine
from breathmark.script.session import Activity, Block, Event, Session, Span, Spoken
from breathmark.script.settle import room, settled
from breathmark.script.silence import filled
from breathmark.script.wishes import Wishes
from breathmark.script.words import words_of
from breathmark.units import duration_text

_STEPS_A_SECOND = 2


def plan_session(
    routine: Routine, lengths: SpeechLengths, wishes: Wishes, *, said: tuple[str, ...] = ()
) -> Session:
    """Plan a session on the clock of ``lengths.rate_hz``; ``said`` are notes that come first.

    Raises :class:`~breathmark.problems.InputProblems` when something cannot be said in the
    rest before it, or when the routine's length lies outside what its ranges allow.
    """
    fitted = fit_routine(routine, lengths, wishes)
    routine = fitted.routine
    words = words_of(routine.language)
    desk = Desk(routine=routine, wishes=wishes, words=words, lengths=lengths)
    blocks = draft_blocks(desk)
    spans = [span for block in blocks for span in block.spans]
    allowed = room(spans)
    length = _target(routine, lengths, allowed)
    step = lengths.rate_hz // _STEPS_A_SECOND
    sizes = settled(spans, length, step=step)
    notes = (*said, *fitted.changes, *_notes(allowed, length, lengths))
    return _Drawing(desk, blocks, sizes).session(length, notes)


def draft_blocks(desk: Desk) -> tuple[BlockDraft, ...]:
    """The chapters of a routine before its rests have been settled."""
    routine = desk.routine
    came_from: Position | None = Position.STANDING
    blocks = [opening(desk, routine.length_ms)]
    for index, exercise in enumerate(routine.exercises):
        blocks.append(exercise_block(desk, index, came_from=came_from))
        came_from = exercise.position or came_from
    return (*blocks, closing(desk))


def _target(routine: Routine, lengths: SpeechLengths, allowed: Room) -> int:
    """The promised length in samples; without one, the usual length up to a whole second."""
    if routine.length_ms is not None:
        return lengths.ms(routine.length_ms)
    second = lengths.rate_hz
    return -(-allowed.usual // second) * second


def _notes(allowed: Room, length: int, lengths: SpeechLengths) -> tuple[str, ...]:
    more = round(lengths.to_ms(abs(length - allowed.usual)), -2)
    if more < 1000:
        return ()
    way = "lengthened" if length > allowed.usual else "shortened"
    return (f"Rests and the closing were {way} by {duration_text(more)} in all to end on time.",)


class _Drawing:
    """Turns the drafts, once their lengths are known, into the session."""

    def __init__(self, desk: Desk, blocks: tuple[BlockDraft, ...], sizes: tuple[int, ...]) -> None:
        self._desk = desk
        self._drafts = blocks
        self._sizes = iter(sizes)
        self._layout = Layout(desk.lengths, voice=desk.wishes.voice)
        self._events: list[Event] = []
        self._quiet: list[Span] = []
        self._left_out: list[str] = []
        self._at = 0

    def session(self, length: int, notes: tuple[str, ...]) -> Session:
        """Lay everything out."""
        blocks = tuple(self._block(draft) for draft in self._drafts)
        spans = [span for block in blocks for span in block.spans]
        routine, voice = self._desk.routine, self._desk.wishes.voice
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
            hearing=self._desk.wishes.hearing,
            background=self._desk.wishes.background,
        )

    def _block(self, draft: BlockDraft) -> Block:
        start, events_before = self._at, len(self._events)
        waiting: tuple[Line, ...] = ()
        said_before: tuple[Line, ...] = ()
        side: Side | None = None
        spans = []
        for drafted, coming in itertools.zip_longest(draft.spans, draft.spans[1:]):
            span_draft = _without(drafted, said_before)
            if span_draft.side is not side:
                side = span_draft.side
                words = self._desk.words
                waiting = tuple(for_side(line, side, words) for line in waiting)
            is_over = span_draft.activity is Activity.REST and span_draft.set_number is None
            early = self._early(coming)
            span, laid = self._span(span_draft, () if is_over else (*early, *waiting))
            said_before = tuple(line for line in early if line not in laid.unplaced)
            if not is_over:
                waiting = tuple(line for line in laid.unplaced if not line.of_set)
            self._left_out += [_not_again(draft.title, line) for line in laid.unrepeated]
            self._left_out += [
                _not_in_set(draft.title, line, span)
                for line in laid.unplaced
                if line.of_set and line not in early
            ]
            spans.append(span)
        self._left_out += [_left_out(draft.title, line) for line in waiting]
        self._left_out += self._never_called(draft, self._events[events_before:])
        return Block(
            start=start,
            length=self._at - start,
            title=draft.title,
            spans=tuple(spans),
            exercise=draft.exercise,
        )

    def _early(self, coming: SpanDraft | None) -> tuple[Line, ...]:
        """What is true of the coming set alone and finds no room in it: it may come before."""
        if coming is None or not any(line.of_set for line in coming.coaching):
            return ()
        return tuple(line for line in self._layout.too_much(coming) if line.of_set)

    def _never_called(self, draft: BlockDraft, events: Sequence[Event]) -> Iterator[str]:
        """The author's own calls that fit into no repetition."""
        heard = {event.text for event in events if isinstance(event, Spoken)}
        for line in dict.fromkeys(line for span in draft.spans for line in span.calls):
            if line.text not in heard:
                yield _left_out(draft.title, line)

    def _span(self, draft: SpanDraft, waiting: tuple[Line, ...]) -> tuple[Span, Laid]:
        """Lay out one span; lines that found no room wait for the next one of the exercise."""
        size = next(self._sizes)
        due = {line.text for line in draft.coaching}
        again = tuple(line for line in waiting if line.text not in due)
        span = Span(
            start=self._at,
            length=size,
            activity=draft.activity,
            doing=draft.doing,
            side=draft.side,
            set_number=draft.set_number,
        )
        laid = self._layout.span(draft, self._at, size, again)
        self._events += laid.events
        if draft.quiet:
            self._quiet.append(span)
        self._at += size
        return span, laid


def _without(draft: SpanDraft, said: tuple[Line, ...]) -> SpanDraft:
    coaching = tuple(line for line in draft.coaching if line not in said)
    return dataclasses.replace(draft, coaching=coaching) if said else draft


def _left_out(title: str, line: Line) -> str:
    return f"{title}: no room to say “{line.text}”"


def _not_again(title: str, line: Line) -> str:
    return f"{title}: no room to say again “{line.text}”"


def _not_in_set(title: str, line: Line, span: Span) -> str:
    where = f" on the {span.side} side" if span.side else ""
    return f"{title}: no room to say “{line.text}” in set {span.set_number}{where}"
