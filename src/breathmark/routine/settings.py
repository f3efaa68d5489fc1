"""Keys that the routine file and the patient file have in common."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from breathmark.problems import nearest
from breathmark.routine.amounts import Limits
from breathmark.routine.exercise import folded
from breathmark.routine.model import Accepted, Exercise
from breathmark.routine.reader import MOST_NAME, Reader, Value, short
from breathmark.routine.rules import Rule

LENGTH = Limits(low=30_000, high=10_800_000)
"""What a recording's length may be."""

LANGUAGE = re.compile(r"[a-z]{2,3}(-[A-Za-z0-9]{2,8}){0,3}")  # the shape of BCP 47
CODE = re.compile(r"[a-z0-9][a-z0-9_-]{0,40}")
"""What a voice or a check is named by."""


def read_length(reader: Reader, value: Value | None) -> int | None:
    """A recording's length in milliseconds, exact."""
    amount = reader.amount(value, LENGTH, exact=True)
    return amount.usual if amount else None


PAIN = Limits(low=0, high=5, timed=False)
"""The most pain, of 10, that may be called acceptable: zones differ between sources
(0 to 2 or 0 to 3 for the green one; from memory), so it is a setting."""


def read_pain_limit(reader: Reader, value: Value | None) -> int | None:
    """The most pain that is acceptable, of 10."""
    amount = reader.amount(value, PAIN, exact=True)
    return amount.usual if amount else None


def read_code(
    reader: Reader, value: Value | None, shape: re.Pattern[str], usual: str, example: str
) -> str:
    """A plain code of a shape, ``usual`` when it is not there."""
    text = reader.text(value)
    if value is None or not text:
        return usual
    if not shape.fullmatch(text):
        message = f"`{short(text)}` is not a plain code such as {example}"
        reader.wrong(value, Rule.NOT_A_CODE, message)
    return text


def read_accepted(
    reader: Reader, value: Value | None, exercises: Iterable[Exercise] | None
) -> tuple[Accepted, ...]:
    """The checks that are accepted on purpose.

    The exercises they name are among ``exercises``; ``None`` when those are unknown.
    """
    names = None if exercises is None else {folded(one.name): one.name for one in exercises}
    return tuple(_accept(reader, item, names) for item in reader.items(value))


def _accept(reader: Reader, item: Value, names: Mapping[str, str] | None) -> Accepted:
    section = reader.section(
        item,
        "an accepted check",
        valid=("check", "because", "exercise"),
        required=("check", "because"),
    )
    if section is None:
        return Accepted(check="", because="")
    wanted = section.get("exercise")
    name = reader.text(wanted, most=MOST_NAME)
    if wanted is not None and name and names is not None and folded(name) not in names:
        message = f"there is no exercise `{short(name)}`"
        close = nearest(name, names.values())
        remedy = f"Did you mean `{close}`?" if close else ""
        reader.wrong(wanted, Rule.UNKNOWN_EXERCISE, message, remedy)
    return Accepted(
        check=read_code(reader, section.get("check"), CODE, "", "`stretch-dose`"),
        because=reader.text(section.get("because")),
        exercise=(names or {}).get(folded(name), name) or None,
    )
