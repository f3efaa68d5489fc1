"""Pauses inside a sentence: where a voice pauses at a comma, it pauses as its profile says.

Left alone, a neural voice slowed down to a calm pace pauses from a quarter of a second to
two thirds at a comma, often for longer than between two sentences: the patient hears the
end of an instruction where there is none.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from typing import Final

import numpy as np
from numpy.typing import NDArray

from breathmark.units import samples

_MARK: Final = re.compile(r"[,;:\u2013\u2014](?=\s)")  # also the two dashes

FEWEST_MS: Final = 200
"""A shorter silence is the closure of a consonant: those of a slowed "p" or "t" last up to
190 ms (measured)."""

_QUIET_DB: Final = 40.0  # below the loudest frame
_STEP_MS: Final = 5


def commas_in(text: str) -> int:
    """How many marks stand in a sentence at which a speaker pauses: commas, colons, dashes.

    >>> commas_in("Sit down, and rest: 1,000 breaths.")
    2
    """
    return len(_MARK.findall(text))


def with_comma_pauses(
    clip: NDArray[np.int16], text: str, pause_ms: int, rate_hz: int
) -> NDArray[np.int16]:
    """A finished sentence with silences of ``pause_ms`` at its commas, within 5 ms.

    The longest silences count as those of the commas.  Where a voice runs on over a
    comma, none is put in.  What is taken out or put in is in the middle of a silence.
    """
    runs = sorted(_silences(clip, rate_hz), key=len, reverse=True)[: commas_in(text)]
    parts, done = [], 0
    for run in sorted(runs, key=lambda run: run.start):
        if len(run) < samples(FEWEST_MS, rate_hz):
            continue
        wanted = samples(pause_ms, rate_hz)
        middle = (run.start + run.stop) // 2
        cut = max(0, len(run) - wanted)
        parts.append(clip[done : middle - cut // 2])
        parts.append(np.zeros(max(0, wanted - len(run)), clip.dtype))
        done = middle - cut // 2 + cut
    return np.concatenate([*parts, clip[done:]])


def _silences(clip: NDArray[np.int16], rate_hz: int) -> Iterator[range]:
    """The stretches of samples between sound and sound in which there is next to none."""
    step = samples(_STEP_MS, rate_hz)
    frames = clip[: len(clip) // step * step].astype(np.float64).reshape(-1, step)
    power = np.mean(frames * frames, axis=1)
    if not power.any():
        return
    loud = np.flatnonzero(power >= power.max() * 10 ** (-_QUIET_DB / 10))
    for before, after in itertools.pairwise(loud):
        if after > before + 1:
            yield range(int(before + 1) * step, int(after) * step)
