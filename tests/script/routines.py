"""Random routines for the property tests: invented, whole, and inside the reader's limits."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from breathmark.routine.model import (
    BreathingDose,
    BreathPattern,
    ChangeSides,
    ContractRelaxDose,
    Cue,
    Dose,
    Exercise,
    FreeDose,
    HoldDose,
    Kind,
    PauseDose,
    Position,
    RepsDose,
    Rests,
    Routine,
    Side,
    Sides,
    Tempo,
    Variation,
    When,
)
from breathmark.units import Ranged

WORDS = ["slowly", "lift", "the", "heel", "from", "your", "long", "and", "easy", "while", "tall"]


def fixed_times(low_s: int, high_s: int) -> st.SearchStrategy[Ranged]:
    """Fixed amounts of whole seconds, in milliseconds."""
    return st.integers(low_s, high_s).map(lambda value: Ranged.fixed(value * 1000))


def counts(low: int, high: int) -> st.SearchStrategy[Ranged]:
    """Fixed counts."""
    return st.integers(low, high).map(Ranged.fixed)


def texts(most_words: int, *, sided: bool = False) -> st.SearchStrategy[str]:
    """Spoken lines; ``sided`` ones name the side that works."""
    words = st.lists(st.sampled_from(WORDS), max_size=most_words)
    end = " {side} foot." if sided else " now."
    return words.map(lambda chosen: "Well " + " ".join(chosen) + end)


@st.composite
def doses(draw: st.DrawFn, kind: Kind, *, alternating: bool) -> Dose:
    """A dose of one kind."""
    match kind:
        case Kind.HOLD:
            return HoldDose(hold_ms=draw(fixed_times(3, 90)), sets=draw(counts(1, 4)))
        case Kind.REPS:
            parts = [draw(st.sampled_from([1000, 1500, 2000, 3000])) for _ in range(2)]
            rests = [draw(st.sampled_from([0, 500, 1000, 2000])) for _ in range(2)]
            tempo = Tempo(out_ms=parts[0], hold_ms=rests[0], back_ms=parts[1], pause_ms=rests[1])
            reps = draw(st.integers(1, 10)) * (2 if alternating else 1)
            return RepsDose(reps=Ranged.fixed(reps), tempo=tempo, sets=draw(counts(1, 3)))
        case Kind.FREE:
            return FreeDose(time_ms=draw(fixed_times(10, 240)))
        case Kind.BREATHING:
            hold_in, hold_out = draw(st.sampled_from([(0, 0), (1000, 0), (0, 2000), (2000, 1000)]))
            pattern = BreathPattern(
                in_ms=draw(st.integers(1, 6)) * 1000,
                hold_in_ms=hold_in,
                out_ms=draw(st.integers(1, 8)) * 1000,
                hold_out_ms=hold_out,
            )
            return BreathingDose(breaths=draw(counts(1, 12)), pattern=pattern)
        case Kind.CONTRACT_RELAX:
            return ContractRelaxDose(
                contract_ms=draw(fixed_times(3, 10)),
                relax_ms=draw(fixed_times(2, 5)),  # under 2 s its call may find no room
                stretch_ms=draw(fixed_times(5, 40)),
                sets=draw(counts(1, 3)),
            )
        case Kind.PAUSE:
            return PauseDose(time_ms=draw(fixed_times(20, 180)))


_SIDES: dict[Kind, list[Sides]] = {
    Kind.REPS: list(Sides),
    Kind.FREE: list(Sides),
    Kind.HOLD: [sides for sides in Sides if sides is not Sides.ALTERNATING],
    Kind.CONTRACT_RELAX: [sides for sides in Sides if sides is not Sides.ALTERNATING],
    Kind.BREATHING: [Sides.BOTH],
    Kind.PAUSE: [Sides.BOTH],
}


@st.composite
def exercises(draw: st.DrawFn, index: int) -> Exercise:
    """One exercise, of any kind."""
    kind = draw(st.sampled_from(list(Kind)))
    sides = draw(st.sampled_from(_SIDES[kind]))
    sided = sides in (Sides.EACH, Sides.LEFT, Sides.RIGHT)
    cue = st.builds(Cue, say=texts(7, sided=sided), when=st.sampled_from(list(When)))
    is_pause = kind is Kind.PAUSE
    own: dict[str, Any] = {}
    if draw(st.booleans()) and not is_pause:
        own["after_ms"] = draw(st.sampled_from([Ranged.fixed(0), Ranged.fixed(10_000)]))
    return Exercise(
        name=f"Exercise {index}",
        kind=kind,
        dose=draw(doses(kind, alternating=sides is Sides.ALTERNATING)),
        path=f"exercises[{index}]",
        position=draw(st.none() | st.sampled_from(list(Position))),
        sides=sides,
        change_sides=draw(st.sampled_from(list(ChangeSides))),
        first_side=draw(st.none() | st.sampled_from(list(Side))),
        extra_set=draw(st.none() | st.sampled_from(list(Side))) if sides is Sides.EACH else None,
        setup=tuple(draw(st.lists(texts(15, sided=sided), max_size=2 if is_pause else 4))),
        cues=tuple(draw(st.lists(cue, max_size=5))),
        feel=tuple(draw(st.lists(st.just("a mild pull in the calf"), max_size=1))),
        easier=draw(st.none() | st.just(Variation(say=("Take a shorter step.",)))),
        rests=Rests(**own),
    )


@st.composite
def routines(draw: st.DrawFn, *, most: int = 6) -> Routine:
    """A whole routine with wide rests and no length of its own."""
    number = draw(st.integers(1, most))
    return Routine(
        title="Invented routine",
        file="invented.yaml",
        sha256="",
        exercises=tuple(draw(exercises(index)) for index in range(number)),
        opening=tuple(draw(st.lists(texts(20), max_size=3))),
        closing=tuple(draw(st.lists(texts(20), max_size=3))),
        rests=Rests(
            sets_ms=draw(_rest(5, 60)),
            sides_ms=draw(_rest(8, 60)),
            before_ms=Ranged(low=12_000, usual=draw(st.integers(12, 80)) * 1000, high=150_000),
            after_ms=Ranged.fixed(0),
        ),
        first_side=draw(st.sampled_from(list(Side))),
    )


@st.composite
def _rest(draw: st.DrawFn, low_s: int, high_s: int) -> Ranged:
    usual = draw(st.integers(low_s, high_s))
    low = draw(st.integers(low_s, usual))
    return Ranged(low=low * 1000, usual=usual * 1000, high=draw(st.integers(usual, high_s)) * 1000)


def speech_lengths(texts_to_say: tuple[str, ...], rate_hz: int, ms_a_word: int) -> dict[str, int]:
    """A stand-in for measured clips: so many milliseconds a word, and never a round number."""
    return {
        text: rate_hz * ms_a_word * max(1, len(text.split())) // 1000 + sum(map(ord, text)) % 997
        for text in texts_to_say
    }
