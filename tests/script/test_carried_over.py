"""Lines that find no room in one interval are said in a later one, for the side it is on."""

from __future__ import annotations

import pytest

from breathmark.routine.model import (
    Coaching,
    Cue,
    Exercise,
    HoldDose,
    Kind,
    Rests,
    Routine,
    Side,
    Sides,
)
from breathmark.script.session import Activity, Session, Spoken
from breathmark.units import Ranged
from tests.script.planning import planned

CUES = (
    "Keep your {side} heel heavy on the floor.",
    "Let your {other side} knee stay soft.",
    "Turn your {side} toes to the wall.",
)


def session(coaching: Coaching) -> Session:
    """Three cues of three seconds each in holds of nine seconds: there is room for two."""
    dose = HoldDose(hold_ms=Ranged.fixed(9_000), sets=Ranged.fixed(2))
    exercise = Exercise(
        name="Calf stretch",
        kind=Kind.HOLD,
        dose=dose,
        path="exercises[0]",
        sides=Sides.EACH,
        setup=("Slide your {side} foot back.",),
        cues=tuple(Cue(say=text) for text in CUES),
    )
    rests = Rests(
        sets_ms=Ranged.fixed(8_000),
        sides_ms=Ranged.fixed(12_000),
        before_ms=Ranged.fixed(30_000),
        after_ms=Ranged.fixed(0),
    )
    routine = Routine(title="Calves", file="a.yaml", sha256="", exercises=(exercise,), rests=rests)
    return planned(routine, 400, coaching)


def said(one: Session) -> list[tuple[Side | None, str, int]]:
    """Every cue that is heard: the side of the span it is in, its words, the span's start."""
    spans = [span for block in one.blocks for span in block.spans]
    return [
        (span.side, event.text, span.start)
        for event in one.events
        for span in spans
        if isinstance(event, Spoken)
        and span.start <= event.start < span.end
        and span.activity in (Activity.WORK, Activity.SIDE_CHANGE, Activity.REST)
    ]


def of_side(text: str, side: Side) -> str:
    """The cue as it is said on a side."""
    return text.replace("{other side}", side.other).replace("{side}", side)


def test_a_cue_that_waits_names_the_side_it_is_said_on() -> None:
    """What found no room on the left is said on the right, and there it says right."""
    one = session(Coaching.FADING)
    heard = said(one)
    for text in CUES:
        assert [side for side, words, _ in heard if words == of_side(text, Side.LEFT)] in (
            [],
            [Side.LEFT],
        )
    carried = [(side, words) for side, words, _ in heard if words == of_side(CUES[2], Side.RIGHT)]
    assert carried == [(Side.RIGHT, "Turn your right toes to the wall.")]
    assert one.left_out == ("Calf stretch: no room to say again “Slide your right foot back.”",)


@pytest.mark.parametrize("coaching", list(Coaching))
def test_no_cue_is_said_twice_in_one_span(coaching: Coaching) -> None:
    """A line that waits is not added to the same line."""
    heard = said(session(coaching))
    assert len(set(heard)) == len(heard)
