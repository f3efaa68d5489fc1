"""The mix: every event of a session put on the clock, block by block.

Memory holds one block and the sounds that reach into it, whatever the session's
length.  Lines get ramps of 2 ms at their edges, so that a clip cut off the zero line
cannot click; the breathing sound and the background step back smoothly while something
is said.  For other than the usual hearing, lines are shaped and tones are louder.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from breathmark.problems import Fault
from breathmark.routine.listening import Background
from breathmark.script.session import Breathed, Event, Session, Sounded, Spoken
from breathmark.sound.background import background
from breathmark.sound.breath import breath
from breathmark.sound.ducking import ducking
from breathmark.sound.hearing import TONE_GAIN_DB, shaped
from breathmark.sound.levelling import Levelled, levelled
from breathmark.sound.tones import ramp, tone
from breathmark.units import samples

__all__ = ["BACKGROUND_DUCK_DB", "BLOCK_MS", "DUCK_DB", "ClipOf", "Levelled", "Mix", "levelled"]

BLOCK_MS: Final = 2_000
"""Length of a block; a whole number of the meter's 100 ms steps."""

DUCK_DB: Final = 16.0
"""How far the breathing sound steps back: to 21 dB below speech at its loudest.

WCAG 2.2, 1.4.7 asks 20 dB of a background.
"""

BACKGROUND_DUCK_DB: Final = 10.0
"""How far the background steps back: to some 30 dB below speech."""

_EDGE_MS: Final = 2

ClipOf = Callable[[Spoken], NDArray[np.int16]]


@dataclass(frozen=True, slots=True)
class Mix:
    """A session as sound, before levelling.

    ``clip`` gives the samples of a line: int16, mono, at the session's rate, exactly
    as long as the event.  It is called once for each line each time the mix is run.
    """

    session: Session
    clip: ClipOf

    @property
    def rate_hz(self) -> int:
        """The session's rate."""
        return self.session.rate_hz

    @property
    def length(self) -> int:
        """How many samples the blocks add up to."""
        return self.session.length

    def blocks(self) -> Iterator[NDArray[np.float32]]:
        """The whole mix from the start: mono, full scale 1.0, ``BLOCK_MS`` at a time.

        The same on every call; the last block is what is left.  Raises
        :class:`~breathmark.problems.Fault` when a clip does not fit its event or an
        event lies outside the session.
        """
        size = samples(BLOCK_MS, self.rate_hz)
        events = sorted(self.session.events, key=lambda event: event.start)
        _require_inside(events, self.length)
        sounds = _Sounds(mix=self, foreground=self.session.foreground, made={})
        live: list[tuple[int, NDArray[np.float32]]] = []
        coming, has_background = 0, self.session.background is not Background.NONE
        for start in range(0, self.length, size):
            end = min(start + size, self.length)
            while coming < len(events) and events[coming].start < end:
                live.append((events[coming].start, sounds.of(events[coming])))
                coming += 1
            block = _laid(live, start, end)
            yield block + self._under(start, end, sounds) if has_background else block
            live = [(at, sound) for at, sound in live if at + len(sound) > end]

    def _under(self, start: int, end: int, sounds: _Sounds) -> NDArray[np.float32]:
        """The background from ``start`` to ``end``, soft while something is said."""
        sound = background(start, end, self.length, self.rate_hz)
        back = ducking(start, end - start, sounds.foreground, self.rate_hz, BACKGROUND_DUCK_DB)
        return sound if back is None else sound * back


def _require_inside(events: list[Event], length: int) -> None:
    for event in events:
        if event.start < 0 or event.end > length:
            raise Fault(
                f"an event from sample {event.start} to {event.end} lies outside the session"
            )


def _laid(live: list[tuple[int, NDArray[np.float32]]], start: int, end: int) -> NDArray[np.float32]:
    """The samples from ``start`` to ``end``: the sum of what sounds there."""
    block = np.zeros(end - start, np.float32)
    for at, sound in live:
        first, last = max(at, start), min(at + len(sound), end)
        block[first - start : last - start] += sound[first - at : last - at]
    return block


@dataclass(frozen=True, kw_only=True, slots=True)
class _Sounds:
    """Makes the sound of each event; breaths of one kind and length are made once."""

    mix: Mix
    foreground: tuple[Spoken | Sounded, ...]
    made: dict[tuple[str, int], NDArray[np.float32]]

    def of(self, event: Event) -> NDArray[np.float32]:
        match event:
            case Spoken():
                return self._line(event)
            case Sounded():
                return self._tone(event)
            case Breathed():
                return self._breath(event)

    def _line(self, event: Spoken) -> NDArray[np.float32]:
        clip = self.mix.clip(event)
        if clip.dtype != np.int16 or clip.shape != (event.length,):
            raise Fault(
                f"the clip of {event.text!r} has {clip.dtype} samples of shape {clip.shape}, "
                f"but the plan holds {event.length} int16 samples for it"
            )
        line = clip.astype(np.float32)
        line *= np.float32(1 / 32768)
        line = shaped(line, self.mix.session.hearing, self.mix.rate_hz)
        edge = min(samples(_EDGE_MS, self.mix.rate_hz), len(line) // 2)
        if edge:
            line[:edge] *= ramp(edge)
            line[-edge:] *= ramp(edge)[::-1]
        return line

    def _tone(self, event: Sounded) -> NDArray[np.float32]:
        sound = tone(event.tone, self.mix.rate_hz)
        if len(sound) != event.length:
            raise Fault(
                f"the {event.tone} tone has {len(sound)} samples, but the plan holds {event.length}"
            )
        louder_db = TONE_GAIN_DB[self.mix.session.hearing]
        return sound * np.float32(10 ** (louder_db / 20)) if louder_db else sound

    def _breath(self, event: Breathed) -> NDArray[np.float32]:
        key = (event.direction.value, event.length)
        if key not in self.made:
            self.made[key] = breath(event.direction, event.length, self.mix.rate_hz)
        back = ducking(event.start, event.length, self.foreground, self.mix.rate_hz, DUCK_DB)
        return self.made[key] if back is None else self.made[key] * back
