"""How much a stretch of a recording sounds like a row said by another voice.

The other voice is the one that the recorded voice falls back to: it can say every row.
Both are turned into mel-frequency cepstra (Davis and Mermelstein 1980, *IEEE Transactions
on Acoustics, Speech, and Signal Processing* 28:357-366), each coefficient brought to its
own mean and spread so that what is left is more the words than the speaker, and compared
by time warping (Sakoe and Chiba 1978, same journal, 26:43-49).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from breathmark.speech.intake_beginning import begins_later
from breathmark.speech.intake_match import MOST_PIECES, Evidence, Match, Row
from breathmark.speech.intake_split import LOOK_HZ, Piece

Features = NDArray[np.float64]

_FRAMES = 48  # every stretch is brought to so many, so that lengths do not count twice
_BANDS, _LOW_HZ, _HIGH_HZ, _RANGE_DB = 24, 150.0, 6_500.0, 40.0
_COEFFICIENTS = 13
_WINDOW, _HOP, _FFT = LOOK_HZ * 25 // 1000, LOOK_HZ * 10 // 1000, 512
_BAND = 8  # frames by which the two may be apart
_STEP_ASIDE = 1.0  # what it costs to stay on a frame
_NEAR = 0.4  # of the logarithm of the lengths: farther rows are not compared
_OTHER_MEAN, _OTHER_SPREAD = 6.7, 0.28  # of two different rows (measured on two voices)
_ENOUGH, _A_FEW = 40, 4
_OWN_SPREAD = 1.4
_MOST_ODDS = 5.0
_FAR_ODDS = 3.0  # against a row of quite another length
_BEGINNINGS = (8, 12, 16, 20)  # frames of 10 ms that may be lost at a start


class Likeness:
    """The distances between stretches of a recording and the rows of a sheet.

    ``sound_of`` gives the samples of a stretch and ``references`` the rows said by the
    other voice, both mono at :data:`~breathmark.speech.intake_split.LOOK_HZ`.
    """

    def __init__(
        self,
        pieces: Sequence[Piece],
        rows: Sequence[Row],
        references: Sequence[NDArray[np.float32]],
        sound_of: Callable[[int, int], NDArray[np.float32]],
        *,
        pace: float,
        most: int = MOST_PIECES,
    ) -> None:
        self._rows = len(rows)
        self._pace = pace
        self._sound_of = sound_of
        self._raw = [cepstra_of(sound) for sound in references]
        self._references = np.stack([_even(raw) for raw in self._raw])
        expected = np.log([row.expected_ms * pace for row in rows])
        self._distances: dict[tuple[int, int], NDArray[np.float64]] = {}
        for first in range(len(pieces)):
            for last in range(first + 1, min(first + most, len(pieces)) + 1):
                if pieces[first].file != pieces[last - 1].file:
                    break
                length = pieces[last - 1].end_ms - pieces[first].start_ms
                near = np.flatnonzero(np.abs(np.log(length) - expected) < _NEAR)
                if len(near):
                    self._distances[first, last] = self._measured(first, last, near)
        self._means, self._row_means, self._spread = self._others()

    def score(self, first: int, last: int) -> NDArray[np.float64]:
        """How alike a stretch is to each row, in spreads over that of two different rows.

        0 is no likeness, 3 to 4 is usual for the same words; NaN for rows of another length.
        What is usual is taken from how alike this stretch is to other rows, and this row to
        other stretches (score normalisation, as in speaker verification).
        """
        distances = self._distances.get((first, last))
        if distances is None:
            return np.full(self._rows, np.nan)
        usual = (self._means[first, last] + self._row_means) / 2
        score: NDArray[np.float64] = (usual - distances) / self._spread
        return score

    def evidence(self, sure: Sequence[Match]) -> Evidence:
        """Odds for the matcher, scaled by how alike this reader is to the other voice.

        ``sure`` are matches made without it, from which that is learnt.
        """
        usual = self.usual(sure)

        def odds(first: int, last: int) -> NDArray[np.float64]:
            score = self.score(first, last)
            near = np.minimum(score, usual)  # more alike than usual is not less likely
            own = -0.5 * ((near - usual) / _OWN_SPREAD) ** 2 - np.log(_OWN_SPREAD)
            found = np.clip(own + 0.5 * near**2, -_MOST_ODDS, _MOST_ODDS)
            known: NDArray[np.float64] = np.where(np.isnan(found), -_FAR_ODDS, found)
            return known

        return odds

    def usual(self, sure: Sequence[Match]) -> float:
        """The usual score of this reader's rows, 0.5 to 4; 2 while little is known."""
        scores = [self.score(one.first, one.last)[one.row] for one in sure]
        known = [score for score in scores if not np.isnan(score)]
        return float(np.clip(np.median(known), 0.5, 4.0)) if len(known) >= 5 else 2.0

    def lost_beginning(self, match: Match) -> float:
        """By how much a stretch is more like its row without the row's beginning.

        Below 0 for whole rows; in the unit of :meth:`score`.
        """
        own = _even(cepstra_of(self._sound_of(match.first, match.last)))
        raw = self._raw[match.row]
        shortened = [raw[lost:] for lost in _BEGINNINGS if len(raw) >= 4 * lost]
        if not shortened:
            return 0.0
        candidates = np.stack([_even(raw), *(_even(part) for part in shortened)])
        whole, *parts = _warped(own, candidates)
        return float((whole - min(parts)) / self._spread)

    def begins_later(self, match: Match) -> float:
        """How much better a stretch fits from a later start than from its row's own.

        See :func:`~breathmark.speech.intake_beginning.begins_later`.
        """
        own = cepstra_of(self._sound_of(match.first, match.last))
        return begins_later(own, self._raw[match.row], self._pace)

    def _measured(self, first: int, last: int, near: NDArray[np.intp]) -> NDArray[np.float64]:
        distances = np.full(self._rows, np.nan)
        own = _even(cepstra_of(self._sound_of(first, last)))
        distances[near] = _warped(own, self._references[near])
        return distances

    def _others(self) -> tuple[dict[tuple[int, int], float], NDArray[np.float64], float]:
        """The usual distance of each stretch and of each row, and the spread around them."""
        every = np.stack([*self._distances.values(), np.full(self._rows, np.nan)])
        known = ~np.isnan(every)
        if np.count_nonzero(known) < _ENOUGH:
            means = dict.fromkeys(self._distances, _OTHER_MEAN)
            return means, np.full(self._rows, _OTHER_MEAN), _OTHER_SPREAD
        middle = float(np.median(every[known]))
        rows = np.array([_usual(column, middle) for column in every.T])
        means = {where: _usual(row, middle) for where, row in self._distances.items()}
        around = every[:-1] - (np.array([*means.values()])[:, None] + rows[None, :]) / 2
        above = around[around > 0]  # the same rows are all on the other side
        return means, rows, float(np.clip(1.48 * np.median(above), 0.1, 0.6))


