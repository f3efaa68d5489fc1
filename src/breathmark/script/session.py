"""The planned session: every span and every event, in whole samples on one clock.

``start`` and ``length`` are samples at ``Session.rate_hz``, counted from the start
of the recording.  A session is valid once built: blocks follow one another without
a gap and add up to ``length``, the spans of a block do the same inside it, and no
two foreground events overlap.
"""

from __future__ import annotations

import enum
from dataclasses import dataclass

from breathmark.routine.listening import Background, Hearing
from breathmark.routine.model import Side


class Activity(enum.StrEnum):
    """What the patient does during a span."""

    OPENING = "opening"
    LEAD_IN = "lead-in"
    WORK = "work"
    REST = "rest"
    SIDE_CHANGE = "side change"
    PAUSE = "pause"
    CLOSING = "closing"


class Tone(enum.StrEnum):
    """The four tones a patient learns to know."""

    START = "start"
    HALFWAY = "halfway"
    COUNTDOWN = "countdown"
    END = "end"


TONE_MS = {Tone.START: 100, Tone.HALFWAY: 300, Tone.COUNTDOWN: 60, Tone.END: 600}
"""How long each tone sounds (ISO 24500:2010 start 100 ms, stop 600 ms, second-hand)."""


class Breath(enum.StrEnum):
    """The two directions of the breathing sound."""

    IN = "in"
    OUT = "out"


class Purpose(enum.StrEnum):
    """Why a line is said; captions and the table show it, and the proof groups by it."""

    OPENING = "opening"
    NAME = "name"
    SETUP = "set-up"
    DOSE = "dose"
    READY = "ready"
    CUE = "cue"
    BREATHING = "breathing"
    COUNT = "count"
    PHASE = "phase"
    TIME = "time"
    CHANGE = "change"
    CLOSING = "closing"


@dataclass(frozen=True, kw_only=True, slots=True)
class Spoken:
    """A line that is said: its written text, which voice says it, and when."""

    start: int
    length: int
    text: str
    voice: str
    purpose: Purpose

    @property
    def end(self) -> int:
        """The first sample after the line."""
        return self.start + self.length


@dataclass(frozen=True, kw_only=True, slots=True)
class Sounded:
    """A tone, its onset at ``start``."""

    start: int
    length: int
    tone: Tone

    @property
    def end(self) -> int:
        """The first sample after the tone."""
        return self.start + self.length


@dataclass(frozen=True, kw_only=True, slots=True)
class Breathed:
    """One stretch of the breathing sound, under whatever is said."""

    start: int
    length: int
    direction: Breath

    @property
    def end(self) -> int:
        """The first sample after the breath."""
        return self.start + self.length


Event = Spoken | Sounded | Breathed


@dataclass(frozen=True, kw_only=True, slots=True)
class Span:
    """A stretch of a block in which the patient does one thing.

    ``set_number`` counts from 1 on each side; ``doing`` is what is done, in words.
    """

    start: int
    length: int
    activity: Activity
    doing: str
    side: Side | None = None
    set_number: int | None = None

    @property
    def end(self) -> int:
        """The first sample after the span."""
        return self.start + self.length


@dataclass(frozen=True, kw_only=True, slots=True)
class Block:
    """A chapter: the opening, one exercise, or the closing.

    ``exercise`` is the exercise's index in the routine, ``None`` for the opening and
    the closing.
    """

    start: int
    length: int
    title: str
    spans: tuple[Span, ...]
    exercise: int | None = None

    @property
    def end(self) -> int:
        """The first sample after the block."""
        return self.start + self.length


@dataclass(frozen=True, kw_only=True, slots=True)
class Session:
    """The whole plan.

    ``left_out`` lists lines that found no room, each with its exercise's name and
    the reason; ``events`` are sorted by start.  ``hearing`` is the ears that it is mixed
    for, ``background`` what sounds under all of it.
    """

    title: str
    language: str
    voice: str
    rate_hz: int
    length: int
    blocks: tuple[Block, ...]
    events: tuple[Event, ...]
    left_out: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    hearing: Hearing = Hearing.USUAL
    background: Background = Background.NONE

    def __post_init__(self) -> None:
        _require_cover(self.blocks, 0, self.length, "the blocks")
        for block in self.blocks:
            _require_cover(block.spans, block.start, block.end, f"the spans of {block.title!r}")
        _require_clear(self.foreground)

    @property
    def foreground(self) -> tuple[Spoken | Sounded, ...]:
        """Lines and tones: the events that may never overlap."""
        return tuple(e for e in self.events if not isinstance(e, Breathed))

    @property
    def spoken(self) -> tuple[Spoken, ...]:
        """The lines, in order."""
        return tuple(e for e in self.events if isinstance(e, Spoken))


def _require_cover(
    parts: tuple[Block, ...] | tuple[Span, ...], start: int, end: int, what: str
) -> None:
    at = start
    for part in parts:
        if part.start != at or part.length < 0:
            raise ValueError(f"{what} do not follow one another at sample {at}")
        at = part.end
    if at != end:
        raise ValueError(f"{what} end at sample {at}, not at {end}")


def _require_clear(events: tuple[Spoken | Sounded, ...]) -> None:
    at = 0
    for event in events:
        if event.start < at:
            raise ValueError(f"two things are said or sounded at once at sample {event.start}")
        at = event.end
