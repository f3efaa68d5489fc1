"""What a patient must avoid: exercises that involve it give way to their replacements.

An exercise involves its tags, what its position and its dose say (a kneeling exercise
involves kneeling, a pattern with a hold holds the breath, written or not), and what its
tags imply.  Its replacement is its `instead`, or
that one's, and so on.  Where nothing can stand in, that is a problem: nothing is silently
kept, and nothing silently dropped.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass

from breathmark.routine.exercise import folded
from breathmark.routine.library import starter_library
from breathmark.routine.model import BreathingDose, ContractRelaxDose, Exercise, Kind, Position
from breathmark.routine.tags import published

POSITION_TAGS: Mapping[Position, str] = {
    Position.STANDING: "standing",
    Position.SEATED: "sitting",
    Position.SUPINE: "lying on the back",
    Position.PRONE: "lying face down",
    Position.SIDE_LYING: "lying on the side",
    Position.KNEELING: "kneeling",
    Position.HANDS_AND_KNEES: "kneeling",
}
"""What being in a position involves."""

IMPLIED: Mapping[str, str] = {
    "narrow stance": "standing",
    "balance on one leg": "standing",
    "stepping up": "standing",
    "loaded spinal flexion": "spinal flexion",
}
"""Tags that come with another."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Passed:
    """An exercise that cannot be in the session, and why, as ``it involves kneeling``."""

    exercise: Exercise
    why: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Search:
    """The way from an exercise to the one that can be done.

    ``passed`` begins with the exercise itself; it is empty when that can be done.
    ``found`` is ``None`` at a dead end, and ``end`` then says what kind of end it is.
    """

    passed: tuple[Passed, ...]
    found: Exercise | None
    end: str = ""


def involved(exercise: Exercise, tags: Iterable[str] = ()) -> frozenset[str]:
    """Everything that an exercise involves; ``tags`` are those of a version of it.

    >>> from breathmark.routine.model import PauseDose
    >>> from breathmark.units import Ranged
    >>> one = Exercise(name="Plank on the knees", kind=Kind.PAUSE, path="",
    ...     dose=PauseDose(time_ms=Ranged.fixed(1)), position=Position.KNEELING)
    >>> sorted(involved(one, ["narrow stance"]))
    ['kneeling', 'narrow stance', 'standing']
    """
    own = {*exercise.involves, *tags, *told_by_dose(exercise)}
    if exercise.position is not None:
        own.add(POSITION_TAGS[exercise.position])
    return frozenset(own | {IMPLIED[tag] for tag in own if tag in IMPLIED})


def told_by_dose(exercise: Exercise) -> tuple[str, ...]:
    """What the dose says that an exercise involves, written as a tag or not."""
    match exercise.dose:
        case BreathingDose(pattern=pattern) if pattern.hold_in_ms or pattern.hold_out_ms:
            return ("breath holding",)
        case ContractRelaxDose():
            return ("isometric effort",)
        case _:
            return ()


def avoided(exercise: Exercise, avoid: Collection[str], tags: Iterable[str] = ()) -> list[str]:
    """Which of the tags to avoid an exercise involves, in the order of ``avoid``."""
    has = {folded(tag) for tag in involved(exercise, tags)}
    return [tag for tag in avoid if folded(tag) in has]


def says_nothing(exercise: Exercise) -> bool:
    """Whether an exercise that is work says nothing of what it involves."""
    return not exercise.involves and exercise.kind is not Kind.PAUSE


def search(
    exercise: Exercise, pool: Mapping[str, Exercise], unfit: Callable[[Exercise], str]
) -> Search:
    """Follow `instead` from an exercise to the first that is not ``unfit``.

    ``pool`` holds the exercises by folded name; ``unfit`` says why one cannot be in the
    session, and nothing when it can.
    """
    passed: list[Passed] = []
    seen: set[str] = set()
    at = exercise
    while why := unfit(at):
        passed.append(Passed(exercise=at, why=why))
        seen.add(folded(at.name))
        if at.instead is None:
            return Search(passed=tuple(passed), found=None, end="has no `instead`")
        if folded(at.instead) in seen:
            end = f"leads back to `{at.instead}`"
            return Search(passed=tuple(passed), found=None, end=end)
        if folded(at.instead) not in pool:
            end = f"names `{at.instead}`, which is nowhere to be found"
            return Search(passed=tuple(passed), found=None, end=end)
        at = pool[folded(at.instead)]
    return Search(passed=tuple(passed), found=at)


def suggestion(exercise: Exercise, avoid: Collection[str], taken: Iterable[str]) -> str:
    """The name of a shared exercise for the same target without anything to avoid, or nothing.

    It is no more demanding: what is meant to be safer is never harder; and it does the same,
    so that no stretch takes the place of strengthening.  ``taken`` are the names that are in
    the routine already.
    """
    names = {folded(name) for name in taken}
    wanted = set(exercise.targets)
    harder = _DEMANDING - involved(exercise)
    fitting = [
        one
        for one in _shared()
        if wanted & set(one.targets)
        and not involved(one) & harder
        and _is_stretch(one) == _is_stretch(exercise)
        and not avoided(one, avoid)
        and folded(one.name) not in names
    ]
    best = max(fitting, key=lambda one: len(wanted & set(one.targets)), default=None)
    return best.name if best else ""


def _is_stretch(exercise: Exercise) -> bool:
    """Whether an exercise stretches: a position held without effort, and not for balance."""
    if exercise.kind is Kind.CONTRACT_RELAX:
        return True
    known = published().targets
    balance = any(one in known and known[one].region == "balance" for one in exercise.targets)
    return (
        exercise.kind is Kind.HOLD and "isometric effort" not in involved(exercise) and not balance
    )


_DEMANDING = frozenset({
    "standing", "narrow stance", "balance on one leg", "eyes closed", "stepping up",
    "rising from a chair", "kneeling", "getting to and from the floor", "weight on a bent knee",
    "weight through the hands", "loaded spinal flexion", "added resistance", "breath holding",
    "jumping and impact",
})  # fmt: skip
"""What a suggestion may not bring in anew."""


@functools.cache
def _shared() -> tuple[Exercise, ...]:
    return starter_library()
