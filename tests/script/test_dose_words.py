"""The dose in words for the clinician's table, with one and with many."""

from __future__ import annotations

import pytest

from breathmark.routine.model import (
    BreathingDose,
    BreathPattern,
    Dose,
    Exercise,
    HoldDose,
    Kind,
    RepsDose,
    Tempo,
)
from breathmark.script.dose_words import dose_text
from breathmark.units import Ranged

TEMPO = Tempo(out_ms=2_000, hold_ms=0, back_ms=2_000, pause_ms=0)
PATTERN = BreathPattern(in_ms=4_000, hold_in_ms=2_000, out_ms=6_000, hold_out_ms=0)


def reps(count: int, sets: int) -> RepsDose:
    return RepsDose(reps=Ranged.fixed(count), tempo=TEMPO, sets=Ranged.fixed(sets))


def breaths(count: int) -> BreathingDose:
    return BreathingDose(breaths=Ranged.fixed(count), pattern=PATTERN)


@pytest.mark.parametrize(
    ("kind", "dose", "text"),
    [
        (Kind.REPS, reps(1, 1), "1 repetition of 4 s"),
        (Kind.REPS, reps(8, 2), "8 repetitions of 4 s, 2 sets"),
        (Kind.BREATHING, breaths(1), "1 breath of 12 s"),
        (Kind.BREATHING, breaths(6), "6 breaths of 12 s"),
        (Kind.HOLD, HoldDose(hold_ms=Ranged.fixed(30_000), sets=Ranged.fixed(1)), "hold 30 s"),
    ],
)
def test_one_is_not_many(kind: Kind, dose: Dose, text: str) -> None:
    exercise = Exercise(name="Any", kind=kind, dose=dose, path="exercises[0]")
    assert dose_text(exercise) == text
