"""Whether a sound begins where its row begins, or later: a start that was cut off.

The first second of a sound is laid along the beginning of the row as the other voice says
it, by time warping whose start is free on the row's side.  A whole row fits best from the
row's first sounds on; one that lost its first syllable fits better from later ones.  This
finds cuts that no ear hears as a click, such as one in the closure before a consonant.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Features = NDArray[np.float64]

_LOOKED_AT = 110  # frames of 10 ms
_AT_ONCE = 4  # starts up to here are the row's own
_LATER, _LATEST = 7, 36  # starts from 70 to 350 ms are later ones
_FEWEST = 12
_HASTE, _WAIT = 0.5, 1.5  # what it costs to leave out a frame of the row, or to stay on one


def begins_later(own: Features, row: Features, pace: float) -> float:
    """How much better a sound fits from a later start than from the row's own, in frames.

    ``own`` and ``row`` are cepstra, a row of them every 10 ms; ``pace`` is the reader's
    length over that of the other voice.  Below 0 for whole rows; 0 where it cannot be told.
    """
    said = _at_pace(own, pace)
    if min(len(said), len(row)) < _FEWEST:
        return 0.0
    looked_at = min(_LOOKED_AT, len(said))
    costs = _distances(_normal(said)[:looked_at], _normal(row)[: looked_at + 2 * _LATEST])
    starts = _best_from(costs)
    if len(starts) <= _LATER:
        return 0.0
    later = float(starts[_LATER:_LATEST].min())
    if not np.isfinite(later):
        return 0.0
    return (float(starts[:_AT_ONCE].min()) - later) / (later / looked_at)


def _at_pace(cepstra: Features, pace: float) -> Features:
    """The cepstra stretched or pressed to the other voice's pace."""
    at = np.linspace(0, len(cepstra) - 1, max(2, round(len(cepstra) / pace)))
    before = np.floor(at).astype(int)
    after, share = np.minimum(before + 1, len(cepstra) - 1), (at - before)[:, None]
    even: Features = cepstra[before] * (1 - share) + cepstra[after] * share
    return even


def _normal(cepstra: Features) -> Features:
    """Each coefficient with mean 0 and spread 1, and its change from frame to frame."""
    normal = (cepstra - cepstra.mean(axis=0)) / (cepstra.std(axis=0) + 1e-6)
    with_change: Features = np.hstack([normal, 2.0 * np.gradient(normal, axis=0)])
    return with_change


def _distances(own: Features, row: Features) -> Features:
    between: Features = np.sqrt(np.sum((own[:, None] - row[None]) ** 2, axis=-1))
    return between


def _best_from(costs: Features) -> Features:
    """The least cost of a path to the last frame of the sound, by the frame it starts at."""
    frames, width = costs.shape
    best = np.full((frames + 2, width + 2), np.inf)
    best[frames - 1, :width] = costs[frames - 1]
    for at in range(frames - 2, -1, -1):
        after = best[at + 1]
        on, over = after[1 : width + 1], after[2 : width + 2] + _HASTE
        best[at, :width] = costs[at] + np.minimum.reduce([on, over, after[:width] + _WAIT])
    starts: Features = best[0, :width]
    return starts
