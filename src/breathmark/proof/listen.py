"""One pass over a recording: everything that is measured on its sound, block by block.

Memory holds two blocks, a number for each 10 ms and for each 100 ms, and an onset for
each tone, whatever the recording's length.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numpy.typing import NDArray

from breathmark.deliver.ahead import ahead
from breathmark.proof.decode import SoundFile
from breathmark.proof.limits import FRAME_MS
from breathmark.script.session import Session, Sounded
from breathmark.sound.loudness import LoudnessMeter
from breathmark.sound.onsets import find_onset

SEARCH_MS: Final = 150
"""How far around its place a tone is looked for; past that it counts as missing."""

_ENOUGH_S: Final = 10  # of sound past the plan's end, after which nobody listens on

Progress = Callable[[int], None]
"""Told how many of the plan's samples have been heard."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Heard:
    """What was measured on the decoded sound.

    ``count`` is samples at ``rate_hz``; ``powers`` is the mean square of each
    :data:`~breathmark.proof.limits.FRAME_MS` (full scale 1.0, the last one may be
    short); ``onsets`` holds for each tone of the plan the sample where it begins, or
    ``None`` where it is not heard.  Where there is far more sound than planned,
    listening stops and ``count`` is what was heard until then.
    """

    rate_hz: int
    count: int
    lufs: float
    peak_dbtp: float
    powers: NDArray[np.float32]
    onsets: tuple[int | None, ...]


def listen(sound: SoundFile, session: Session, progress: Progress | None = None) -> Heard:
    """Measure a recording of ``session`` in one pass, and once more where samples are amiss.

    The file's rate must be a multiple of the session's.  ``progress`` is told how
    many of the plan's samples have been heard.  Raises
    :class:`~breathmark.proof.decode.UnreadableError` when the file turns out to be
    damaged on the way.
    """
    heard = _heard(sound.blocks(past_damage=True), sound, session, progress)
    if heard.count == _due(sound, session):
        return heard
    return _heard(sound.blocks(), sound, session, progress)  # tells of damage


def _due(sound: SoundFile, session: Session) -> int:
    return session.length * sound.rate_hz // session.rate_hz


def _heard(
    blocks: Iterable[NDArray[np.float32]],
    sound: SoundFile,
    session: Session,
    progress: Progress | None,
) -> Heard:
    """What is measured on the blocks of ``sound``."""
    due = _due(sound, session)
    meter = LoudnessMeter(sound.rate_hz)
    tones = _Tones.of(session, sound.rate_hz)
    powers = [np.zeros(0, np.float32)]
    count = 0
    for block in ahead(blocks):
        meter.add(block)
        powers.append(_powers(block, sound.rate_hz * FRAME_MS // 1000))
        tones.add(block)
        count += len(block)
        if progress is not None:
            progress(min(count, due) * session.rate_hz // sound.rate_hz)
        if count > due + _ENOUGH_S * sound.rate_hz:
            break
    tones.end()
    return Heard(
        rate_hz=sound.rate_hz,
        count=count,
        lufs=meter.integrated_lufs(),
        peak_dbtp=meter.true_peak_dbtp(),
        powers=np.concatenate(powers),
        onsets=tuple(tones.onsets),
    )


def _powers(block: NDArray[np.float32], frame: int) -> NDArray[np.float32]:
    """The mean square of each frame; a short last one counts by what it has."""
    whole = len(block) // frame * frame
    frames = block[:whole].reshape(-1, frame)
    powers: NDArray[np.float32] = np.einsum("ij,ij->i", frames, frames) / np.float32(frame)
    rest = block[whole:]
    if not len(rest):
        return powers
    return np.append(powers, np.float32(rest @ rest / len(rest)))


@dataclass(kw_only=True, slots=True)
class _Tones:
    """Looks for each tone of the plan as soon as the sound around it has come.

    ``held`` is the sound from sample ``begin`` on that coming tones may need.
    """

    tones: tuple[Sounded, ...]
    scale: int
    rate_hz: int
    begin: int = 0
    held: NDArray[np.float32] = field(default_factory=lambda: np.zeros(0, np.float32))
    onsets: list[int | None] = field(default_factory=list)

    @classmethod
    def of(cls, session: Session, rate_hz: int) -> _Tones:
        tones = tuple(event for event in session.events if isinstance(event, Sounded))
        return cls(tones=tones, scale=rate_hz // session.rate_hz, rate_hz=rate_hz)

    @property
    def _reach(self) -> int:
        return SEARCH_MS * self.rate_hz // 1000

    def add(self, block: NDArray[np.float32]) -> None:
        """Hear the next samples and find the tones that are complete by now."""
        self.held = np.concatenate((self.held, block))
        while self._waiting and self._last() <= self.begin + len(self.held):
            self._find()
        keep_from = self._first() if self._waiting else self.begin + len(self.held)
        drop = min(max(keep_from - self.begin, 0), len(self.held))
        self.held, self.begin = self.held[drop:], self.begin + drop

    def end(self) -> None:
        """Find what is left: the recording has come to its end."""
        while self._waiting:
            self._find()

    @property
    def _waiting(self) -> bool:
        return len(self.onsets) < len(self.tones)

    @property
    def _next(self) -> Sounded:
        return self.tones[len(self.onsets)]

    def _first(self) -> int:
        return self._next.start * self.scale - self._reach

    def _last(self) -> int:
        return self._next.end * self.scale + self._reach

    def _find(self) -> None:
        expected = self._next.start * self.scale
        kind = self._next.tone
        end = max(self._last() - self.begin, 0)
        found = find_onset(self.held[:end], kind, self.rate_hz, expected - self.begin, self._reach)
        self.onsets.append(None if found is None else self.begin + found)
