"""What a remark about a stretch adds for a hold that is none."""

from __future__ import annotations

from breathmark.dose.totals import ISOMETRIC_TAG, is_stretch
from breathmark.routine.model import Exercise


def unless_effort(exercise: Exercise) -> str:
    """A sentence with a blank in front: how a hold that counts as a stretch becomes an effort.

    Empty for an exercise that is no hold or is tagged already.
    """
    if not is_stretch(exercise):
        return ""
    if exercise.involves:
        return f" If it is an effort, add `{ISOMETRIC_TAG}` to its `involves`."
    return f" If it is an effort, write `involves: [{ISOMETRIC_TAG}]`."
