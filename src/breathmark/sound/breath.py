"""The breathing sound: soft air that rises while breathing in and falls while breathing out.

Three bands of noise glide together, each a slowly wandering carrier, so that the ear
hears both air and a direction.  The noise comes from a small generator of our own
(SplitMix64, Steele, Lea and Flood 2014), so it does not depend on numpy's.  The
sound swells from silence and back to it with level and slope at zero, so breaths
join without a click.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from breathmark.script.session import Breath
from breathmark.sound.tones import ramp

LEVEL_DBFS: Final = -27.0
"""RMS at the crest: 5 dB under speech at -22 dBFS, soft and clear (our own choice)."""

_GLIDE_HZ: Final = {Breath.IN: (430.0, 860.0), Breath.OUT: (860.0, 430.0)}
_CREST: Final = {Breath.IN: 0.65, Breath.OUT: 0.3}  # where in the breath it is loudest
_BANDS: Final = ((1.0, 1.0), (1.6, 0.45), (2.4, 0.2))  # times the glide, amplitude
_WANDER_HZ: Final = 500  # points a second of the noise that each carrier wanders by
_SWELL_S: Final = 0.8  # longest ramp from and to silence
_FLOOR: Final = 0.5  # level beside the crest, between the ramps


def breath(direction: Breath, length: int, rate_hz: int) -> NDArray[np.float32]:
    """``length`` samples of breathing sound: mono, full scale 1.0, the same every time."""
    if length <= 0:
        return np.zeros(0, np.float32)
    turns = _turns(direction, length, rate_hz)
    sound = np.zeros(length, np.float32)
    for number, (ratio, amplitude) in enumerate(_BANDS):
        phase = (2 * np.pi * (ratio * turns % 1.0)).astype(np.float32)
        seed = number * 2 + (direction is Breath.OUT)
        sound += np.float32(amplitude) * _wander(seed * 2, length, rate_hz) * np.cos(phase)
        sound += np.float32(amplitude) * _wander(seed * 2 + 1, length, rate_hz) * np.sin(phase)
    full = np.sqrt(sum(amplitude**2 for _, amplitude in _BANDS))
    sound *= _swell(direction, length, rate_hz) * np.float32(10 ** (LEVEL_DBFS / 20) / full)
    return sound


def _turns(direction: Breath, length: int, rate_hz: int) -> NDArray[np.float64]:
    """The carrier's phase in turns, its pitch gliding evenly in octaves."""
    first, last = _GLIDE_HZ[direction]
    octaves = np.log(last / first)
    gone: NDArray[np.float64] = np.expm1(octaves * np.arange(length) / length)
    turns: NDArray[np.float64] = gone * (first * length / rate_hz / octaves)
    return turns


def _swell(direction: Breath, length: int, rate_hz: int) -> NDArray[np.float32]:
    """The envelope: 0 to 1 and back, level and slope zero at both ends."""
    place = np.arange(length) / length
    crest = _CREST[direction]
    side = np.where(place < crest, place / crest, (1 - place) / (1 - crest))
    envelope = _FLOOR + (1 - _FLOOR) * np.sin(np.pi / 2 * side) ** 2
    edge = min(length // 2, round(_SWELL_S * rate_hz), length // 5 or 1)
    if edge:
        envelope[:edge] *= ramp(edge)
        envelope[-edge:] *= ramp(edge)[::-1]
    return envelope.astype(np.float32)


def _wander(seed: int, length: int, rate_hz: int) -> NDArray[np.float32]:
    """Slow noise of unit power: random points joined by a cubic B-spline."""
    step = rate_hz // _WANDER_HZ
    points = noise(seed, length // step + 4)
    at = np.arange(step) / step
    spline = np.stack(
        [(1 - at) ** 3, 3 * at**3 - 6 * at**2 + 4, -3 * at**3 + 3 * at**2 + 3 * at + 1, at**3]
    ).astype(np.float32)
    spline /= np.sqrt(np.mean(np.sum(spline**2, axis=0)) / 3)  # points have power 1/3
    shifted = np.lib.stride_tricks.sliding_window_view(points, 4)
    joined: NDArray[np.float32] = np.einsum("ij,jk->ik", shifted, spline).reshape(-1)[:length]
    return joined


def noise(seed: int, count: int, *, first: int = 0) -> NDArray[np.float32]:
    """``count`` even random numbers from -1 to 1, from place ``first`` of a row (SplitMix64)."""
    start = np.uint64((seed * 0x5851F42D4C957F2D + 0x14057B7EF767814F) % 2**64)
    state = start + np.arange(first + 1, first + count + 1, dtype=np.uint64) * np.uint64(
        0x9E3779B97F4A7C15
    )
    state = (state ^ (state >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    state = (state ^ (state >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    state ^= state >> np.uint64(31)
    return ((state >> np.uint64(40)).astype(np.float32) / np.float32(2**23)) - np.float32(1)
