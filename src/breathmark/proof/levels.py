"""Whether there is sound where the plan has it, and none where it has none.

All of it is read from the level of each 10 ms, against the plan's events.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from breathmark.proof import limits
from breathmark.proof.words import clock, quoted
from breathmark.routine.listening import Background
from breathmark.script.session import Breathed, Event, Session
from breathmark.script.silence import silences
from breathmark.units import samples

_DUCK_FRAMES = (25, 40)
"""Frames before and after a line or tone in which a breath under it steps back."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Levels:
    """The level of a recording of ``session`` at each frame of 10 ms.

    ``powers`` is the mean square of each frame, full scale 1.0.
    """

    session: Session
    powers: NDArray[np.float32]

    @property
    def frame(self) -> int:
        """How many of the plan's samples a frame is."""
        return samples(limits.FRAME_MS, self.session.rate_hz)

    @property
    def has_background(self) -> bool:
        """Whether the plan has a sound under everything."""
        return self.session.background is not Background.NONE

    @property
    def voice_dbfs(self) -> float:
        """From where on a frame belongs to a voice or a breath."""
        if self.has_background:
            return limits.VOICE_OVER_BACKGROUND_DBFS
        return limits.VOICE_DBFS

    @property
    def soft_end_s(self) -> float:
        """How long the end of a line may be too soft to be told from what is under it."""
        return limits.END_OVER_BACKGROUND_S if self.has_background else limits.END_S

    @property
    def quiet_dbfs(self) -> float:
        """How loud a frame may be where the plan has no event."""
        if self.has_background:
            return limits.QUIET_WITH_BACKGROUND_DBFS
        return limits.QUIET_DBFS

    def at(self, start: int, end: int) -> slice:
        """The frames that the plan's samples from ``start`` to ``end`` touch."""
        return slice(max(start, 0) // self.frame, -(-end // self.frame))

    def dbfs(self) -> NDArray[np.float32]:
        """The frames in decibels of full scale (a full-scale sine has -3), at least -120."""
        level: NDArray[np.float32] = 10 * np.log10(np.maximum(self.powers, np.float32(1e-12)))
        return level

    def silent_runs(self) -> list[tuple[int, int]]:
        """The stretches (first frame, first after) without a frame above ``SILENT_DBFS``."""
        return _runs(self.dbfs() < limits.SILENT_DBFS)

    def longest_silence_s(self) -> float:
        """The longest stretch of silence."""
        return _s(max((end - start for start, end in self.silent_runs()), default=0))


def line_problems(levels: Levels) -> list[str]:
    """Lines that are not heard, or not from their beginning to their end."""
    loud = levels.dbfs() >= levels.voice_dbfs
    found = []
    for line in levels.session.spoken:
        where = levels.at(line.start, line.end)
        mean = _mean_dbfs(levels.powers[where])
        voiced = np.flatnonzero(loud[where])
        named = f"the line at {clock(line.start, levels.session)}, {quoted(line.text)},"
        if mean < limits.LINE_DBFS or not len(voiced):
            found.append(f"{named} is not heard: {mean:.1f} dBFS on the average")
            continue
        late, early = _s(voiced[0]), _s(where.stop - where.start - 1 - voiced[-1])
        if late > limits.BEGIN_S:
            found.append(f"{named} begins {late:.2f} s late")
        if early > levels.soft_end_s:
            found.append(f"{named} ends {early:.2f} s early")
    return found


def breath_problems(levels: Levels) -> list[str]:
    """Breaths that are not heard where nothing is said over them."""
    free = np.ones(len(levels.powers), bool)
    for event in levels.session.foreground:
        over = levels.at(event.start, event.end)
        free[max(over.start - _DUCK_FRAMES[0], 0) : over.stop + _DUCK_FRAMES[1]] = False
    found = []
    for breath in _breaths(levels.session.events):
        edge = breath.length // 5
        where = levels.at(breath.start + edge, breath.end - edge)
        alone = levels.powers[where][free[where]]
        due = where.stop > len(levels.powers) or len(alone) > 0
        if due and (level := _mean_dbfs(alone)) < limits.BREATH_DBFS:
            at = clock(breath.start, levels.session)
            found.append(f"the breath {breath.direction} at {at} is not heard: {level:.1f} dBFS")
    return found


def quiet_problems(levels: Levels) -> list[str]:
    """Sounds where the plan has nothing, each stretch once."""
    guard = limits.GUARD_MS // limits.FRAME_MS
    empty = np.ones(len(levels.powers), bool)
    for event in levels.session.events:
        over = levels.at(event.start, event.end)
        empty[max(over.start - guard, 0) : over.stop + guard] = False
    level = levels.dbfs()
    return [
        f"something sounds at {clock(start * levels.frame, levels.session)} for"
        f" {_s(end - start):.2f} s, where the plan has nothing: {level[start:end].max():.1f} dBFS"
        for start, end in _runs(empty & (level > levels.quiet_dbfs))
    ]


def loudest_quiet_dbfs(levels: Levels) -> float:
    """The loudest frame where the plan has nothing; -120 where it is full."""
    guard = limits.GUARD_MS // limits.FRAME_MS
    level = levels.dbfs().copy()
    for event in levels.session.events:
        over = levels.at(event.start, event.end)
        level[max(over.start - guard, 0) : over.stop + guard] = -120
    return float(level.max(initial=-120))


def silence_problems(levels: Levels) -> list[str]:
    """Silences longer than the plan's."""
    gaps = planned_gaps(levels.session)
    starts = [start for start, _ in gaps]
    ends = [end for _, end in gaps]
    found = []
    for first, after in levels.silent_runs():
        if _s(after - first) <= limits.PAUSE_S:
            continue
        low = int(np.searchsorted(ends, first * levels.frame, side="right"))
        high = int(np.searchsorted(starts, after * levels.frame, side="left"))
        planned = max((end - start for start, end in gaps[low:high]), default=0)
        planned_s = planned / levels.session.rate_hz
        if _s(after - first) > max(planned_s + limits.SILENCE_S, limits.PAUSE_S):
            found.append(
                f"nothing is heard for {_s(after - first):.2f} s at"
                f" {clock(first * levels.frame, levels.session)}, where the plan has at most"
                f" {planned_s:.2f} s without a sound"
            )
    return found


def planned_gaps(session: Session) -> list[tuple[int, int]]:
    """The stretches (start, end) in samples in which the plan lets nothing be heard.

    A breath is heard from a little after its beginning to a little before its end, a
    background all the time but for its fades.
    """
    heard = [
        _heard_part(event, session.rate_hz) if isinstance(event, Breathed) else event
        for event in session.events
    ]
    gaps = silences(heard, session.length)
    if session.background is Background.NONE:
        return gaps
    fade = min(round(limits.BACKGROUND_FADE_S * session.rate_hz), session.length // 2)
    early = [(start, min(end, fade)) for start, end in gaps if start < fade]
    late = session.length - fade
    return early + [(max(start, late), end) for start, end in gaps if end > late]


def longest_gap_s(session: Session) -> float:
    """The longest stretch in which the plan lets nothing be heard."""
    gaps = planned_gaps(session)
    return max((end - start for start, end in gaps), default=0) / session.rate_hz


def _heard_part(breath: Breathed, rate_hz: int) -> Breathed:
    swell = min(round(limits.SWELL_S * rate_hz), breath.length // 5)
    return replace(breath, start=breath.start + swell, length=breath.length - 2 * swell)


def _breaths(events: Iterable[Event]) -> Iterator[Breathed]:
    return (event for event in events if isinstance(event, Breathed))


def _mean_dbfs(powers: NDArray[np.float32]) -> float:
    mean = float(powers.mean()) if len(powers) else 0.0
    return float(10 * np.log10(max(mean, 1e-12)))


def _runs(mask: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """The stretches (first, first after) in which ``mask`` holds."""
    edges = np.flatnonzero(np.diff(np.concatenate(([False], mask, [False])).astype(np.int8)))
    return [(int(first), int(after)) for first, after in edges.reshape(-1, 2)]


def _s(frames: int | np.intp) -> float:
    return int(frames) * limits.FRAME_MS / 1000
