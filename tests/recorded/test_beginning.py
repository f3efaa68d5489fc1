"""A start that was cut off fits its row better from later on; a whole row does not."""

from __future__ import annotations

import numpy as np
import pytest
import soxr

from breathmark.speech.intake_beginning import Features, begins_later
from breathmark.speech.intake_likeness import cepstra_of, references_of
from breathmark.speech.intake_split import LOOK_HZ
from tests.recorded.reading import RATE_HZ, Sound
from tests.recorded.voices import SESSION_HZ, read_by_system, references_by

TEXTS = (
    "Slide your left foot straight back.",
    "Keep something steady within reach at all times.",
    "You should feel a mild pull low in the calf, never a sharp pain.",
    "Breathe out slowly, and let the calf get long.",
    "Stand your chair against the wall and wear shoes that grip.",
    "Move to the front of your chair, feet under your knees.",
    "Next: Standing calf stretch.",
    "A gentle pull is fine.",
)


@pytest.fixture(scope="module")
def pairs() -> list[tuple[Sound, Features]]:
    """Each row as one voice reads it, and the cepstra of another voice's reading."""
    said = [soxr.resample(clip, RATE_HZ, LOOK_HZ) for clip in read_by_system(TEXTS, 140)]
    rows = references_of(references_by("calm", TEXTS), TEXTS, SESSION_HZ)
    return [(own, cepstra_of(row)) for own, row in zip(said, rows, strict=True)]


def without_start(sound: Sound, lost_ms: int) -> Sound:
    """The sound without so much of its audible beginning."""
    loud = np.flatnonzero(np.abs(sound) > 0.03 * np.abs(sound).max())
    return sound[int(loud[0]) + LOOK_HZ * lost_ms // 1000 :]


def later(pairs: list[tuple[Sound, Features]], lost_ms: int) -> list[float]:
    """How much later each row seems to begin when so much is lost."""
    whole = [cepstra_of(own) for own, _ in pairs]
    pace = float(
        np.median([len(own) / len(row) for own, (_, row) in zip(whole, pairs, strict=True)])
    )
    cut = [cepstra_of(without_start(own, lost_ms)) for own, _ in pairs]
    return [begins_later(own, row, pace) for own, (_, row) in zip(cut, pairs, strict=True)]


def test_a_whole_row_begins_where_it_begins(pairs: list[tuple[Sound, Features]]) -> None:
    """None is thought cut."""
    assert max(later(pairs, 0)) < 2.8


@pytest.mark.parametrize("lost_ms", [200, 250])
def test_a_lost_beginning_is_noticed(pairs: list[tuple[Sound, Features]], lost_ms: int) -> None:
    """In nearly all rows, however softly the rest begins."""
    assert sum(one > 2.8 for one in later(pairs, lost_ms)) >= len(pairs) - 1


def test_what_is_too_short_is_not_judged() -> None:
    """A word of a tenth of a second has no beginning to speak of."""
    assert begins_later(np.zeros((5, 13)), np.zeros((50, 13)), 1.0) == 0.0
