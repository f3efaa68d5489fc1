"""Laying out a session: every span gets its length, every line and tone its sample."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from breathmark.script import pacing
from breathmark.script.draft import Line, Pinned, Puff, SpanDraft, SpeechLengths
from breathmark.script.gaps import place_lines
from breathmark.script.session import (
    TONE_MS,
    Activity,
    Breathed,
    Event,
    Purpose,
    Sounded,
    Spoken,
    Tone,
)

_CLOSE_PURPOSES = frozenset({Purpose.COUNT, Purpose.PHASE, Purpose.BREATHING})


@dataclass(frozen=True, kw_only=True, slots=True)
class Laid:
    """The events of one span, and the lines that found no room in it.

    ``unplaced`` is coaching, ``unrepeated`` what would have been said again.
    """

    events: tuple[Event, ...]
    unplaced: tuple[Line, ...]
    unrepeated: tuple[Line, ...]


class Layout:
    """Lays spans out one after another; remembers what still sounds from the one before."""

    def __init__(self, lengths: SpeechLengths, *, voice: str) -> None:
        self._lengths = lengths
        self._voice = voice
        self._previous: Spoken | Sounded | None = None

    def span(self, draft: SpanDraft, start: int, length: int, extra: Sequence[Line] = ()) -> Laid:
        """Lay out one span of ``length`` samples at ``start``; ``extra`` is coaching too."""
        pinned = [self._pin(pin, start) for pin in draft.pinned]
        fixed = [event for event in pinned if not isinstance(event, Breathed)]
        fixed += self._from_start(draft, start, length)
        fixed += self._to_end(draft, start + length)
        coaching = (*draft.coaching, *extra)
        late = [self._pin(pin, start) for pin in draft.late]
        beside = [*fixed, *(event for event in late if not isinstance(event, Breathed))]
        placed, unplaced = self._coach(draft, beside, start, start + length, coaching)
        gives_way = draft.soft
        if unplaced and draft.late:
            more, fewer = self._coach(draft, fixed, start, start + length, coaching)
            if len(fewer) < len(unplaced):
                placed, unplaced, beside = more, fewer, fixed
                gives_way = (*draft.late, *draft.soft)
        fixed = beside
        taken = [*fixed, *placed]
        spare, unrepeated = self._coach(draft, taken, start, start + length, draft.spare)
        foreground = sorted([*fixed, *placed, *spare], key=lambda event: event.start)
        for pin in gives_way:
            self._add_if_clear(foreground, pin, start)
        foreground.sort(key=lambda event: event.start)
        if foreground:
            self._previous = foreground[-1]
        breaths = [event for event in pinned if isinstance(event, Breathed)]
        events = sorted([*breaths, *foreground], key=lambda event: event.start)
        return Laid(events=tuple(events), unplaced=tuple(unplaced), unrepeated=tuple(unrepeated))

    def too_much(self, work: SpanDraft) -> tuple[Line, ...]:
        """The coaching that will find no room in a stretch of work, whatever comes before it."""
        return Layout(self._lengths, voice=self._voice).span(work, 0, work.usual).unplaced

    def _ms(self, duration_ms: int) -> int:
        return self._lengths.ms(duration_ms)

    def _say(self, line: Line, at: int) -> Spoken:
        return Spoken(
            start=at,
            length=self._lengths.of(line.text),
            text=line.text,
            voice=self._lengths.voice_of(line.text, self._voice),
            purpose=line.purpose,
        )

    def _pin(self, pin: Pinned, start: int) -> Event:
        at = start + pin.offset
        match pin.what:
            case Line() as line:
                return self._say(line, at)
            case Tone() as tone:
                return Sounded(start=at, length=self._ms(TONE_MS[tone]), tone=tone)
            case Puff() as puff:
                return Breathed(start=at, length=puff.length, direction=puff.direction)

    def _free_from(self, start: int) -> int:
        """When the first word of a span may come."""
        at = start + self._ms(pacing.LEAD_MS)
        if self._previous is None:
            return at
        after_tone = isinstance(self._previous, Sounded)
        pause = pacing.AFTER_TONE_MS if after_tone else pacing.BETWEEN_SENTENCES_MS
        return max(at, self._previous.end + self._ms(pause))

    def _from_start(self, draft: SpanDraft, start: int, length: int) -> list[Spoken]:
        at = self._free_from(start)
        pause = self._ms(pacing.BETWEEN_SENTENCES_MS)
        if draft.spread and draft.first:
            pause += self._over(draft, at, start + length) // len(draft.first)
        said = []
        for line in draft.first:
            said.append(self._say(line, at))
            at = said[-1].end + pause
        return said

    def _over(self, draft: SpanDraft, at: int, end: int) -> int:
        """What a spread span has beyond its lines, their pauses and its quiet end."""
        closes = draft.activity is Activity.CLOSING
        tail = pacing.CLOSING_TAIL_MS if closes else pacing.OPENING_TAIL_MS
        pauses = self._ms(pacing.BETWEEN_SENTENCES_MS) * (len(draft.first) - 1)
        said = sum(self._lengths.of(line.text) for line in draft.first)
        return max(0, end - at - said - pauses - self._ms(tail))

    def _to_end(self, draft: SpanDraft, end: int) -> list[Spoken]:
        at = end - self._ms(pacing.READY_AHEAD_MS)
        said: list[Spoken] = []
        for line in reversed(draft.last):
            said.insert(0, self._say(line, at - self._lengths.of(line.text)))
            at = said[0].start - self._ms(pacing.AROUND_COUNT_MS)
        return said

    def _coach(
        self,
        draft: SpanDraft,
        fixed: Sequence[Spoken | Sounded],
        start: int,
        end: int,
        lines: Sequence[Line],
    ) -> tuple[list[Spoken], list[Line]]:
        if not lines:
            return [], []
        gaps = self._gaps(draft, fixed, start, end)
        apart = self._ms(pacing.A_BREATH_MS)
        placed, unplaced = place_lines(gaps, lines, self._lengths, apart=apart)
        return [self._say(line, at) for at, line in placed], unplaced

    def _gaps(
        self, draft: SpanDraft, fixed: Sequence[Spoken | Sounded], start: int, end: int
    ) -> list[tuple[int, int]]:
        """The stretches in which a line may be said without coming too near to anything."""
        free_from = self._free_from(start)
        gaps = []
        for event in sorted(fixed, key=lambda event: event.start):
            gaps.append((free_from, event.start - self._ms(_margin_before(event))))
            free_from = max(free_from, event.end + self._ms(_margin_after(event)))
        last = pacing.BEFORE_TONE_MS if draft.activity is not Activity.REST else 0
        gaps.append((free_from, end - self._ms(last)))
        return gaps

    def _add_if_clear(self, events: list[Spoken | Sounded], pin: Pinned, start: int) -> None:
        event = self._pin(pin, start)
        if isinstance(event, Spoken) and all(self._is_clear(event, other) for other in events):
            events.append(event)

    def _is_clear(self, event: Spoken, other: Spoken | Sounded) -> bool:
        near = self._ms(pacing.AROUND_COUNT_MS)
        before = self._ms(pacing.BEFORE_TONE_MS) if isinstance(other, Sounded) else near
        return event.end + before <= other.start or other.end + near <= event.start


def _margin_before(event: Spoken | Sounded) -> int:
    if isinstance(event, Sounded):
        return pacing.BEFORE_TONE_MS
    return pacing.AROUND_COUNT_MS if event.purpose in _CLOSE_PURPOSES else pacing.A_BREATH_MS


def _margin_after(event: Spoken | Sounded) -> int:
    if isinstance(event, Sounded):
        return pacing.AFTER_TONE_MS
    return pacing.AROUND_COUNT_MS if event.purpose in _CLOSE_PURPOSES else pacing.A_BREATH_MS
