"""Where the time of a session goes: work, rest, talking, for each side."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from breathmark.routine.model import Side
from breathmark.script.session import Activity, Block, Breathed, Session, Sounded, Span, Spoken
from breathmark.units import clock_text, milliseconds

RESTING = (Activity.REST, Activity.SIDE_CHANGE, Activity.PAUSE)
"""The activities that count as rest."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Totals:
    """Sums over a session, in samples; the first four add up to ``length``.

    ``work_left``, ``work_right`` and ``work_both`` add up to ``work``.  ``talking`` and
    ``breathing`` (the breathing sound) run beside the others and may overlap.
    """

    work: int
    rest: int
    lead_in: int
    around: int
    length: int
    work_left: int
    work_right: int
    work_both: int
    talking: int
    lines: int
    tones: int
    breathing: int


def totals(session: Session) -> Totals:
    """The sums of a session."""
    spans = [span for block in session.blocks for span in block.spans]
    work = [span for span in spans if span.activity is Activity.WORK]
    lines = session.spoken
    return Totals(
        work=_sum(work),
        rest=_sum(span for span in spans if span.activity in RESTING),
        lead_in=_sum(span for span in spans if span.activity is Activity.LEAD_IN),
        around=_sum(s for s in spans if s.activity in (Activity.OPENING, Activity.CLOSING)),
        length=session.length,
        work_left=_sum(span for span in work if span.side is Side.LEFT),
        work_right=_sum(span for span in work if span.side is Side.RIGHT),
        work_both=_sum(span for span in work if span.side is None),
        talking=_sum(lines),
        lines=len(lines),
        tones=sum(isinstance(event, Sounded) for event in session.events),
        breathing=_sum(event for event in session.events if isinstance(event, Breathed)),
    )


def work_of(block: Block) -> int:
    """The samples of work in one chapter."""
    return _sum(span for span in block.spans if span.activity is Activity.WORK)


def _sum(parts: Iterable[Span | Spoken | Breathed]) -> int:
    return sum(part.length for part in parts)


def clock(count: int, rate_hz: int) -> str:
    """Samples as a clock, with tenths of a second only when there are any.

    >>> clock(24_000 * 65, 24_000), clock(24_000 * 65 + 12_000, 24_000)
    ('1:05', '1:05.5')
    """
    tenths_ms = (milliseconds(count, rate_hz) + 50) // 100 * 100
    return clock_text(tenths_ms, tenths=bool(tenths_ms % 1000))
