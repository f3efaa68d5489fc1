"""Which sound of a recording is which row of the sheet, and how sure that is.

The reading is taken for a walk along the sheet: usually to the next row, sometimes to the
same again (a repeat), some rows back (a new start) or past some (left out), with sounds
between that belong to no row.  Of all such walks the forward-backward algorithm (Rabiner
1989, *Proceedings of the IEEE* 77:257-286), over stretches of one or more sounds, gives
the probability that a stretch is a row.  What is not nearly certain is never used.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from breathmark.speech.intake_split import Piece

SURE = 0.985
"""The probability from which a match is used."""

MOST_PIECES = 4
"""Sounds that one row may fall into: it is one breath, with a comma or two."""

_PACES = (0.6, 0.75, 0.9, 1.05, 1.25, 1.5, 1.8)  # of the expected lengths, to start from
_SPREADS = (0.07, 0.16)  # of the logarithm of a row's length over its expected length
_EDGE_MS = 40.0  # by how much the length of a short call is off in any case
_WILD = math.log(1 / 3.4)  # the density of what is no row: any length, 0.2 to 6 s
_NEXT, _SKIP, _MORE = math.log(0.96), math.log(0.012), math.log(0.5)
_AGAIN, _BACK, _MOST_BACK = math.log(0.02), math.log(0.004), 6
_STRAY = math.log(0.01)  # a voiced sound that is no row
_NOISE, _CLEARLY_VOICED = math.log(0.3), 0.35
_UNVOICED_ROW = -4.0
_GAP_MS, _GAP_SCALE_MS, _NO_COMMA = 550.0, 120.0, -1.5

_Chances = Mapping[tuple[int, int], NDArray[np.float64]]

Evidence = Callable[[int, int], NDArray[np.float64]]
"""What else speaks for the sounds ``first`` to ``last`` (exclusive) being each row:
logarithms of odds, one a row, 0 where there is nothing to say."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Row:
    """A row of the sheet as the matcher sees it: its expected length and its commas."""

    expected_ms: float
    commas: int = 0


@dataclass(frozen=True, kw_only=True, slots=True)
class Match:
    """A stretch of sounds, ``first`` to ``last`` (exclusive), that is ``row``.

    ``sure`` is the probability that it is, and that nothing later is the same row again.
    ``ratio`` is the length over the one expected at the reader's pace, ``off`` how far
    that is from 1 in the spreads of this reader.
    """

    first: int
    last: int
    row: int
    sure: float
    ratio: float
    off: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Matched:
    """Everything that is more likely than not, in the order of the recording.

    ``pace`` is the reader's length over the expected one; ``noise`` gives for each sound
    the probability that it belongs to no row.
    """

    matches: tuple[Match, ...]
    pace: float
    noise: tuple[float, ...]


def matched(
    pieces: Sequence[Piece],
    rows: Sequence[Row],
    evidence: Evidence | None = None,
    *,
    joined: bool = True,
) -> Matched:
    """Match sounds to rows; ``joined`` says that a row may fall into several sounds."""
    if not pieces or not rows:
        return Matched(matches=(), pace=1.0, noise=(1.0,) * len(pieces))
    most = MOST_PIECES if joined else 1
    walks = [_Walk(pieces, rows, pace, _SPREADS[1], evidence, most) for pace in _PACES]
    best = max(walks, key=lambda walk: walk.total)
    spread = _SPREADS[1]
    for _ in range(3):
        ratios = [one.ratio for one in best.matches() if one.sure > SURE]
        if len(ratios) < 3:
            break
        pace = best.pace * float(np.exp(np.median(np.log(ratios))))
        off = np.abs(np.log(ratios) - np.median(np.log(ratios)))
        spread = float(np.clip(1.48 * np.median(off), *_SPREADS))
        best = _Walk(pieces, rows, pace, spread, evidence, most)
    return Matched(matches=best.matches(), pace=best.pace, noise=best.noise())


