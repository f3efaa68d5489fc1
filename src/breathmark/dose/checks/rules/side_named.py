"""A line names a side that may be the wrong one.

What: an exercise for each side has `left` or `right` in its words, which is wrong half
of the time; or an exercise for one side names the other.  `R` and `L` count where they are
said as words, as in `R knee`.

Why: the patient follows the voice.  `{side}` becomes the right word each time, also when
the patient's file changes the first side.

Source: common practice.

To mend: write `{side}` or `{other side}`; in a name, take the side out.

To accept: say why the word is meant, such as a support that stands on one side.
"""

from __future__ import annotations

from collections.abc import Iterator

from breathmark.dose.checks.finding import Check, Finding, Subject
from breathmark.dose.checks.lines import Line, exercise_lines
from breathmark.dose.checks.sides import sides_named
from breathmark.problems import Severity
from breathmark.routine.model import Exercise, Side, Sides


def find(subject: Subject) -> Iterator[Finding]:
    """Sides named by their own word where they change or where it is the other one."""
    for exercise in subject.every_exercise:
        wrong = _wrong(exercise.sides)
        for line in exercise_lines(exercise) if wrong else ():
            word = next((word for side, word in sides_named(line.text) if side in wrong), "")
            if word:
                message = f"`{word}` is named here, but sides are `{exercise.sides}`"
                yield Finding.in_line(line, message, _remedy(exercise, line), word)


def _remedy(exercise: Exercise, line: Line) -> str:
    """What can be written there: a name has no `{side}`, nor have sides that take turns."""
    if line.kind == "name":
        return "Take the side out of the name."
    if exercise.by_turns:
        return "See whether these words suit one side; then `accept` it with the reason."
    return "Write `{side}` or `{other side}`."


def _wrong(sides: Sides) -> tuple[Side, ...]:
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
