"""Where the record and the plan beside it contradict each other.

Only what both say is compared, so that a record of another version is not failed for what
it does not say.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from breathmark.deliver.record import recorded_length, recorded_totals
from breathmark.script.session import Block, Session
from breathmark.units import milliseconds


def contradictions(record: Mapping[str, Any], session: Session, dose: Any = None) -> Iterator[str]:
    """Clauses about each difference; ``dose`` is the dose totals of the plan, if it has them."""
    for key in _differing(record, _planned(session, dose)):
        yield f"the record's {key} is not the plan's"
    for part, planned in _sums(session).items():
        said = record.get(part)
        if part in record and not isinstance(said, dict):
            yield f"the record's {part} is not the plan's"
        elif isinstance(said, dict):
            for key in _differing(said, planned):
                yield f"the record's {part}, {key}, is not the plan's"
    exercises = record.get("exercises")
    if isinstance(exercises, list) and exercises:
        yield from _exercises(exercises, session)


def _differing(said: Mapping[str, Any], planned: Mapping[str, Any]) -> list[str]:
    """The keys of which both say something, and not the same."""
    return [key for key, value in planned.items() if key in said and said[key] != value]


def _planned(session: Session, dose: Any) -> dict[str, Any]:
    planned = {
        "language": session.language,
        "hearing": session.hearing.value,
        "background": session.background.value,
        "left_out": list(session.left_out),
        "notes": list(session.notes),
    }
    return planned if dose is None else {**planned, "dose": dose}


def _sums(session: Session) -> dict[str, dict[str, int]]:
    return {"length": recorded_length(session), "totals_ms": recorded_totals(session)}


def _exercises(said: list[Any], session: Session) -> Iterator[str]:
    """What the record says of each exercise, beside the chapter that the plan has for it."""
    blocks = [block for block in session.blocks if block.exercise is not None]
    if len(said) != len(blocks):
        yield f"the record has {len(said)} exercises, and the plan {len(blocks)}"
        return
    for number, (exercise, block) in enumerate(zip(said, blocks, strict=True), 1):
        planned = _exercise(block, session.rate_hz)
        for key in _differing(exercise if isinstance(exercise, dict) else {}, planned):
            yield f"the {key} of the record's exercise {number} is not the plan's"


def _exercise(block: Block, rate_hz: int) -> dict[str, Any]:
    return {
        "name": block.title,
        "start_ms": milliseconds(block.start, rate_hz),
        "length_ms": milliseconds(block.length, rate_hz),
    }