class _Walk:
    """All walks at one pace: forward and backward over sounds and rows."""

    def __init__(
        self,
        pieces: Sequence[Piece],
        rows: Sequence[Row],
        pace: float,
        spread: float,
        evidence: Evidence | None,
        most: int,
    ) -> None:
        self.pace = pace
        self._pieces, self._rows, self._most = pieces, rows, most
        self._expected = np.array([row.expected_ms for row in rows]) * pace
        self._commas = np.array([row.commas for row in rows])
        self._spreads = np.hypot(spread, _EDGE_MS / self._expected)
        self._steps = _steps(len(rows))
        self._evidence = evidence
        self._fits = {
            (first, last): self._fit(first, last)
            for first in range(len(pieces))
            for last in range(first + 1, min(first + most, len(pieces)) + 1)
            if self._one_file(first, last)
        }
        self._strays = [_stray(piece) for piece in pieces]
        self._ends = np.array([_left_out(len(rows) - 1 - row) for row in range(-1, len(rows))])
        self._forward, self._enter = self._forwards()
        self._backward = self._backwards()
        self.total = float(np.logaddexp.reduce(self._forward[-1] + self._ends))

    def matches(self) -> tuple[Match, ...]:
        """Every stretch that is more likely than not one row."""
        return tuple(self._likely())

    def noise(self) -> tuple[float, ...]:
        """For each sound, the probability that it belongs to no row."""
        return tuple(
            float(np.exp(np.logaddexp.reduce(
                self._forward[at] + stray + self._backward[at + 1]) - self.total))
            for at, stray in enumerate(self._strays)
        )  # fmt: skip

    def _likely(self) -> Iterator[Match]:
        chances = {
            (first, last): np.exp(self._enter[first] + fit + self._backward[last][1:] - self.total)
            for (first, last), fit in self._fits.items()
        }
        for (first, last), chance in chances.items():
            row = int(np.argmax(chance))
            if chance[row] > 0.5:
                yield self._match(first, last, row, chances)

    def _match(self, first: int, last: int, row: int, chances: _Chances) -> Match:
        later = [float(one[row]) for (begins, _), one in chances.items() if begins >= last]
        again = sum(chance for chance in later if chance <= 0.5)  # others are matches themselves
        ratio = self._length(first, last) / float(self._expected[row])
        return Match(
            first=first,
            last=last,
            row=row,
            sure=min(float(chances[first, last][row]), 1.0) * max(0.0, 1.0 - again),
            ratio=ratio,
            off=abs(math.log(ratio)) / float(self._spreads[row]),
        )

    def _one_file(self, first: int, last: int) -> bool:
        return self._pieces[first].file == self._pieces[last - 1].file

    def _length(self, first: int, last: int) -> float:
        """From the first sound to the last, in milliseconds, without the margins."""
        if last - first == 1:
            return self._pieces[first].sound_ms
        begins, ends = self._pieces[first], self._pieces[last - 1]
        margins = begins.end_ms - begins.start_ms - begins.sound_ms
        return ends.end_ms - begins.start_ms - margins

    def _fit(self, first: int, last: int) -> NDArray[np.float64]:
        """The logarithm of how well a stretch fits each row, over being anything."""
        off = np.log(self._length(first, last) / self._expected)
        narrow = _bell(off, self._spreads)
        fits = np.logaddexp(narrow + math.log(0.97), _bell(off, 2.5 * self._spreads) - 3.5)
        gaps = [
            (after.start_ms - before.end_ms - _GAP_MS) / _GAP_SCALE_MS
            for before, after in zip(
                self._pieces[first : last - 1], self._pieces[first + 1 : last], strict=True
            )
        ]
        for at, gap in enumerate(gaps):
            fits = fits - np.logaddexp(0.0, gap) + np.where(self._commas > at, 0.0, _NO_COMMA)
        if last < len(self._pieces) and self._one_file(first, last + 1):
            after, before = self._pieces[last], self._pieces[last - 1]
            gap = (after.start_ms - before.end_ms - _GAP_MS) / _GAP_SCALE_MS
            fits = fits - np.logaddexp(0.0, -gap)
        longest = max(self._pieces[first:last], key=lambda piece: piece.sound_ms)
        if longest.voiced < _CLEARLY_VOICED:
            fits = fits + _UNVOICED_ROW * (1.0 - longest.voiced / _CLEARLY_VOICED)
        if self._evidence is not None:
            fits = fits + self._evidence(first, last)
        return fits

    def _forwards(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """For each count of sounds: the last row read, and the row about to be read."""
        count, rows = len(self._pieces), len(self._rows)
        reached = np.full((count + 1, rows + 1), -np.inf)
        reached[0][0] = 0.0
        enter = np.full((count, rows), -np.inf)
        for at in range(count):
            enter[at] = np.logaddexp.reduce(reached[at][:, None] + self._steps, axis=0)
            reached[at + 1] = np.logaddexp(reached[at + 1], reached[at] + self._strays[at])
            for last in range(at + 1, at + self._most + 1):
                if (at, last) in self._fits:
                    through = enter[at] + self._fits[at, last]
                    reached[last][1:] = np.logaddexp(reached[last][1:], through)
        return reached, enter

    def _backwards(self) -> NDArray[np.float64]:
        count, rows = len(self._pieces), len(self._rows)
        left = np.full((count + 1, rows + 1), -np.inf)
        left[count] = self._ends
        for at in range(count - 1, -1, -1):
            ways = [
                self._fits[at, last] + left[last][1:]
                for last in range(at + 1, at + self._most + 1)
                if (at, last) in self._fits
            ]
            onward = np.logaddexp.reduce(np.stack(ways), axis=0)
            stepped = np.logaddexp.reduce(self._steps + onward[None, :], axis=1)
            left[at] = np.logaddexp(stepped, self._strays[at] + left[at + 1])
        return left


def _steps(rows: int) -> NDArray[np.float64]:
    """The logarithms of the steps from the last row read (first: none yet) to the next."""
    steps = np.full((rows + 1, rows), -np.inf)
    for last in range(-1, rows):
        for row in range(max(0, last - _MOST_BACK), rows):
            forward = row - last
            if forward > 0:
                steps[last + 1][row] = _NEXT if forward == 1 else _left_out(forward - 1)
            else:
                steps[last + 1][row] = _AGAIN if forward == 0 else _BACK + forward * 0.3
    return steps


def _left_out(rows: int) -> float:
    return _SKIP + (rows - 1) * _MORE if rows else 0.0


def _stray(piece: Piece) -> float:
    """How well a sound is no row: a cough is one readily, a voice is not."""
    voice = min(1.0, piece.voiced / _CLEARLY_VOICED)
    return _WILD + _NOISE + voice * (_STRAY - _NOISE)


def _bell(off: NDArray[np.float64], spreads: NDArray[np.float64]) -> NDArray[np.float64]:
    density: NDArray[np.float64] = -0.5 * (off / spreads) ** 2 - np.log(spreads * 2.5066)
    return density
