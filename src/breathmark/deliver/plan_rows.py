"""The schedule as rows: every second of the session, what is heard and what is done.

Rows follow one another without a gap and add up to the session.  In the usual form
what repeats is told in one row (counts, called phases, countdown tones, breaths), so
that a clinician reads a page or two; the full form has a row for every event.
"""

from __future__ import annotations

import itertools
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from breathmark.deliver.plan_heard import breaths_text, event_text, run_text
from breathmark.routine.model import Side
from breathmark.script.session import (
    Activity,
    Block,
    Breathed,
    Event,
    Purpose,
    Session,
    Sounded,
    Span,
    Spoken,
    Tone,
)

JOIN_MS = 1_000
"""Things that begin less than this after one another share a row in the usual form."""

LEAD_MS = 2_000
"""A silence up to this long before the first thing heard in a span gets no row of its own."""

_PACED = (Purpose.COUNT, Purpose.PHASE, Purpose.BREATHING)


@dataclass(frozen=True, kw_only=True, slots=True)
class Row:
    """One row of the schedule, in samples from the start of the session.

    ``heard`` is empty while nothing new is heard.  ``quiet`` is how many samples at the
    end of the row pass without a word, a tone or the breathing sound.  ``chapter`` is an
    index into ``Session.blocks`` and ``span`` into its ``spans``; ``sets`` is how many
    sets the side has in the chapter.
    """

    start: int
    length: int
    heard: str
    doing: str
    chapter: int
    span: int
    activity: Activity
    side: Side | None
    set_number: int | None
    sets: int
    quiet: int

    @property
    def end(self) -> int:
        """The first sample after the row."""
        return self.start + self.length


@dataclass(frozen=True, kw_only=True, slots=True)
class _Item:
    """Something heard: when it begins, when it has ended, and how it is told."""

    start: int
    end: int
    text: str


def schedule_rows(session: Session, *, full: bool = False) -> tuple[Row, ...]:
    """The rows of the schedule; ``full`` gives every event a row of its own."""
    starts = [event.start for event in session.events]
    rows: list[Row] = []
    sounding = 0
    for number, block in enumerate(session.blocks):
        for index, span in enumerate(block.spans):
            events = session.events[bisect_left(starts, span.start) : bisect_left(starts, span.end)]
            items = _items(events, session, full=full)
            rows += _span_rows(block, number, index, items, session.rate_hz, sounding, full)
            sounding = max([sounding, *(event.end for event in events)])
    return tuple(rows)


def _span_rows(
    block: Block,
    number: int,
    index: int,
    items: Sequence[_Item],
    rate_hz: int,
    sounding: int,
    full: bool,
) -> Iterator[Row]:
    """The rows of one span; ``sounding`` is when the last thing heard before it ends."""
    span = block.spans[index]
    lead = 0 if full else LEAD_MS * rate_hz // 1000
    groups = _groups(items, 0 if full else JOIN_MS * rate_hz // 1000)
    if not groups or groups[0][0].start - span.start > lead:
        groups.insert(0, [])
    starts = [span.start, *(group[0].start for group in groups[1:])]
    for group, (start, end) in zip(groups, itertools.pairwise([*starts, span.end]), strict=True):
        sounding = max([sounding, *(item.end for item in group)])
        if start < end:
            yield Row(
                start=start,
                length=end - start,
                heard=", ".join(item.text for item in group),
                doing=span.doing,
                chapter=number,
                span=index,
                activity=span.activity,
                side=span.side,
                set_number=span.set_number,
                sets=_sets(block, span),
                quiet=max(0, end - max(start, sounding)),
            )


def _sets(block: Block, span: Span) -> int:
    numbers = [s.set_number for s in block.spans if s.side is span.side and s.set_number]
    return max(numbers, default=0)


def _groups(items: Sequence[_Item], within: int) -> list[list[_Item]]:
    """Items that begin together, or less than ``within`` samples after the first of them."""
    groups: list[list[_Item]] = []
    for item in items:
        if groups and item.start - groups[-1][0].start <= max(0, within - 1):
            groups[-1].append(item)
        else:
            groups.append([item])
    return groups


def _items(events: Sequence[Event], session: Session, *, full: bool) -> list[_Item]:
    """What is heard in a span; in the usual form what repeats is one item."""
    rate_hz, voice = session.rate_hz, session.voice
    if full:
        texts = [event_text(event, rate_hz, full=True, voice=voice) for event in events]
        return [
            _Item(start=event.start, end=event.end, text=text)
            for event, text in zip(events, texts, strict=True)
        ]
    breaths = [event for event in events if isinstance(event, Breathed)]
    items = [_run_item(run, rate_hz, voice) for run in _runs(events)]
    if breaths:
        text = breaths_text(breaths, rate_hz)
        items.append(_Item(start=breaths[0].start, end=breaths[-1].end, text=text))
    return sorted(items, key=lambda item: item.start)


def _run_item(run: Sequence[Spoken | Sounded], rate_hz: int, voice: str) -> _Item:
    return _Item(start=run[0].start, end=run[-1].end, text=run_text(run, rate_hz, voice=voice))


def _runs(events: Sequence[Event]) -> Iterator[list[Spoken | Sounded]]:
    """Lines and tones, those that belong to one rhythm together."""
    run: list[Spoken | Sounded] = []
    for event in events:
        if isinstance(event, Breathed):
            continue
        if run and not _continues(run, event):
            yield run
            run = []
        run.append(event)
    if run:
        yield run


def _continues(run: Sequence[Spoken | Sounded], event: Spoken | Sounded) -> bool:
    last = run[-1]
    if isinstance(event, Sounded) or isinstance(last, Sounded):
        return _is_countdown(last) and _is_countdown(event)
    if last.purpose not in _PACED or event.purpose not in _PACED:
        return False
    counted = {line.text for line in run if isinstance(line, Spoken)}
    return event.purpose is not Purpose.COUNT or event.text not in counted


def _is_countdown(event: Spoken | Sounded) -> bool:
    return isinstance(event, Sounded) and event.tone is Tone.COUNTDOWN
