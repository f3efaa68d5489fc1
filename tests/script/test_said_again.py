"""What bears repeating for the other side is said again there, or is in the plan as left out."""

from __future__ import annotations

import dataclasses

import pytest

from breathmark.routine.model import ChangeSides, Exercise, HoldDose, Kind, Rests, Routine, Sides
from breathmark.script.session import Activity, Session
from breathmark.units import Ranged
from tests.script.planning import planned

SETUP = "Stretch your {side} leg out."
HELPER = "Hold the {side} foot."
RIGHT_LEG = "Stretch your right leg out."
RIGHT_FOOT = "For your helper: Hold the right foot."

STRETCH = Exercise(
    name="Leg stretch",
    kind=Kind.HOLD,
    dose=HoldDose(hold_ms=Ranged.fixed(9_000), sets=Ranged.fixed(2)),
    path="exercises[0]",
    sides=Sides.EACH,
    setup=(SETUP,),
    helper=(HELPER,),
)


def session(exercise: Exercise, sides_ms: int, *, helper: bool = True) -> Session:
    """One exercise with so long a rest for changing sides, at 400 ms a word."""
    rests = Rests(
        sets_ms=Ranged.fixed(8_000),
        sides_ms=Ranged.fixed(sides_ms),
        before_ms=Ranged.fixed(30_000),
        after_ms=Ranged.fixed(0),
    )
    routine = Routine(title="Legs", file="a.yaml", sha256="", exercises=(exercise,), rests=rests)
    return planned(routine, 400, helper=helper)


def at_changes(one: Session) -> list[str]:
    """What is said in the side changes."""
    spans = [span for block in one.blocks for span in block.spans]
    changes = [span for span in spans if span.activity is Activity.SIDE_CHANGE]
    return [
        line.text for line in one.spoken for span in changes if span.start <= line.start < span.end
    ]


@pytest.mark.parametrize("change", list(ChangeSides))
def test_set_up_and_helpers_line_are_said_again_for_the_other_side(change: ChangeSides) -> None:
    """Once each, the set-up first, and nothing is left out."""
    one = session(dataclasses.replace(STRETCH, change_sides=change), 20_000)
    again = [text for text in at_changes(one) if text in (RIGHT_LEG, RIGHT_FOOT)]
    assert again == [RIGHT_LEG, RIGHT_FOOT]
    assert one.left_out == ()


def test_what_finds_no_room_to_be_said_again_is_left_out_by_name() -> None:
    """Room for neither, then for the set-up alone."""
    neither, setup_alone = session(STRETCH, 5_000), session(STRETCH, 12_000)
    not_said = [f"Leg stretch: no room to say again “{text}”" for text in (RIGHT_LEG, RIGHT_FOOT)]
    assert list(neither.left_out) == not_said
    assert not {RIGHT_LEG, RIGHT_FOOT} & set(at_changes(neither))
    assert list(setup_alone.left_out) == not_said[1:]
    assert RIGHT_LEG in at_changes(setup_alone)


def test_a_set_up_that_names_no_side_is_missed_as_well() -> None:
    """It would have been repeated."""
    one = session(dataclasses.replace(STRETCH, setup=("Sit down and lean back.",)), 5_000)
    assert "Leg stretch: no room to say again “Sit down and lean back.”" in one.left_out


def test_a_helpers_line_that_names_no_side_is_said_once() -> None:
    """The helper knows it already."""
    one = session(dataclasses.replace(STRETCH, helper=("Stand close by.",)), 20_000)
    heard = [line.text for line in one.spoken if "helper" in line.text]
    assert heard == ["For your helper: Stand close by."]
    assert one.left_out == ()


def test_without_a_helper_nothing_is_said_to_one_and_nothing_missed() -> None:
    """The side change is the set-up's alone."""
    assert RIGHT_FOOT not in at_changes(session(STRETCH, 20_000, helper=False))
    assert not [line for line in session(STRETCH, 5_000, helper=False).left_out if "helper" in line]
