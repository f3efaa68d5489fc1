"""Settling the rests so that the session lasts exactly what was promised.

Work keeps its length; rests move inside their ranges, each by the same part of the
room that it has, in half seconds; the last rests and the closing take what is
left over, to the sample.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from breathmark.dose.room import Room
from breathmark.script.draft import SpanDraft


def room(spans: Iterable[SpanDraft]) -> Room:
    """What the spans may last together."""
    return sum((Room(low=s.low, usual=s.usual, high=s.high) for s in spans), start=Room.none())


def settled(spans: Sequence[SpanDraft], length: int, *, step: int) -> tuple[int, ...]:
    """The length of each span, in samples, so that they add up to ``length``.

    ``step`` is the size in samples that changes are rounded to where they can be.
    Raises ``ValueError`` when ``length`` lies outside the room that the spans have.
    """
    allowed = room(spans)
    if length not in allowed:
        raise ValueError(f"{length} samples lie outside {allowed}")
    more = length - allowed.usual
    sign = 1 if more >= 0 else -1
    rooms = [span.high - span.usual if more >= 0 else span.usual - span.low for span in spans]
    shares = _shares(rooms, abs(more), step)
    return tuple(span.usual + sign * share for span, share in zip(spans, shares, strict=True))


def _shares(rooms: Sequence[int], amount: int, step: int) -> list[int]:
    """``amount`` shared out in proportion to ``rooms``, in steps; the last ones take the rest."""
    total = sum(rooms)
    if not amount or not total:
        return [0] * len(rooms)
    shares = [amount * has // total // step * step for has in rooms]
    left = amount - sum(shares)
    for index in range(len(rooms) - 1, -1, -1):
        taken = min(left, rooms[index] - shares[index])
        shares[index] += taken
        left -= taken
    return shares
