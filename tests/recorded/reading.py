"""A made reader: reads a sheet aloud with the faults of a real one, and knows what it did."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

RATE_HZ = 48_000

Sound = npt.NDArray[np.float32]


@dataclass(frozen=True, kw_only=True, slots=True)
class Faults:
    """What goes wrong in a recording; rows are indices into the sheet.

    ``coughs`` come after a row; ``repeats`` are read twice, ``stumbles`` broken off and
    begun again, ``missing`` not read, ``cut`` without their first ``cut_ms``; ``misread``
    maps a row to another text.  ``room_db`` is the level of the room against full scale.
    """

    coughs: tuple[int, ...] = ()
    repeats: tuple[int, ...] = ()
    stumbles: tuple[int, ...] = ()
    missing: tuple[int, ...] = ()
    cut: tuple[int, ...] = ()
    misread: Mapping[int, str] = field(default_factory=dict)
    cut_ms: int = 150
    room_db: float = -65.0


@dataclass(frozen=True, kw_only=True, slots=True)
class Spell:
    """Where a row was read for the last time: samples, and whether it is good."""

    start: int
    end: int
    good: bool


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Reading:
    """A recording (mono, 48 kHz) and where each row lies in it."""

    samples: Sound
    spells: Mapping[int, Spell]
    faults: Faults


def read_aloud(
    clips: Sequence[Sound],
    faults: Faults,
    chance: random.Random,
    *,
    others: Mapping[str, Sound] | None = None,
    jitter: float = 0.05,
) -> Reading:
    """Read rows, whose sounds are ``clips``, in order with pauses of 0.7 to 1.6 s."""
    reader = _Reader(chance, jitter)
    reader.wait(0.6, 1.5)
    for row, clip in enumerate(clips):
        if row in faults.missing:
            continue
        if row in faults.stumbles:
            part = clip[: round(len(clip) * chance.uniform(0.35, 0.65))].copy()
            part[-480:] *= np.linspace(1, 0, 480, dtype=np.float32)
            reader.say(row, part, good=False)
        if row in faults.misread:
            reader.say(row, (others or {})[faults.misread[row]], good=False)
        else:
            for _ in range(2 if row in faults.repeats else 1):
                cut = RATE_HZ * faults.cut_ms // 1000 if row in faults.cut else 0
                reader.say(row, clip[cut + _lead(clip) * bool(cut) :], good=not cut)
        if row in faults.coughs:
            reader.cough()
    reader.wait(0.5, 1.0)
    return Reading(samples=reader.recording(faults.room_db), spells=reader.spells, faults=faults)


class _Reader:
    def __init__(self, chance: random.Random, jitter: float) -> None:
        self._chance, self._jitter = chance, jitter
        self._noise = np.random.default_rng(chance.randrange(2**32))
        self._parts: list[Sound] = []
        self._at = 0
        self.spells: dict[int, Spell] = {}

    def _add(self, sound: Sound) -> None:
        self._parts.append(sound.astype(np.float32))
        self._at += len(sound)

    def wait(self, least_s: float, most_s: float) -> None:
        """Silence."""
        self._add(np.zeros(round(RATE_HZ * self._chance.uniform(least_s, most_s)), np.float32))

    def say(self, row: int, clip: Sound, *, good: bool) -> None:
        """One take, a little faster or slower and louder or softer than the voice's own."""
        import soxr

        speed = float(np.exp(self._chance.gauss(0.0, self._jitter)))
        take = soxr.resample(clip, RATE_HZ, RATE_HZ * speed) * self._chance.uniform(0.5, 1.0)
        start = self._at
        self._add(take)
        self.spells[row] = Spell(start=start, end=self._at, good=good)
        self.wait(0.7, 1.6)

    def cough(self) -> None:
        """One or two bursts of noise that rise at once and die away."""
        for _ in range(self._chance.choice((1, 2))):
            length = round(RATE_HZ * self._chance.uniform(0.18, 0.45))
            burst = self._noise.standard_normal(length) * np.exp(-np.linspace(0, 5, length))
            smooth = np.convolve(burst, np.ones(6) / 6, mode="same")
            self._add((0.3 * smooth / np.abs(smooth).max()).astype(np.float32))
            self.wait(0.05, 0.3)
        self.wait(0.5, 1.2)

    def recording(self, room_db: float) -> Sound:
        """Everything, in a room: noise that is stronger in the depths, and a mains hum."""
        dry = np.concatenate(self._parts)
        white = self._noise.standard_normal(len(dry)).astype(np.float32)
        room = np.convolve(white, np.exp(-np.arange(40) / 8.0).astype(np.float32), mode="same")
        hum = np.sin(2 * np.pi * 50 / RATE_HZ * np.arange(len(dry))).astype(np.float32)
        level = 10 ** (room_db / 20)
        noisy: Sound = dry + level * (room / room.std() + hum).astype(np.float32)
        return noisy


def _lead(clip: Sound) -> int:
    """How many samples pass before the sound begins."""
    loud = np.flatnonzero(np.abs(clip) > 0.03 * np.abs(clip).max())
    return int(loud[0]) if len(loud) else 0
