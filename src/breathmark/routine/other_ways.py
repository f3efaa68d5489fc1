"""An exercise's easier and harder ways beside a dose that has changed."""

from __future__ import annotations

import dataclasses
import operator
from collections.abc import Callable
from dataclasses import replace

from breathmark.routine.model import (
    BreathingDose,
    BreathPattern,
    Dose,
    Exercise,
    RepsDose,
    Sides,
    Variation,
)
from breathmark.units import Ranged

FIELDS = {
    "hold": "hold_ms", "contract": "contract_ms", "relax": "relax_ms", "stretch": "stretch_ms",
    "sets": "sets", "reps": "reps", "time": "time_ms", "breaths": "breaths",
    "tempo": "tempo", "pattern": "pattern",
}  # fmt: skip
"""The field of a dose that each key is kept in."""

_LOADS = ("hold_ms", "contract_ms", "stretch_ms", "sets", "reps", "time_ms", "breaths")
"""The fields of a dose of which more is harder."""

_Beyond = Callable[[int, int], bool]


def own_fields(written: Exercise, variation: Variation | None) -> list[str]:
    """The fields of the dose that a version has an amount of its own for.

    Breaths that are more or fewer only because they are quicker or slower are none: the
    time that they fill is the exercise's.
    """
    if variation is None or variation.dose is None:
        return []
    names = [one.name for one in dataclasses.fields(written.dose)]
    own = {FIELDS[key] for key in variation.own}
    if "time" in variation.own and "breaths" in names:
        own |= {"breaths", "in_time"}  # a breathing dose keeps a time in whole breaths
    own |= {name for name in names if getattr(variation.dose, name) != getattr(written.dose, name)}
    if _fills_the_time(written.dose, variation):
        own.discard("breaths")
    return [name for name in names if name in own]


def _fills_the_time(written: Dose, way: Variation) -> bool:
    if not (isinstance(written, BreathingDose) and written.in_time):
        return False
    return "pattern" in way.own and not {"breaths", "time"} & {*way.own}


def with_fields(dose: Dose, values: dict[str, object]) -> Dose:
    """A dose with some fields replaced; a time of breathing stays where the breaths change."""
    changed = replace(dose, **values)  # type: ignore[arg-type]  # the names are the dose's own
    if not isinstance(dose, BreathingDose) or "breaths" in values or not dose.in_time:
        return changed
    assert isinstance(changed, BreathingDose)
    return replace(changed, breaths=_whole(_time(dose), changed.pattern))


def with_dose(exercise: Exercise, dose: Dose) -> Exercise:
    """The exercise with another dose; its other ways go along in what is not their own.

    A change never makes an easier way ask for more of anything than is done, nor a harder
    one for less: what it has of its own gives way there.  What its author wrote that way
    round (a harder way with a weight, for fewer repetitions) stays; only, where a change
    takes away, an easier way of more sets loses its share.  Breaths count by their time.
    """

    def carried(way: Variation | None, beyond: _Beyond) -> Variation | None:
        if way is None or way.dose is None:
            return way
        if isinstance(way.dose, BreathingDose):
            return replace(way, dose=_breathing(exercise, way, way.dose, dose, beyond))
        own = {name: getattr(way.dose, name) for name in own_fields(exercise, way)}
        for name in own.keys() & set(_LOADS):
            written, done = getattr(exercise.dose, name), getattr(dose, name)
            if not beyond(own[name].usual, written.usual):
                own[name] = done if beyond(own[name].usual, done.usual) else own[name]
            elif beyond is operator.gt:
                own[name] = _share(own[name], written, done, _step(exercise, name))
        return replace(way, dose=replace(dose, **own))

    return replace(
        exercise,
        dose=dose,
        easier=carried(exercise.easier, operator.gt),
        harder=carried(exercise.harder, operator.lt),
    )


def _step(exercise: Exercise, name: str) -> int:
    """In what an amount counts: seconds, ones, or pairs where repetitions go by turns."""
    if name.endswith("_ms"):
        return 1_000
    alternates = exercise.sides is Sides.ALTERNATING and isinstance(exercise.dose, RepsDose)
    return 2 if name == "reps" and alternates else 1


def _share(own: Ranged, written: Ranged, done: Ranged, step: int) -> Ranged:
    """What stays of an amount above the usual one where less than that is done.

    >>> _share(Ranged.fixed(4), Ranged.fixed(2), Ranged.fixed(1), 1).usual
    2
    """
    if done.usual >= written.usual:
        return own
    low, usual, high = (
        max(step, one * done.usual // written.usual // step * step)
        for one in (own.low, own.usual, own.high)
    )
    usual = max(usual, done.usual)
    return Ranged(low=min(low, usual), usual=usual, high=max(high, usual))


def _breathing(
    exercise: Exercise, way: Variation, own: BreathingDose, done: Dose, beyond: _Beyond
) -> BreathingDose:
    """The breaths of a way, compared by the time they take."""
    written, fields = exercise.dose, own_fields(exercise, way)
    assert isinstance(written, BreathingDose)
    assert isinstance(done, BreathingDose)
    pattern = own.pattern if "pattern" in fields else done.pattern
    breaths = done.breaths
    if "breaths" in fields:
        breaths = _whole(_time(own), pattern) if own.in_time else own.breaths
    elif _fills_the_time(written, way):
        breaths = _whole(_time(done), pattern)
    if beyond(_time(own).usual, _time(written).usual):
        if beyond is operator.gt and "breaths" in fields:
            whole = replace(own, breaths=breaths, pattern=pattern)
            breaths = _whole(_share(_time(whole), _time(written), _time(done), 1), pattern)
    elif beyond(breaths.usual * pattern.breath_ms, _time(done).usual):
        breaths = _whole(_time(done), pattern, up=beyond is operator.lt)
    return BreathingDose(breaths=breaths, pattern=pattern, in_time=own.in_time)


def _time(dose: BreathingDose) -> Ranged:
    """How long the breaths take, in milliseconds."""
    ms, breaths = dose.pattern.breath_ms, dose.breaths
    return Ranged(low=breaths.low * ms, usual=breaths.usual * ms, high=breaths.high * ms)


def _whole(time: Ranged, pattern: BreathPattern, *, up: bool = False) -> Ranged:
    """The whole breaths in a time, at least one; ``up`` counts one that is begun."""
    low, usual, high = (
        max(1, -(-ms // pattern.breath_ms) if up else ms // pattern.breath_ms)
        for ms in (time.low, time.usual, time.high)
    )
    return Ranged(low=low, usual=usual, high=high)
