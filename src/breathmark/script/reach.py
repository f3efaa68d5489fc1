"""Meeting the promised length, or saying what the file allows and three ways to mend it."""

from __future__ import annotations

from breathmark.problems import InputProblems, Problem
from breathmark.routine.model import Routine
from breathmark.script.draft import SpeechLengths
from breathmark.script.edits import Edit, edits
from breathmark.script.fitting import Fitted, Fitting, Reach, usual_fits
from breathmark.script.wishes import Wishes
from breathmark.units import clock_text, duration_text

OUT_OF_REACH = "length-out-of-reach"
"""The rule that a length broke which no choice of doses and rests meets."""

_EDITS = 3


def fit_routine(routine: Routine, lengths: SpeechLengths, wishes: Wishes) -> Fitted:
    """The routine as it is planned: unchanged where the rests alone meet its length.

    Raises :class:`InputProblems`, with the shortest and longest length that the file
    allows and three edits that were tried and work, when no choice of doses does.
    """
    length_ms = routine.length_ms
    if usual_fits(routine, lengths, wishes) or length_ms is None:
        return Fitted(routine=routine)
    fitting = Fitting(routine, lengths, wishes)
    fitted = fitting.fitted(length_ms)
    if fitted is not None:
        return fitted
    reach = fitting.reach()
    tried = verified_edits(routine, reach, lengths, wishes)
    raise InputProblems([_unreachable(routine, length_ms, reach, tried)])


def verified_edits(
    routine: Routine, reach: Reach, lengths: SpeechLengths, wishes: Wishes
) -> tuple[Edit, ...]:
    """Three edits after which the routine really can be planned, of three sorts if there are."""
    found: dict[str, Edit] = {}
    more: list[Edit] = []
    for edit in edits(routine, reach, lengths):
        if edit.sort in found:
            more.append(edit)
        elif _works(edit.routine, lengths, wishes):
            found[edit.sort] = edit
        if len(found) == _EDITS:
            return tuple(found.values())
    chosen = {edit.text: edit for edit in found.values()}
    for edit in more:
        if (
            len(chosen) < _EDITS
            and edit.text not in chosen
            and _works(edit.routine, lengths, wishes)
        ):
            chosen[edit.text] = edit
    return tuple(chosen.values())


def _works(routine: Routine, lengths: SpeechLengths, wishes: Wishes) -> bool:
    try:
        if usual_fits(routine, lengths, wishes):
            return True
    except InputProblems:
        return False
    length_ms = routine.length_ms
    return length_ms is None or Fitting(routine, lengths, wishes).can_last(length_ms)


def _unreachable(
    routine: Routine, length_ms: int, reach: Reach, tried: tuple[Edit, ...]
) -> Problem:
    shortest, longest = reach.shortest_s * 1000, reach.longest_s * 1000
    if length_ms < shortest:
        off = f"that is {duration_text(shortest - length_ms)} too short"
    elif length_ms > longest:
        off = f"that is {duration_text(length_ms - longest)} too long"
    else:
        off = "no choice of doses and rests lasts exactly that"
    ways = "\n".join(f"    {number}. {edit.text}" for number, edit in enumerate(tried, start=1))
    return Problem(
        rule=OUT_OF_REACH,
        message=(
            f"the session cannot last {duration_text(length_ms)}: {off}; "
            f"inside its ranges it lasts from {clock_text(shortest)} to {clock_text(longest)}"
        ),
        place=routine.place("length"),
        remedy=f"Any one of these would make it fit:\n{ways}",
    )
