"""The lines of a routine that are said to a patient, each with the path of its field."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from breathmark.routine.model import Calls, Exercise, Routine

WORD = re.compile(r"\w+(?:['’-]\w+)*")
"""A word as it is counted; hyphens and apostrophes join."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Line:
    """A line, its field path, its kind (`setup`, `cues`, …) and its exercise, if any."""

    path: str
    kind: str
    text: str
    exercise: Exercise | None = None

    @property
    def said(self) -> str:
        """The line as it is said of the left side."""
        return self.text.replace("{other side}", "right").replace("{side}", "left")


def exercise_lines(exercise: Exercise) -> Iterator[Line]:
    """Every line of an exercise, with its name and its calls, in the order of the file."""
    yield from _named(exercise)
    many = {
        "setup": exercise.setup,
        "feel": exercise.feel,
        "breathe": exercise.breathe,
        "helper": exercise.helper,
    }
    for kind, texts in many.items():
        for index, text in enumerate(texts):
            yield _line(exercise, kind, f"{kind}[{index}]", text)
    for index, cue in enumerate(exercise.cues):
        yield _line(exercise, "cues", f"cues[{index}].say", cue.say)
    for kind, variation in (("easier", exercise.easier), ("harder", exercise.harder)):
        for text in variation.say if variation else ():
            yield _line(exercise, kind, f"{kind}.say", text)


def _named(exercise: Exercise) -> Iterator[Line]:
    yield _line(exercise, "name", "name", exercise.name)
    for call in Calls.__dataclass_fields__:
        if text := getattr(exercise.calls, call):
            yield _line(exercise, "calls", f"calls.{call}", text)


def lines_of(exercise: Exercise, *kinds: str) -> tuple[Line, ...]:
    """The lines of some kinds."""
    return tuple(line for line in exercise_lines(exercise) if line.kind in kinds)


def routine_lines(routine: Routine) -> Iterator[Line]:
    """The lines of the routine itself: title, cautions, opening and closing."""
    yield Line(path="title", kind="title", text=routine.title)
    for kind in ("cautions", "opening", "closing"):
        for index, text in enumerate(getattr(routine, kind)):
            yield Line(path=f"{kind}[{index}]", kind=kind, text=text)


def words_in(text: str) -> int:
    """How many words a line has, a side in braces being one.

    >>> words_in("Slide your {other side} foot back, a hand's width.")
    8
    """
    return len(WORD.findall(text.replace("{other side}", "right").replace("{side}", "left")))


def _line(exercise: Exercise, kind: str, path: str, text: str) -> Line:
    return Line(path=f"{exercise.path}.{path}", kind=kind, text=text, exercise=exercise)
