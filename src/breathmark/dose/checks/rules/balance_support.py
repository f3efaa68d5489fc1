"""Balance work without something to hold named.

What: an exercise on the feet is tagged `narrow stance`, `balance on one leg`, `eyes
closed` or `stepping up`, or trains balance, and neither its set-up nor its own equipment
names anything to hold.  What a helper hears does not count, nor does a thing to stay clear
of or to look at.

Why: the patient may be alone with closed eyes and the phone in a pocket.  Balance is
trained by nearly losing it; what catches the patient has to be there.

Source: counter in front, chair behind, shoes on, eyes open (common practice); balance
with functional exercise cuts falls, rate ratio 0.76, Sherrington 2020, BJSM 54:885-91
(published).

To mend: say it first in the set-up, such as `Face the counter with both hands on it.`  In
languages other than English the set-up is not read for it: list it under the exercise's
`equipment` as well.

To accept: say who or what makes it safe, such as a therapist beside the patient.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from breathmark.dose.checks.finding import Check, Finding, Subject
from breathmark.dose.checks.lines import lines_of
from breathmark.dose.totals import is_balance
from breathmark.problems import Severity
from breathmark.routine.model import Exercise, Position

BALANCE_TAGS = frozenset({"narrow stance", "balance on one leg", "eyes closed", "stepping up"})
"""Tags of work that may end in a fall."""

_STEADY = re.compile(
    r"\b(?:(?:kitchen |counter|work)tops?|work surface|kitchen unit|counters?|sinks?|basin|tables?"
    r"|desks?|sideboard|dresser|(?:arm)?chairs?|armrests?|sofa|couch|settee|bench|beds?"
    r"|walls?|doorway|door ?frame|window ?sill|ledge|(?:hand|guard)?rails?|railings?|bann?isters?"
    r"|(?:grab )?bars?|walker|walking frame|zimmer|frame|rollator|crutch(?:es)?|sticks?|canes?"
    r"|walking poles?|helper|hold(?:ing)? on"
    r"|something (?:sturdy|firm|solid|steady|stable|fixed))\b",
    re.IGNORECASE,
)
_SAME = r"(?:(?!\band (?:hold|put|keep|rest|lay|place|touch|face|both|your|a hand)\b)[\w\s'])"
_NO_HOLD = re.compile(
    r"\b(?:do not|don't|not to|never|without|no|(?:away|far) from|clear of|off|let go of|instead of"
    r"|eyes (?:fixed |straight |ahead )*(?:on|at)|(?:spot|point|mark|picture|clock) on"
    r"|(?:look|gaze|stare|focus)(?:ing)? (?:\w+ ){0,2}(?:at|on|to|toward|towards|past|over))\b"
    rf"(?:{_SAME}{{0,25}}|[\w\s',]{{0,25}}\bor {_SAME}{{0,12}})$",
    re.IGNORECASE,
)
"""What stands before a thing that is named and not held."""

_STAY_NEAR = re.compile(
    r"\b(?:do not|don't|never|not)\b[\w\s',]{0,25}"
    r"\b(?:let go|leave|lose|without|away|far|clear|off)\b[\w\s']{0,20}$",
    re.IGNORECASE,
)
"""What asks to stay with it all the same: `Never let go of`."""


_REMEDY = "Begin its set-up with one, such as `Face the counter, both hands on it.`"
_REMEDY_ABROAD = "Begin its set-up with one, and list it under this exercise's `equipment` too."


def find(subject: Subject) -> Iterator[Finding]:
    """Balance work on the feet with nothing to hold."""
    for exercise in subject.every_exercise:
        if _may_fall(exercise) and not _has_support(exercise, english=subject.english):
            yield Finding(
                path=f"{exercise.path}.name",
                message="this trains balance, and nothing to hold is named",
                remedy=_REMEDY if subject.english else _REMEDY_ABROAD,
                exercise=exercise,
            )


def _may_fall(exercise: Exercise) -> bool:
    on_feet = exercise.position in (Position.STANDING, None)
    return on_feet and (is_balance(exercise) or bool(BALANCE_TAGS & set(exercise.involves)))


def _has_support(exercise: Exercise, *, english: bool) -> bool:
    """Whether something to hold is named; in other languages any equipment counts."""
    if not english:
        return bool(exercise.equipment)
    setup = (line.text for line in lines_of(exercise, "setup"))
    return any(_is_held(text) for text in (*setup, *exercise.equipment))


def _is_held(text: str) -> bool:
    """Whether a text names something to hold that it does not take back."""
    plain = text.replace("’", "'")
    for match in _STEADY.finditer(plain):
        before = plain[: match.start()]
        if _STAY_NEAR.search(before) or not _NO_HOLD.search(before):
            return True
    return False


CHECK = Check(
    id="balance-support",
    severity=Severity.ERROR,
    says="balance work without something to hold named",
    find=find,
)
