"""`changes` and `weeks`, as a routine file and a patient file write them."""

from __future__ import annotations

import re
from dataclasses import replace

from breathmark.routine.amounts import Limits, MisreadAmountError, read_amount
from breathmark.routine.doses import (
    ALL_DOSE_KEYS,
    AMOUNT_LIMITS,
    PAIRED,
    read_pattern,
    read_tempo,
)
from breathmark.routine.exercise import folded, read_rests
from breathmark.routine.model import AmountChange, Coaching, ExerciseChange, Version, Week
from breathmark.routine.nodes import Broken, Fields, Text
from breathmark.routine.reader import MOST_NAME, Reader, Section, Value, short
from breathmark.routine.rules import Rule
from breathmark.routine.settings import read_length

SKIP = "skip"
"""The change that leaves an exercise out."""

WEEK = Limits(low=2, high=104, timed=False)
"""The week that a block of changes may begin in; the file without them is week 1."""

_CHANGES = ("version", *ALL_DOSE_KEYS, "rests")
_WEEK_KEYS = ("from", "changes", "coaching", "length")
_SIGNS = {"+": 1, "-": -1, "−": -1}


def read_changes(reader: Reader, value: Value | None) -> tuple[ExerciseChange, ...]:
    """The changes of each exercise, in the order written; whether it exists is not asked."""
    if value is None or isinstance(value.node, Broken):
        return ()
    if not isinstance(value.node, Fields):
        reader.wrong_type(value, "a mapping of exercises, each with `skip` or what changes")
        return ()
    section = reader.section(value, "`changes`", valid=value.node.entries)
    if not value.node.entries:
        reader.wrong(value, Rule.EMPTY_VALUE, "`changes` names no exercise")
    changes: dict[str, ExerciseChange] = {}
    for name, one in section.values.items() if section else ():
        named = Value(node=value.node.entries[name].key, path=one.path)
        reader.places[one.path] = named.place
        exercise = reader.text(named, most=MOST_NAME)
        if folded(exercise) in changes:
            message = f"`{short(exercise)}` is here already, in other letters"
            reader.wrong(named, Rule.SAME_NAME, message, "Keep one of the two.")
        else:
            changes[folded(exercise)] = _change(reader, one, exercise)
    return tuple(changes.values())


def read_weeks(reader: Reader, value: Value | None) -> tuple[Week, ...]:
    """The blocks of changes with the week each begins in, the earliest first."""
    weeks: list[Week] = []
    for item in reader.items(value):
        week = _week(reader, item)
        if week is None:
            continue
        if weeks and week.from_week <= weeks[-1].from_week:
            message = (
                f"week {week.from_week} comes behind week {weeks[-1].from_week};"
                " each block begins later than the one before it"
            )
            remedy = "Put the blocks in order, and all changes of one week in one block."
            place = reader.places[f"{week.path}.from"]
            reader.report.add(Rule.WEEK_ORDER, message, place, remedy)
        weeks.append(week)
    return tuple(weeks)


def _week(reader: Reader, item: Value) -> Week | None:
    section = reader.section(
        item, "a block of `weeks`", valid=_WEEK_KEYS, required=("from",),
        elsewhere=dict.fromkeys(_CHANGES, "an exercise, named under `changes`"),
    )  # fmt: skip
    if section is None:
        return None
    if section.values.keys() <= {"from"}:
        message = "this block of `weeks` changes nothing"
        remedy = "Write `changes`, `coaching` or `length` in it."
        reader.report.add(Rule.MISSING_KEY, message, section.place, remedy)
    start = reader.amount(section.get("from"), WEEK, exact=True)
    week = Week(
        from_week=start.usual if start else 0,
        path=item.path,
        changes=read_changes(reader, section.get("changes")),
        coaching=reader.choice(section.get("coaching"), Coaching),
        length_ms=read_length(reader, section.get("length")),
    )
    return week if start else None


def _change(reader: Reader, value: Value, exercise: str) -> ExerciseChange:
    change = ExerciseChange(exercise=exercise, path=value.path)
    if isinstance(value.node, Text):
        text = reader.text(value)
        if text.lower() != SKIP:
            message = f"`{short(text)}` is no change"
            remedy = "Write `skip`, or what changes, as in `{hold: 20 s}`."
            reader.wrong(value, Rule.NOT_A_CHOICE, message, remedy)
        return replace(change, skip=True)
    named_at = reader.places[value.path]
    section = reader.section(value, "a change", valid=_CHANGES)
    reader.places[value.path] = named_at
    if section is None:
        return change
    if not section.values and isinstance(value.node, Fields) and not value.node.entries:
        reader.wrong(value, Rule.EMPTY_VALUE, "this changes nothing", "Take it out.")
    _refuse_pairs(reader, section)
    tempo, pattern = section.get("tempo"), section.get("pattern")
    return replace(
        change,
        version=reader.choice(section.get("version"), Version),
        amounts=_amounts(reader, section),
        tempo=read_tempo(reader, tempo) if tempo else None,
        pattern=read_pattern(reader, pattern) if pattern else None,
        rests=read_rests(reader, section.get("rests")),
    )


def _refuse_pairs(reader: Reader, section: Section) -> None:
    for pair in PAIRED:
        if pair <= section.values.keys():
            first, second = sorted(pair)
            message = f"`{second}` stands beside `{first}`; one of the two says how long"
            reader.wrong(
                section.values[second], Rule.BREATHS_OR_TIME, message, "Take one of them out."
            )


def _amounts(reader: Reader, section: Section) -> tuple[AmountChange, ...]:
    read = (
        _amount(reader, key, value) for key, value in section.values.items() if key in AMOUNT_LIMITS
    )
    return tuple(one for one in read if one is not None)


def _amount(reader: Reader, key: str, value: Value) -> AmountChange | None:
    """A new amount, or a step such as ``+10 s``."""
    limits = AMOUNT_LIMITS[key]
    text = value.node.value.strip() if isinstance(value.node, Text) else ""
    sign = _SIGNS.get(text[:1])
    if sign is None:
        amount = reader.amount(value, limits)
        return AmountChange(key=key, amount=amount) if amount else None
    try:
        step = read_amount(text[1:], replace(limits, low=1), exact=True)
    except MisreadAmountError as error:
        remedy = error.remedy or f"Write a step as in `{'+10 s' if limits.timed else '+1'}`."
        remedy = re.sub(r"`(?=\d)", f"`{text[0]}", remedy)
        reader.wrong(value, error.rule, str(error), remedy)
        return None
    return AmountChange(key=key, step=sign * step.usual)
