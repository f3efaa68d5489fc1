"""What a clinician could change so that a session fits its length.

Each edit is a sentence to follow and the routine as it would then be; the most natural
ones come first.  Whether an edit is enough is for the caller to try.
"""

from __future__ import annotations

import dataclasses
import itertools
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from breathmark.dose.options import STEP_MS, with_amounts
from breathmark.routine.model import (
    Dose,
    Exercise,
    Kind,
    PauseDose,
    Rests,
    Routine,
)
from breathmark.script.draft import SpeechLengths
from breathmark.script.fitting import Reach
from breathmark.script.words import words_of
from breathmark.units import Ranged, duration_text

_HOLD_LEAST_MS = 10_000
_PART_LEAST = 2
_SETS_MOST = 10
_LONGEST_PAUSE_MS = 3 * 60_000
_HALF_MINUTE_S = 30
_ROUND_S = (60, 300, _HALF_MINUTE_S)
"""The nearest length that is whole minutes is offered first, then that of five minutes, then
half minutes."""
_TRIED_LENGTHS = 24

Widen = Callable[[Ranged], Ranged]


@dataclass(frozen=True, kw_only=True, slots=True)
class Edit:
    """One change: ``text`` says it, ``routine`` is what it leads to, ``sort`` is its kind."""

    sort: str
    text: str
    routine: Routine


def edits(routine: Routine, reach: Reach, lengths: SpeechLengths) -> Iterator[Edit]:
    """Edits for a length that cannot be met, the most natural ones first.

    The last ones are lengths spread over the reach, so that there are always some that work.
    """
    length_s = (routine.length_ms or 0) // 1000
    if length_s < reach.shortest_s:
        yield _length(routine, reach.shortest_s)
        yield from _fewer_sets(routine)
        yield from _optional(routine)
        yield from _shorter_doses(routine)
        yield from _shorter_rests(routine)
        yield from _all_at_once(routine)
        yield from _lengths(routine, reach, reach.shortest_s)
    elif length_s > reach.longest_s:
        missing_ms = (length_s - reach.longest_s) * 1000
        yield _length(routine, reach.longest_s)
        yield from _more_sets(routine)
        yield from _a_pause(routine, missing_ms, lengths)
        yield from _longer_rests(routine, missing_ms)
        yield from _more_at_once(routine)
        yield from _lengths(routine, reach, reach.longest_s)
    else:
        yield from _shorter_rests(routine)
        yield from _longer_rests(routine, _HALF_MINUTE_S * 1000)
        yield from _lengths(routine, reach, length_s)


def _length(routine: Routine, length_s: int) -> Edit:
    length_ms = length_s * 1000
    return Edit(
        sort="length",
        text=f"Write `length: {duration_text(length_ms)}`.",
        routine=dataclasses.replace(routine, length_ms=length_ms),
    )


