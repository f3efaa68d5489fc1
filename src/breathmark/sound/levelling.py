"""Bringing a mix to its loudness target under a true-peak ceiling.

One gain for the whole session, so nothing pumps, then the limiter.  The first run of
the mix measures it.  Where the limiter has work to do it takes loudness away: how much is
estimated from the peaks, the limited sound is measured (only the blocks it touches), and
the gain corrected where the estimate was off.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Final, Protocol

import numpy as np
from numpy.typing import NDArray

from breathmark.sound.limiter import Limiter
from breathmark.sound.loudness import integrated_lufs
from breathmark.sound.weighting import HOP_MS, PowerMeter, Weighting

TARGET_LUFS: Final = -19.0
"""Speech for phones: -16 LUFS in stereo is -19 for one channel (second-hand)."""

CEILING_DBTP: Final = -1.5
"""Before encoding, so that -1 dBTP holds after decoding (measured)."""

MOST_KEPT: Final = 30_000_000
"""Final samples held until they are written (60 MB); of more, none: they are made anew."""

_CLOSE_LU: Final = 0.1
_MOST_TRIALS: Final = 6
_MOST_STEP_DB: Final = 6.0
_LEAST_YIELD: Final = 0.1  # the ceiling leaves next to nothing to gain
_USUAL_YIELD: Final = 0.78  # loudness gained by a decibel of gain into the limiter (measured)
_DRAWN_DOWN: Final = 1.7
"""How many decibels a step of 100 ms loses for each that its peak is over the ceiling: the
whole neighbourhood of a peak is drawn down with it.  Fitted to 16 sessions of both engines,
plain and for hard hearing, whose loudness it then tells within 0.03 LU."""


class Rendered(Protocol):
    """Sound in blocks that can be run through more than once.

    Every block but the last is a whole number of tenths of a second.
    """

    @property
    def rate_hz(self) -> int:
        """Samples a second."""
        ...

    def blocks(self) -> Iterator[NDArray[np.float32]]:
        """The sound from the start, mono, full scale 1.0."""
        ...


@dataclass(frozen=True, kw_only=True, slots=True)
class Levelled:
    """A mix with the gain that brings it to its target.

    ``lufs`` is the loudness of the result as measured; ``-inf`` for silence.  It is
    the target within 0.1 LU unless the ceiling makes that impossible.  ``kept`` holds
    the final samples of a session that is not long; they were made for measuring.
    """

    mix: Rendered
    gain_db: float
    ceiling_dbtp: float
    lufs: float
    kept: tuple[NDArray[np.int16], ...] = field(default=(), repr=False)

    def blocks(self) -> Iterator[NDArray[np.int16]]:
        """The final samples, block by block, the same on every call.

        Rounded without dither: silence stays digital silence, and the rounding lies
        70 dB or more below the speech, whose clips are of 16 bits themselves.
        """
        if self.kept:
            yield from self.kept
            return
        limiter = _limiter(self.mix, self.gain_db, self.ceiling_dbtp)
        for limited in limiter.run(self.mix.blocks()):
            yield _final(limited.block)


def _final(block: NDArray[np.float32]) -> NDArray[np.int16]:
    final: NDArray[np.int16] = np.rint(block * np.float32(32768)).astype(np.int16)
    return final


def levelled(
    mix: Rendered, target_lufs: float = TARGET_LUFS, ceiling_dbtp: float = CEILING_DBTP
) -> Levelled:
    """Measure ``mix`` and find the gain that brings it to ``target_lufs``.

    A mix without anything loud enough to be gated in keeps its level.  The ceiling
    must be below 0 dBTP; raises ``ValueError`` otherwise.
    """
    if ceiling_dbtp >= 0:
        raise ValueError(f"the ceiling must be below full scale, not {ceiling_dbtp} dBTP")
    powers, peaks = _measured(mix)
    gain_db = _gain_to(target_lufs, powers, peaks * 10 ** (-ceiling_dbtp / 20))
    tried: list[tuple[float, float]] = []
    keep = len(powers) * HOP_MS * mix.rate_hz // 1000 <= MOST_KEPT
    kept: list[NDArray[np.int16]] = []
    while len(tried) < _MOST_TRIALS:
        kept.clear()
        keeping = kept if keep else None
        lufs = integrated_lufs(_measured_limited(mix, gain_db, ceiling_dbtp, powers, keeping))
        tried.append((gain_db, lufs))
        yielded = _yielded(tried)
        if lufs == -np.inf or abs(target_lufs - lufs) <= _CLOSE_LU or yielded < _LEAST_YIELD:
            break
        step = (target_lufs - lufs) / yielded
        gain_db += max(-_MOST_STEP_DB, min(_MOST_STEP_DB, step))
    gain_db, lufs = min(tried, key=lambda trial: abs(target_lufs - trial[1]))
    return Levelled(
        mix=mix,
        gain_db=gain_db,
        ceiling_dbtp=ceiling_dbtp,
        lufs=lufs,
        kept=tuple(kept) if gain_db == tried[-1][0] else (),
    )


def _yielded(tried: list[tuple[float, float]]) -> float:
    """How much loudness the last decibel of gain brought, after the limiter."""
    if len(tried) < 2:
        return _USUAL_YIELD
    (gain_before, lufs_before), (gain, lufs) = tried[-2:]
    return (lufs - lufs_before) / (gain - gain_before)


def _measured(mix: Rendered) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The K-weighted power of each whole 100 ms of the mix, and the highest sample in it."""
    meter = PowerMeter(mix.rate_hz)
    hop = mix.rate_hz * HOP_MS // 1000
    peaks = [np.zeros(0)]
    for block in mix.blocks():
        meter.add(block)
        whole = block[: len(block) // hop * hop].reshape(-1, hop)
        peaks.append(np.maximum(whole.max(axis=1), -whole.min(axis=1)).astype(np.float64))
    return meter.powers(), np.concatenate(peaks)


def _measured_limited(
    mix: Rendered,
    gain_db: float,
    ceiling_dbtp: float,
    powers: NDArray[np.float64],
    kept: list[NDArray[np.int16]] | None,
) -> NDArray[np.float64]:
    """The same after gain and limiter, metering anew only what the limiter touches.

    The final samples are added to ``kept``.
    """
    weighting = Weighting(mix.rate_hz)
    found = powers * 10 ** (gain_db / 10)
    hop = 0
    for limited in _limiter(mix, gain_db, ceiling_dbtp).run(mix.blocks()):
        if kept is not None:
            kept.append(_final(limited.block))
        hops = len(limited.block) // weighting.hop
        if limited.touched:
            found[hop : hop + hops] = weighting.powers(limited.block)
        hop += hops
    return found


def _gain_to(target_lufs: float, powers: NDArray[np.float64], over: NDArray[np.float64]) -> float:
    """The gain in decibels that brings ``powers`` to the target, by all we can tell.

    ``over`` are the peaks as factors of the ceiling.  What the limiter takes is made up for
    by 6 dB at most.  Repeated, because the limiter gives way, and amplifying can lift quiet
    blocks over the absolute gate.
    """
    gain_db, most_db = 0.0, np.inf
    for limiting in (False, True):
        for _ in range(_MOST_TRIALS):
            peaks = over * 10 ** (gain_db / 20) if limiting else np.ones_like(over)
            drawn = np.maximum(1.0, peaks) ** -_DRAWN_DOWN
            lufs = integrated_lufs(powers * drawn * 10 ** (gain_db / 10))
            if lufs == -np.inf:
                return 0.0
            gain_db = min(most_db, gain_db + target_lufs - lufs)
        most_db = gain_db + _MOST_STEP_DB
    return gain_db


def _limiter(mix: Rendered, gain_db: float, ceiling_dbtp: float) -> Limiter:
    return Limiter(
        rate_hz=mix.rate_hz, gain=10 ** (gain_db / 20), ceiling=10 ** (ceiling_dbtp / 20)
    )
