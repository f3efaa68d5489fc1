"""The sentences about changed doses and versions."""

from __future__ import annotations

from collections.abc import Iterator

from breathmark.routine.model import (
    BreathingDose,
    BreathPattern,
    Dose,
    Exercise,
    Tempo,
)
from breathmark.routine.other_ways import FIELDS
from breathmark.routine.tailoring_changes import Change, ChangeKind, Wish
from breathmark.routine.tailoring_dose import REST_FIELDS, Standing, variation_of
from breathmark.units import Ranged, duration_text

_COUNTS = {"sets": "set", "reps": "repetition", "breaths": "breath"}
_RESTS = {
    "sets": "rest between sets",
    "sides": "rest for changing sides",
    "before": "rest before it",
    "after": "rest after it",
}


def changes_of(standing: Standing) -> Iterator[Change]:
    """Everything that differs from the exercise as written, one change for each amount."""
    written = standing.written
    if standing.version is not None:
        variation = variation_of(written, standing.version)
        say = f", “{' '.join(variation.say)}”" if variation and variation.say else ""
        say = "" if "{" in say else say  # which side it means is said where it is done
        wish = standing.wishes["version"]
        yield _change(
            ChangeKind.VERSION, written, wish, "version",
            "the usual way", str(standing.version), f"the {standing.version} way{say}",
        )  # fmt: skip
    yield from _doses(standing)
    for key, field in REST_FIELDS.items():
        before, after = getattr(written.rests, field), getattr(standing.rests, field)
        if after is not None and after != before:
            usual = _times(before) if before else "the routine's"
            yield _change(
                ChangeKind.REST, written, standing.wishes[f"rests.{key}"], f"rests.{key}",
                usual, _times(after), f"{_RESTS[key]} {_instead(_times(after), usual)}",
            )  # fmt: skip


def _doses(standing: Standing) -> Iterator[Change]:
    for key, wish in standing.wishes.items():
        if key not in FIELDS:
            continue
        before, after = (amount_text(key, dose) for dose in (standing.written.dose, standing.dose))
        if before != after:
            yield _change(
                ChangeKind.DOSE, standing.written, wish, key,
                before, after, _instead(after, before, key),
            )  # fmt: skip


def _instead(after: str, before: str, key: str = "") -> str:
    """One amount in place of another, ``exactly`` where nothing but its range is gone.

    >>> _instead("hold 20 s", "hold 30 s", "hold")
    'hold 20 s instead of 30 s'
    >>> _instead("hold 30 s", "hold 30 s (20 s to 45 s)", "hold")
    'hold exactly 30 s instead of 30 s (20 s to 45 s)'
    """
    name = f"{key} " if key and after.startswith(f"{key} ") else ""
    amount, was = after.removeprefix(name), before.removeprefix(name)
    exactly = "exactly " if was.startswith(f"{amount} (") else ""
    return f"{name}{exactly}{amount} instead of {was}"


def amount_text(key: str, dose: Dose) -> str:
    """One amount of a dose in words, such as ``hold 30 s (20 s to 45 s)`` or ``2 sets``."""
    if isinstance(dose, BreathingDose) and key == "time":
        breath_ms = dose.pattern.breath_ms
        low, usual, high = (
            n * breath_ms for n in (dose.breaths.low, dose.breaths.usual, dose.breaths.high)
        )
        return f"time {_times(Ranged(low=low, usual=usual, high=high))}"
    value = getattr(dose, FIELDS[key])
    match value:
        case Tempo():
            return f"tempo {_tempo(value)}"
        case BreathPattern():
            return f"breaths of {_pattern(value)}"
        case Ranged() if key in _COUNTS:
            return _count(value, _COUNTS[key])
        case _:
            return f"{key} {_times(value)}"


def _change(
    kind: ChangeKind, exercise: Exercise, wish: Wish, key: str, before: str, after: str, what: str
) -> Change:
    return Change(
        kind=kind,
        exercise=exercise.name,
        before=before,
        after=after,
        because=wish.origin.words,
        place=wish.place_of(key),
        sentence=f"{exercise.name}: {what}, {wish.origin.words}.",
    )


def _times(amount: Ranged) -> str:
    text = duration_text(amount.usual)
    if not amount.moves:
        return text
    return f"{text} ({duration_text(amount.low)} to {duration_text(amount.high)})"


def _count(amount: Ranged, one: str) -> str:
    text = f"{amount.usual} {one}" + ("" if amount.usual == 1 else "s")
    return f"{text} ({amount.low} to {amount.high})" if amount.moves else text


def _tempo(tempo: Tempo) -> str:
    parts = {
        "out": tempo.out_ms, "hold": tempo.hold_ms, "back": tempo.back_ms, "pause": tempo.pause_ms
    }  # fmt: skip
    return ", ".join(f"{name} {duration_text(ms)}" for name, ms in parts.items() if ms)


def _pattern(pattern: BreathPattern) -> str:
    parts = {
        "in": pattern.in_ms, "hold": pattern.hold_in_ms,
        "out": pattern.out_ms, "hold out": pattern.hold_out_ms,
    }  # fmt: skip
    return ", ".join(f"{name} {duration_text(ms)}" for name, ms in parts.items() if ms)