def _lengths(routine: Routine, reach: Reach, near_s: int) -> Iterator[Edit]:
    """Other lengths inside the reach: round ones, which are unlike each other, then any."""
    inside = range(reach.shortest_s + 1, reach.longest_s)
    by_distance = sorted(inside, key=lambda second: abs(second - near_s))
    rounds = (next((one for one in by_distance if one % unit == 0), None) for unit in _ROUND_S)
    natural = dict.fromkeys(one for one in rounds if one is not None)
    for length_s in (*natural, *by_distance[:: max(1, len(by_distance) // _TRIED_LENGTHS)]):
        yield _length(routine, length_s)


def _with(routine: Routine, index: int, exercise: Exercise) -> Routine:
    exercises = list(routine.exercises)
    exercises[index] = exercise
    return dataclasses.replace(routine, exercises=tuple(exercises))


def _amount(dose: Dose, name: str) -> Ranged | None:
    found = getattr(dose, name, None)
    return found if isinstance(found, Ranged) else None


def _redosed(exercise: Exercise, name: str, widen: Widen) -> Exercise | None:
    """The exercise with one amount's range widened; ``None`` if there is nothing to widen."""
    amount = _amount(exercise.dose, name)
    if amount is None or widen(amount) == amount:
        return None
    return dataclasses.replace(exercise, dose=with_amounts(exercise.dose, {name: widen(amount)}))


def _range_text(amount: Ranged, *, timed: bool) -> str:
    low, usual, high = (
        duration_text(one) if timed else str(one) for one in (amount.low, amount.usual, amount.high)
    )
    return usual if low == high else f"{usual} ({low} to {high})"


def _widened(routine: Routine, name: str, key: str, widen: Widen) -> Iterator[Edit]:
    """One edit for each exercise whose amount ``name`` can be widened."""
    for index, exercise in enumerate(routine.exercises):
        changed = _redosed(exercise, name, widen)
        amount = changed and _amount(changed.dose, name)
        if changed and amount:
            shown = _range_text(amount, timed=name.endswith("_ms"))
            yield Edit(
                sort=key,
                text=f"At {exercise.name}, write `{key}: {shown}`.",
                routine=_with(routine, index, changed),
            )


def _fewer_sets(routine: Routine) -> Iterator[Edit]:
    return _widened(routine, "sets", "sets", lambda sets: dataclasses.replace(sets, low=1))


def _more_sets(routine: Routine) -> Iterator[Edit]:
    for more in (1, 2, 4):
        yield from _widened(
            routine,
            "sets",
            "sets",
            lambda sets, more=more: dataclasses.replace(  # type: ignore[misc]
                sets, high=min(max(_SETS_MOST, sets.high), sets.high + more)
            ),
        )


def _optional(routine: Routine) -> Iterator[Edit]:
    """Letting one exercise go, then several, the last ones first."""
    kept = [index for index, one in enumerate(routine.exercises) if not one.optional]
    for index in reversed(kept) if len(routine.exercises) > 1 else ():
        yield _let_go(routine, (index,))
    for number in range(2, len(kept)):
        yield _let_go(routine, tuple(kept[-number:]))


def _let_go(routine: Routine, indices: tuple[int, ...]) -> Edit:
    changed = routine
    for index in indices:
        exercise = routine.exercises[index]
        changed = _with(changed, index, dataclasses.replace(exercise, optional=True))
    names = ", ".join(routine.exercises[index].name for index in indices)
    return Edit(sort="optional", text=f"Write `optional: yes` at {names}.", routine=changed)


def _shorter(amount: Ranged) -> Ranged:
    least = min(amount.low, max(_HOLD_LEAST_MS, amount.usual // _PART_LEAST))
    steps = (amount.usual - least) // STEP_MS
    return dataclasses.replace(amount, low=min(amount.low, amount.usual - steps * STEP_MS))


def _fewer(amount: Ranged) -> Ranged:
    half = max(1, amount.usual // _PART_LEAST)
    return dataclasses.replace(amount, low=min(amount.low, half))


def _fewer_repetitions(amount: Ranged) -> Ranged:
    """Half of them, and an even number, as sides by turns need."""
    half = -(-amount.usual // (2 * _PART_LEAST)) * 2
    return dataclasses.replace(amount, low=min(amount.low, half))


_AMOUNTS: tuple[tuple[str, str, Widen], ...] = (
    ("hold_ms", "hold", _shorter),
    ("stretch_ms", "stretch", _shorter),
    ("time_ms", "time", _shorter),
    ("breaths", "breaths", _fewer),
    ("reps", "reps", _fewer_repetitions),
)


def _shorter_doses(routine: Routine) -> Iterator[Edit]:
    for name, key, widen in _AMOUNTS:
        yield from _widened(routine, name, key, widen)


def _rests(routine: Routine, widen: Callable[[str, Ranged], Ranged]) -> Iterator[Edit]:
    """One edit for each of the routine's own rests that can be widened."""
    keys = {"sets_ms": "sets", "sides_ms": "sides", "before_ms": "exercises"}
    for name, key in keys.items():
        amount: Ranged | None = getattr(routine.rests, name)
        if amount is None or widen(name, amount) == amount:
            continue
        rests: Rests = _rests_with(routine.rests, name, widen(name, amount))
        shown = _range_text(widen(name, amount), timed=True)
        yield Edit(
            sort="rests",
            text=f"Under `rests:` write `{key}: {shown}`.",
            routine=dataclasses.replace(routine, rests=rests),
        )


def _rests_with(rests: Rests, name: str, amount: Ranged) -> Rests:
    return Rests(
        sets_ms=amount if name == "sets_ms" else rests.sets_ms,
        sides_ms=amount if name == "sides_ms" else rests.sides_ms,
        before_ms=amount if name == "before_ms" else rests.before_ms,
        after_ms=rests.after_ms,
    )


def _shorter_rests(routine: Routine) -> Iterator[Edit]:
    least = {"sets_ms": 5_000, "sides_ms": 5_000, "before_ms": 8_000}
    return _rests(
        routine,
        lambda name, amount: dataclasses.replace(amount, low=min(amount.low, least[name])),
    )


def _longer_rests(routine: Routine, missing_ms: int) -> Iterator[Edit]:
    most_ms = {"sets_ms": 2 * 60_000, "sides_ms": 60_000, "before_ms": 3 * 60_000}

    def widen(name: str, amount: Ranged) -> Ranged:
        high = min(max(amount.high, most_ms[name]), amount.high + missing_ms)
        return dataclasses.replace(amount, high=-(-high // 1000) * 1000)

    return _rests(routine, widen)


def _all_at_once(routine: Routine) -> Iterator[Edit]:
    """Fewer sets and shorter holds everywhere, for a length that is far off."""
    changed = []
    for exercise in routine.exercises:
        at = exercise
        for name, _key, widen in (
            ("sets", "sets", lambda sets: dataclasses.replace(sets, low=1)),
            *_AMOUNTS,
        ):
            at = _redosed(at, name, widen) or at
        changed.append(at)
    if tuple(changed) != routine.exercises:
        yield Edit(
            sort="everywhere",
            text="At every exercise, allow one set and half of its hold, time, breaths or "
            "repetitions.",
            routine=dataclasses.replace(routine, exercises=tuple(changed)),
        )


def _more_at_once(routine: Routine) -> Iterator[Edit]:
    """More sets everywhere, for a length that one exercise alone does not fill."""
    for most in (2, 3, 4, 5):
        changed = tuple(
            _redosed(one, "sets", lambda sets, most=most: _up_to(sets, most)) or one  # type: ignore[misc]
            for one in routine.exercises
        )
        if changed != routine.exercises:
            yield Edit(
                sort="everywhere",
                text=f"Allow up to {most} sets of every exercise, such as `sets: 1 (1 to {most})`.",
                routine=dataclasses.replace(routine, exercises=changed),
            )


def _up_to(sets: Ranged, most: int) -> Ranged:
    return dataclasses.replace(sets, high=max(sets.high, most))


def _a_pause(routine: Routine, missing_ms: int, lengths: SpeechLengths) -> Iterator[Edit]:
    """A pause after some exercise, as long as what is missing and the words around it."""
    time_ms = -(-(missing_ms + lengths.to_ms(lengths.rate_hz)) // STEP_MS) * STEP_MS
    if time_ms > _LONGEST_PAUSE_MS:
        return
    time = Ranged(low=min(time_ms, 2 * STEP_MS), usual=time_ms, high=time_ms)
    taken = {exercise.name.casefold() for exercise in (*routine.exercises, *routine.alternatives)}
    rest = words_of(routine.language).say("player now rest")
    names = itertools.chain((rest,), (f"{rest} {number}" for number in itertools.count(2)))
    name = next(one for one in names if one.casefold() not in taken)
    for index in range(len(routine.exercises), 0, -1):
        pause = Exercise(
            name=name, kind=Kind.PAUSE, dose=PauseDose(time_ms=time), path=f"exercises[{index}]"
        )
        exercises = (*routine.exercises[:index], pause, *routine.exercises[index:])
        yield Edit(
            sort="pause",
            text=(
                f"After {routine.exercises[index - 1].name}, add `- {{name: {name}, kind: pause, "
                f"time: {_range_text(time, timed=True)}}}`."
            ),
            routine=dataclasses.replace(routine, exercises=exercises),
        )