def _usual(distances: NDArray[np.float64], otherwise: float) -> float:
    known = distances[~np.isnan(distances)]
    return float(np.median(known)) if len(known) >= _A_FEW else otherwise


def references_of(
    clips: Mapping[str, NDArray[np.int16]], texts: Sequence[str], rate_hz: int
) -> list[NDArray[np.float32]]:
    """Finished clips of the rows, at the rate in which they are compared."""
    import soxr

    return [
        soxr.resample(clips[text].astype(np.float32) / 32768.0, rate_hz, LOOK_HZ) for text in texts
    ]


def cepstra_of(sound: NDArray[np.float32]) -> Features:
    """Cepstra of the sounding part, a row every 10 ms."""
    from scipy.fft import dct

    values = _sounding(sound.astype(np.float64))
    frames = np.lib.stride_tricks.sliding_window_view(values, _WINDOW)[::_HOP]
    power = np.abs(np.fft.rfft(frames * np.hanning(_WINDOW), _FFT)) ** 2 @ _mel_bands().T
    levels = 10.0 * np.log10(power + 1e-12)
    levels = np.maximum(levels, levels.max() - _RANGE_DB)
    cepstra: Features = dct(levels, axis=1, norm="ortho")[:, :_COEFFICIENTS]
    return cepstra


def _sounding(values: NDArray[np.float64]) -> NDArray[np.float64]:
    loud = np.flatnonzero(np.abs(values) > 0.02 * np.abs(values).max())
    cut = values[loud[0] : loud[-1] + 1] if len(loud) else values
    return np.pad(cut, (0, max(0, 2 * _WINDOW - len(cut))))


@lru_cache(maxsize=1)
def _mel_bands() -> NDArray[np.float64]:
    low, high = (1127.0 * np.log(1 + hz / 700.0) for hz in (_LOW_HZ, _HIGH_HZ))
    edges = 700.0 * (np.exp(np.linspace(low, high, _BANDS + 2) / 1127.0) - 1)
    hz = np.fft.rfftfreq(_FFT, 1 / LOOK_HZ)
    rising = (hz - edges[:-2, None]) / (edges[1:-1] - edges[:-2])[:, None]
    falling = (edges[2:, None] - hz) / (edges[2:] - edges[1:-1])[:, None]
    bands: NDArray[np.float64] = np.maximum(0.0, np.minimum(rising, falling))
    return bands


def _even(cepstra: Features) -> Features:
    """Cepstra and their change at :data:`_FRAMES` even steps, each with mean 0 and spread 1."""
    at = np.linspace(0, len(cepstra) - 1, _FRAMES)
    before = np.floor(at).astype(int)
    after, share = np.minimum(before + 1, len(cepstra) - 1), (at - before)[:, None]
    even = cepstra[before] * (1 - share) + cepstra[after] * share
    even = np.hstack([even, np.gradient(even, axis=0)])
    normal: Features = (even - even.mean(axis=0)) / (even.std(axis=0) + 1e-6)
    return normal


def _warped(own: Features, others: NDArray[np.float64]) -> NDArray[np.float64]:
    """The distance a frame between one stretch and each of several, best warped."""
    costs = np.sqrt(np.sum((own[None, :, None, :] - others[:, None, :, :]) ** 2, axis=-1))
    total = np.full((len(others), _FRAMES + 1, _FRAMES + 1), np.inf)
    total[:, 0, 0] = 0.0
    for row in range(1, _FRAMES + 1):
        for column in range(max(1, row - _BAND), min(_FRAMES, row + _BAND) + 1):
            aside = np.minimum(total[:, row - 1, column], total[:, row, column - 1]) + _STEP_ASIDE
            best = np.minimum(aside, total[:, row - 1, column - 1])
            total[:, row, column] = costs[:, row - 1, column - 1] + best
    distances: NDArray[np.float64] = total[:, _FRAMES, _FRAMES] / _FRAMES
    return distances
