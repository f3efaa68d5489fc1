"""One exercise changed: its version, its amounts and its rests, each within what is possible."""

from __future__ import annotations

import dataclasses
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from breathmark.routine.avoiding import avoided
from breathmark.routine.doses import (
    AMOUNT_LIMITS,
    DOSE_KEYS,
    kinds_with,
    why_odd,
    why_part_breath,
)
from breathmark.routine.model import (
    AmountChange,
    BreathingDose,
    Dose,
    Exercise,
    ExerciseChange,
    RepsDose,
    Rests,
    Sides,
    Variation,
    Version,
)
from breathmark.routine.other_ways import FIELDS, own_fields, with_dose, with_fields
from breathmark.routine.reader import short
from breathmark.routine.report import Report
from breathmark.routine.rules import Rule
from breathmark.routine.tailoring_changes import Wish
from breathmark.units import Ranged, duration_text

REST_FIELDS = {"sets": "sets_ms", "sides": "sides_ms", "before": "before_ms", "after": "after_ms"}
"""The field of an exercise's rests that each key is kept in."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Standing:
    """An exercise as it stands after some changes.

    ``written`` is what the routine says.  ``wishes`` tells by key (``hold``,
    ``rests.sets``, ``version``) which wish was the last to change it.
    """

    written: Exercise
    dose: Dose
    rests: Rests
    version: Version | None = None
    wishes: Mapping[str, Wish] = dataclasses.field(default_factory=dict)

    @classmethod
    def of(cls, exercise: Exercise) -> Standing:
        """The exercise before any change."""
        return cls(written=exercise, dose=exercise.dose, rests=exercise.rests)


def variation_of(exercise: Exercise, version: Version) -> Variation | None:
    """The easier or harder way of an exercise."""
    return exercise.easier if version is Version.EASIER else exercise.harder


def fits(report: Report, exercise: Exercise, wish: Wish) -> bool:
    """Whether the keys of a wish mean something at an exercise; what does not is reported."""
    own = DOSE_KEYS[exercise.kind]
    strangers = [key for key in _keys(wish.change) if key not in own]
    version = wish.change.version
    lacks_version = version is not None and variation_of(exercise, version) is None
    for key in strangers:
        message = f"`{key}` belongs to {kinds_with(key)}, not to `{exercise.kind}`"
        remedy = f"Kind `{exercise.kind}` takes {', '.join(f'`{one}`' for one in own)}."
        report.add(Rule.OTHER_KIND, message, wish.place_of(key), remedy)
    if version is not None and lacks_version:
        other = Version.HARDER if version is Version.EASIER else Version.EASIER
        has = f" It has only `{other}`." if variation_of(exercise, other) else ""
        message = f"`{short(exercise.name)}` has no {version} way"
        remedy = f"Describe one with `{version}:` at the exercise.{has}"
        report.add(Rule.NO_VERSION, message, wish.place_of("version"), remedy)
    return not strangers and not lacks_version


def changed(report: Report, standing: Standing, wish: Wish) -> Standing:
    """The exercise after one wish that :func:`fits`; what is impossible is reported.

    A version comes first, then the amounts; a step moves the amount that then stands.
    """
    change = wish.change
    if change.version is not None:
        standing = with_version(standing, wish, change.version)
    dose = _Changing(report, standing.written, wish).dose(standing.dose)
    rests = {
        field: amount
        for field in REST_FIELDS.values()
        if (amount := getattr(change.rests, field)) is not None
    }
    keys = [*_keys(change), *(f"rests.{k}" for k, field in REST_FIELDS.items() if field in rests)]
    return replace(
        standing,
        dose=dose,
        rests=replace(standing.rests, **rests),
        wishes={**standing.wishes, **dict.fromkeys(keys, wish)},
    )


def with_version(standing: Standing, wish: Wish, version: Version) -> Standing:
    """Choose a version: what the one before brought goes, what this one says of the dose comes."""
    written = standing.written
    old = variation_of(written, standing.version) if standing.version else None
    new = variation_of(written, version)
    back = dict.fromkeys(own_fields(written, old), written.dose)
    fresh = dict.fromkeys(own_fields(written, new), new.dose) if new else {}
    values = {field: getattr(dose, field) for field, dose in {**back, **fresh}.items()}
    dose = with_fields(standing.dose, values)
    touched = [
        key
        for key, field in FIELDS.items()
        if field in values or getattr(dose, field, None) != getattr(standing.dose, field, None)
    ]
    return replace(
        standing,
        dose=dose,
        version=version,
        wishes={**standing.wishes, **dict.fromkeys([*touched, "version"], wish)},
    )


def as_standing(standing: Standing) -> Exercise:
    """The exercise with all that was changed; the chosen way is set up, not offered any more."""
    done = replace(with_dose(standing.written, standing.dose), rests=standing.rests)
    version = standing.version
    variation = variation_of(standing.written, version) if version else None
    if version is None or variation is None:
        return done
    return replace(
        without_offer(done, version),
        setup=(*done.setup, *variation.say),
        involves=tuple(dict.fromkeys((*done.involves, *variation.involves))),
    )


def avoided_ways(exercise: Exercise, avoid: Collection[str]) -> dict[Version, list[str]]:
    """The easier and harder ways that involve something to be avoided, with the tags."""
    ways: dict[Version, list[str]] = {}
    for version in Version:
        variation = variation_of(exercise, version)
        tags = avoided(exercise, avoid, variation.involves) if variation else []
        if tags:
            ways[version] = tags
    return ways


def without_offer(exercise: Exercise, version: Version) -> Exercise:
    """The exercise without one of its other ways."""
    if version is Version.EASIER:
        return replace(exercise, easier=None)
    return replace(exercise, harder=None)


def _keys(change: ExerciseChange) -> Iterator[str]:
    yield from (one.key for one in change.amounts)
    if change.tempo is not None:
        yield "tempo"
    if change.pattern is not None:
        yield "pattern"


class _Changing:
    """The amounts of one wish put into a dose, with what is wrong reported."""

    def __init__(self, report: Report, exercise: Exercise, wish: Wish) -> None:
        self._report = report
        self._exercise = exercise
        self._wish = wish

    def dose(self, dose: Dose) -> Dose:
        """The dose after the wish."""
        if isinstance(dose, BreathingDose):
            return self._breathing(dose)
        values: dict[str, Any] = {}
        for one in self._wish.change.amounts:
            usual: Ranged = getattr(dose, FIELDS[one.key])
            values[FIELDS[one.key]] = self._amount(one, usual)
        if self._wish.change.tempo is not None:
            values["tempo"] = self._wish.change.tempo
        done = replace(dose, **values)
        if isinstance(done, RepsDose) and "reps" in values:
            self._require_even(done)
        return done

    def _require_even(self, dose: RepsDose) -> None:
        odd = why_odd(dose.reps) if self._exercise.sides is Sides.ALTERNATING else None
        if odd is not None:
            self._report.add(Rule.ODD_REPS, odd[0], self._wish.place_of("reps"), odd[1])

    def _breathing(self, dose: BreathingDose) -> BreathingDose:
        change = self._wish.change
        pattern = change.pattern or dose.pattern
        amounts = {one.key: one for one in change.amounts}
        if "breaths" in amounts:
            count = self._amount(amounts["breaths"], dose.breaths)
            return BreathingDose(breaths=count, pattern=pattern)
        if "time" not in amounts and not (dose.in_time and change.pattern):
            return replace(dose, pattern=pattern)
        time = _times(dose.breaths, dose.pattern.breath_ms)
        if "time" in amounts:
            time = self._amount(amounts["time"], time)
        part = why_part_breath(time, pattern.breath_ms)
        if part is not None:
            key = "time" if "time" in amounts else "pattern"
            self._report.add(Rule.PART_BREATH, part[0], self._wish.place_of(key), part[1])
            return dose
        breath_ms = pattern.breath_ms
        count = Ranged(
            low=time.low // breath_ms, usual=time.usual // breath_ms, high=time.high // breath_ms
        )
        return BreathingDose(breaths=count, pattern=pattern, in_time=True)

    def _amount(self, one: AmountChange, now: Ranged) -> Ranged:
        """The new amount; a step moves the range along, as far as its limits."""
        if one.amount is not None:
            return one.amount
        limits = AMOUNT_LIMITS[one.key]
        usual = now.usual + one.step
        if not limits.low <= usual <= limits.high:
            now_text, step_text = (
                duration_text(value) if limits.timed else str(value)
                for value in (now.usual, abs(one.step))
            )
            sign = "+" if one.step > 0 else "−"
            message = f"{now_text} {sign} {step_text} is not possible here: {limits.shown()}"
            self._report.add(Rule.IMPOSSIBLE_AMOUNT, message, self._wish.place_of(one.key))
            return now
        return Ranged(
            low=max(limits.low, now.low + one.step),
            usual=usual,
            high=min(limits.high, now.high + one.step),
        )


def _times(amount: Ranged, factor: int) -> Ranged:
    return Ranged(low=amount.low * factor, usual=amount.usual * factor, high=amount.high * factor)
