"""One set more on one side: when it comes, and how it is said. Worked out by hand."""

from __future__ import annotations

import pytest

from breathmark.routine.model import ChangeSides, Exercise, HoldDose, Kind, Side, Sides
from breathmark.script.dose_words import dose_sentences, dose_text
from breathmark.script.intervals import intervals, sets_on
from breathmark.script.words import words_of
from breathmark.units import Ranged


def stretch(extra: Side | None, change: ChangeSides = ChangeSides.EVERY_SET) -> Exercise:
    return Exercise(
        name="Calf stretch",
        kind=Kind.HOLD,
        dose=HoldDose(hold_ms=Ranged.fixed(30_000), sets=Ranged.fixed(2)),
        path="exercises[0]",
        sides=Sides.EACH,
        change_sides=change,
        extra_set=extra,
    )


@pytest.mark.parametrize(
    ("extra", "change", "order"),
    [
        (None, ChangeSides.EVERY_SET, "L1 R1 L2 R2"),
        (Side.LEFT, ChangeSides.EVERY_SET, "L1 R1 L2 R2 L3"),
        (Side.RIGHT, ChangeSides.EVERY_SET, "L1 R1 L2 R2 R3"),
        (Side.LEFT, ChangeSides.ALL_SETS, "L1 L2 L3 R1 R2"),
        (Side.RIGHT, ChangeSides.ALL_SETS, "L1 L2 R1 R2 R3"),
    ],
)
def test_the_set_more_comes_last_on_its_side(
    extra: Side | None, change: ChangeSides, order: str
) -> None:
    turns = intervals(stretch(extra, change), Side.LEFT)
    assert " ".join(f"{str(turn.side)[0].upper()}{turn.set_number}" for turn in turns) == order
    last = {turn.side: turn.set_number for turn in turns if turn.last_set}
    assert last == {side: sets_on(stretch(extra), side) for side in Side}


def test_it_is_said_and_shown() -> None:
    words = words_of("en")
    said = dose_sentences(stretch(Side.RIGHT), Side.LEFT, words)
    assert said == "Hold for 30 seconds. 2 times on each side. Then once more on your right side."
    assert dose_text(stretch(Side.RIGHT)) == (
        "hold 30 s, 2 sets, each side, once more on the right"
    )
