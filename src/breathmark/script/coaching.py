"""What is said during work: which lines, in which set, in which order.

Coaching fades (Winstein & Schmidt 1990, from memory; Aoyagi 2019): everything in the
first interval, the most important line in the second, then the count alone.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable

from breathmark.routine.model import Coaching, Cue, Exercise, HoldDose, RepsDose, Side, When
from breathmark.script.draft import Line
from breathmark.script.intervals import Interval
from breathmark.script.session import Purpose
from breathmark.script.words import Words

__all__ = ["Coaching", "coaching_lines", "for_side", "lead_in_coaching", "with_sides"]


def with_sides(text: str, side: Side | None, words: Words) -> str:
    """Put the words of the language for ``{side}`` and ``{other side}`` into a text."""
    return text if side is None else words.with_side(text, side)


def coaching_lines(
    exercise: Exercise, interval: Interval, words: Words, level: Coaching
) -> tuple[Line, ...]:
    """The lines for one work interval, most important first."""
    lines = [*_cues(exercise, interval, level)]
    if _says_everything(interval, level):
        lines += [Line(text=text, purpose=Purpose.BREATHING) for text in _breathe(exercise, words)]
        if not _feel_comes_first(exercise):
            lines += [Line(text=text, purpose=Purpose.CUE) for text in _feel(exercise, words)]
    return _sided(lines, interval.side, words)


def lead_in_coaching(exercise: Exercise, interval: Interval, words: Words) -> tuple[Line, ...]:
    """The lines for the time before the work, if there is room: the easier way, how it feels.

    Counting leaves little room, so repetitions have the feeling described beforehand.
    """
    lines = []
    if exercise.easier is not None and exercise.easier.say:
        text = words.say("easier", easier=" ".join(exercise.easier.say))
        lines.append(Line(text=text, purpose=Purpose.CUE))
    if _feel_comes_first(exercise):
        lines += [Line(text=text, purpose=Purpose.CUE) for text in _feel(exercise, words)]
    return _sided(lines, interval.side, words)


def _feel_comes_first(exercise: Exercise) -> bool:
    return isinstance(exercise.dose, RepsDose)


def for_side(line: Line, side: Side | None, words: Words) -> Line:
    """A line as it is said on a side; one that names no side stays as it is."""
    if side is None or not line.written:
        return line
    return dataclasses.replace(line, text=with_sides(line.written, side, words))


def _sided(lines: Iterable[Line], side: Side | None, words: Words) -> tuple[Line, ...]:
    return tuple(
        for_side(dataclasses.replace(line, written=line.text), side, words)
        if "side}" in line.text
        else line
        for line in lines
    )


def _says_everything(interval: Interval, level: Coaching) -> bool:
    return level is Coaching.FULL or (interval.index == 0 and level is Coaching.FADING)


def _cues(exercise: Exercise, interval: Interval, level: Coaching) -> Iterable[Line]:
    fading = [cue for cue in exercise.cues if cue.when is When.FADING]
    top = fading[:1]
    for cue in exercise.cues:
        if _is_due(cue, interval, level, is_top=cue in top):
            of_set = cue.when in (When.FIRST_SET, When.LAST_SET)
            yield Line(text=cue.say, purpose=Purpose.CUE, of_set=of_set)


def _is_due(cue: Cue, interval: Interval, level: Coaching, *, is_top: bool) -> bool:
    match cue.when:
        case When.EVERY_SET:
            return True
        case When.FIRST_SET:
            return interval.set_number == 1
        case When.LAST_SET:
            return interval.last_set
        case When.FADING:
            if level is Coaching.FULL:
                return True
            if level is Coaching.LIGHT:
                return interval.index == 0 and is_top
            return interval.index == 0 or (interval.index == 1 and is_top)


def _breathe(exercise: Exercise, words: Words) -> tuple[str, ...]:
    if exercise.breathe:
        return exercise.breathe
    match exercise.dose:
        case HoldDose():
            return (words.say("keep breathing"),)
        case RepsDose():
            return (words.say("breathe out with effort"),)
        case _:
            return ()


def _feel(exercise: Exercise, words: Words) -> tuple[str, ...]:
    if not exercise.feel:
        return ()
    return (words.say("feel", feel=" ".join(exercise.feel).rstrip(". ")),)
