"""A session before its rests have been settled: spans that still know what they may be.

Everything here is in samples.  A draft span says how long it may last and what is to
be heard in it; :mod:`breathmark.script.layout` turns it into events once its length
is known.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from breathmark.routine.model import Side
from breathmark.script.session import Activity, Breath, Purpose, Tone
from breathmark.units import milliseconds, samples


@dataclass(frozen=True, kw_only=True, slots=True)
class Line:
    """Something to say, and why; ``written`` is a text that names a side, as it was written.

    ``of_set`` marks what is true of its own set alone and never waits for a later one.
    """

    text: str
    purpose: Purpose
    written: str = ""
    of_set: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Puff:
    """One stretch of the breathing sound, ``length`` samples long."""

    direction: Breath
    length: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Pinned:
    """Something at a fixed offset from the start of its span, in samples."""

    offset: int
    what: Line | Tone | Puff


@dataclass(frozen=True, kw_only=True, slots=True)
class SpanDraft:
    """A span that may last from ``low`` to ``high`` samples, usually ``usual``.

    ``first`` is said from the start, ``last`` just before the end, ``pinned`` at its
    offsets; ``coaching`` goes into the gaps, most important first, and waits for the
    next span when it finds no room; ``spare`` is what is said again, in what coaching
    leaves of this span only; ``soft`` are pinned lines that give way to coaching, ``late``
    those that do only where coaching finds no room beside them; ``calls`` are the author's
    own for its phases, pinned or not, so that one never heard can be told.
    ``spread`` shares out the time that is over between the lines of ``first``; ``quiet``
    asks for no filling words.
    """

    activity: Activity
    doing: str
    low: int
    usual: int
    high: int
    path: str
    side: Side | None = None
    set_number: int | None = None
    first: tuple[Line, ...] = ()
    last: tuple[Line, ...] = ()
    pinned: tuple[Pinned, ...] = ()
    soft: tuple[Pinned, ...] = ()
    late: tuple[Pinned, ...] = ()
    coaching: tuple[Line, ...] = ()
    spare: tuple[Line, ...] = ()
    calls: tuple[Line, ...] = ()
    spread: bool = False
    quiet: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class BlockDraft:
    """A chapter before its rests have been settled."""

    title: str
    spans: tuple[SpanDraft, ...]
    exercise: int | None = None


class SpeechLengths:
    """How long each line lasts, in samples at ``rate_hz``, as measured on its clip.

    A line that has not been measured yet is estimated and noted in :attr:`missing`,
    so that it can be measured and the plan made again.  ``voice_of`` tells which voice
    says a line, where that is not the session's.
    """

    def __init__(
        self,
        known: Mapping[str, int],
        *,
        rate_hz: int,
        voice_of: Callable[[str], str] | None = None,
    ) -> None:
        self.rate_hz = rate_hz
        self._voice_of = voice_of
        self._known = known
        self._missing: dict[str, None] = {}

    @property
    def missing(self) -> tuple[str, ...]:
        """The lines asked for and not measured yet, in the order they were asked for."""
        return tuple(self._missing)

    def of(self, text: str) -> int:
        """The length of a line, or an estimate of it (150 words a minute)."""
        found = self._known.get(text)
        if found is not None:
            return found
        self._missing[text] = None
        return self.ms(400 * max(1, len(text.split())))

    def voice_of(self, text: str, usual: str) -> str:
        """The name of the voice that says a line; ``usual`` is the session's."""
        return self._voice_of(text) if self._voice_of else usual

    def ms(self, duration_ms: int) -> int:
        """Milliseconds as samples at the session's rate."""
        return samples(duration_ms, self.rate_hz)

    def to_ms(self, count: int) -> int:
        """Samples as milliseconds, rounded, for words to people."""
        return milliseconds(count, self.rate_hz)
