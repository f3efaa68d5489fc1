"""What a part of a session may last."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True, slots=True)
class Room:
    """The shortest, usual and longest duration of something, in samples.

    >>> Room(low=1, usual=2, high=4) + Room(low=1, usual=1, high=1)
    Room(low=2, usual=3, high=5)
    >>> 4 in Room(low=1, usual=2, high=4)
    True
    """

    low: int
    usual: int
    high: int

    @classmethod
    def none(cls) -> Room:
        """No time at all."""
        return cls(low=0, usual=0, high=0)

    def __add__(self, other: Room) -> Room:
        return Room(
            low=self.low + other.low, usual=self.usual + other.usual, high=self.high + other.high
        )

    def __contains__(self, length: int) -> bool:
        return self.low <= length <= self.high
