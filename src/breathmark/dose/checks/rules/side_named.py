"""A line names a side that may be the wrong one.

What: an exercise for each side has `left` or `right` in its words, which is wrong half
of the time; or an exercise for one side names the other.

Why: the patient follows the voice.  `{side}` becomes the right word each time, also when
the patient's file changes the first side.

Source: common practice.

To mend: write `{side}` or `{other side}`.

To accept: say why the word is meant, such as a support that stands on one side.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from breathmark.dose.checks.finding import Check, Finding, Subject
from breathmark.dose.checks.lines import exercise_lines
from breathmark.problems import Severity
from breathmark.routine.model import Side, Sides

_NAMED = re.compile(
    r"\b(?:left(?! over\b| behind\b)|right(?!-| angles?\b| away\b| now\b| behind\b| below\b"
    r"| under\b| above\b| over\b| beside\b| in front\b| against\b| next\b| place\b| way\b"
    r"| amount\b| at\b| up\b| down\b| through\b))\b",
    re.IGNORECASE,
)
_NO_SIDE = re.compile(r"\b(?:all|is|are|have|feels?|time|seconds?|minutes?|just|that's) $", re.I)


def find(subject: Subject) -> Iterator[Finding]:
    """Sides named by their own word where they change or where it is the other one."""
    for exercise in subject.every_exercise:
        wrong = _wrong(exercise.sides)
        for line in exercise_lines(exercise) if wrong else ():
            for match in _NAMED.finditer(line.text):
                word = match.group()
                if word.lower() in wrong and not _NO_SIDE.search(line.text[: match.start()]):
                    message = f"`{word}` is named here, but sides are `{exercise.sides}`"
                    remedy = "Write `{side}` or `{other side}`."
                    yield Finding.in_line(line, message, remedy, word)
                    break


def _wrong(sides: Sides) -> tuple[str, ...]:
    match sides:
        case Sides.EACH:
            return (Side.LEFT, Side.RIGHT)
        case Sides.LEFT | Sides.RIGHT:
            return (Side(sides.value).other,)
        case _:
            return ()


CHECK = Check(
    id="side-named",
    severity=Severity.CAUTION,
    says="a line names a side that may be the wrong one",
    find=find,
    english=True,
)
