"""One exercise of a routine, to be listened to before a session is made of it."""

from __future__ import annotations

import dataclasses

from breathmark.problems import UsageProblem, did_you_mean
from breathmark.routine.model import Routine
from breathmark.script.words import words_of


def sample_of(routine: Routine, name: str) -> Routine:
    """The routine with one exercise alone, its dose as usual, and a title that says sample.

    Raises :class:`~breathmark.problems.UsageProblem` for an exercise that is not there,
    naming the nearest.
    """
    exercises = {one.name.casefold(): one for one in reversed(routine.exercises)}
    chosen = exercises.get(name.strip().casefold())
    if chosen is None:
        names = [one.name for one in routine.exercises]
        raise UsageProblem(f"there is no exercise `{name}` here. {did_you_mean(name, names)}")
    title = words_of(routine.language).say("title of sample", title=chosen.name)
    return dataclasses.replace(
        routine, title=title, length_ms=None, exercises=(chosen,), dropped=()
    )
