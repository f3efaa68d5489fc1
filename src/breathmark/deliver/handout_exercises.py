"""The handout's exercises: each with its dose in words, and never broken over a page."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator

from reportlab.platypus import Flowable, KeepTogether

from breathmark.deliver import fonts
from breathmark.deliver import paper_look as look
from breathmark.deliver.handout_sheet import Sheet, list_style, name_style, section_style
from breathmark.deliver.paper_parts import Photo, Text, bullets, heading, paragraph
from breathmark.deliver.paper_tags import Node
from breathmark.routine.model import (
    BreathingDose,
    BreathPattern,
    ContractRelaxDose,
    Dose,
    Exercise,
    HoldDose,
    PauseDose,
    RepsDose,
    Side,
    Sides,
    Variation,
)
from breathmark.script.coaching import with_sides
from breathmark.script.dose_words import dose_sentences
from breathmark.script.intervals import sets_of
from breathmark.script.words import Words
from breathmark.units import Ranged

PHOTO_HEIGHT = 190.0
"""How high a picture is at most, in points, so that its exercise still fits a page."""


def exercises_part(sheet: Sheet) -> Iterator[Flowable]:
    """All exercises, numbered; pauses stand between them without a number."""
    section = sheet.root.add("Sect")
    first = heading(section, sheet.say("paper exercises"), 1, section_style(after=14))
    number = 0
    for index, exercise in enumerate(sheet.prescribed.routine.exercises):
        is_pause = isinstance(exercise.dose, PauseDose)
        number += 0 if is_pause else 1
        lead = [first] if index == 0 else []
        shown = "" if is_pause else str(number)
        parts = _exercise(sheet, section.add("Sect"), exercise, shown, apart=0 if lead else 26)
        yield KeepTogether([*lead, *parts])


def _exercise(
    sheet: Sheet, node: Node, exercise: Exercise, number: str, *, apart: float
) -> Iterator[Flowable]:
    words, side = sheet.words, first_side(sheet, exercise)
    style = name_style(apart)
    if not number:
        style.leftIndent = 0
    yield heading(node, exercise.name, 2, style, number=number)
    band = look.style(look.LARGE, bold=True, ground=look.TINT, pad=(7, 10), after=6)
    yield paragraph(node, dose_in_words(exercise, side, words), band)
    if exercise.picture in sheet.pictures and exercise.picture is not None:
        alt = sheet.say("paper picture", name=exercise.name)
        room = (sheet.page.inner, PHOTO_HEIGHT)
        yield Photo(sheet.pictures[exercise.picture], node.add("Figure", alt), room)
    setup = [with_sides(text, side, words) for text in exercise.setup]
    if exercise.sides is Sides.EACH:
        one, other = words.side(side), words.side(side.other)
        setup.append(words.say("paper side first", side=one, other=other))
    if number:
        yield from sheet.listed(node, sheet.say("paper setup"), setup)
    else:  # in a pause nothing is set up
        yield from bullets(node, setup, list_style())
    cues = [with_sides(cue.say, side, words) for cue in exercise.cues]
    yield from sheet.listed(node, sheet.say("paper cues"), [*cues, *_breathing(exercise, words)])
    if exercise.feel:
        feel = words.say("feel", feel=" ".join(exercise.feel).rstrip(". "))
        yield paragraph(node, with_sides(feel, side, words), look.style(look.BODY, before=6))
    for key, way in (("easier", exercise.easier), ("harder", exercise.harder)):
        lines = [with_sides(text, side, words) for text in way_in_words(exercise, way, words)]
        if lines:
            label = sheet.say("paper label", name=sheet.say(f"paper {key}"))
            yield run_in(node, label, " ".join(lines))


def run_in(node: Node, label: str, text: str) -> Flowable:
    """A label, with its colon, that stands in the line of what it labels."""
    lead = f'<font name="{fonts.BOLD}">{fonts.markup(label)}</font>'
    return Text(f"{lead} {fonts.markup(text)}", look.style(look.BODY, before=4), node=node.add("P"))


def first_side(sheet: Sheet, exercise: Exercise) -> Side:
    """The side that the words name: the one that works, or works first."""
    if exercise.sides in (Sides.LEFT, Sides.RIGHT):
        return Side(exercise.sides.value)
    return exercise.first_side or sheet.prescribed.routine.first_side


def dose_in_words(exercise: Exercise, side: Side, words: Words) -> str:
    """The dose as the recording says it, with the pace of a repetition or of a breath.

    For a pause, how long it lasts.
    """
    match exercise.dose:
        case PauseDose(time_ms=time):
            return words.say("paper rest", time=words.time(time.usual))
        case RepsDose(tempo=tempo):
            pace = words.say("paper repetition", time=words.time(tempo.repetition_ms))
        case BreathingDose(pattern=pattern):
            pace = _pattern(pattern, words)
        case _:
            pace = ""
    return f"{dose_sentences(exercise, side, words)} {pace}".strip()


def _pattern(pattern: BreathPattern, words: Words) -> str:
    """A breath in words; holds only where the author wrote them."""
    parts = {
        "in": pattern.in_ms,
        "hold": pattern.hold_in_ms,
        "out": pattern.out_ms,
        "wait": pattern.hold_out_ms,
    }
    said = [
        words.say(f"paper breath {key}", time=words.time(ms)) for key, ms in parts.items() if ms
    ]
    return " ".join(said)


def _breathing(exercise: Exercise, words: Words) -> tuple[str, ...]:
    """How to breathe: the author's words, else those of the recording."""
    if exercise.breathe:
        return exercise.breathe
    match exercise.dose:
        case HoldDose():
            return (words.say("keep breathing"),)
        case RepsDose():
            return (words.say("breathe out with effort"),)
        case _:
            return ()


def way_in_words(exercise: Exercise, way: Variation | None, words: Words) -> tuple[str, ...]:
    """What an easier or harder way says, and its dose where that differs."""
    if way is None:
        return ()
    return (*way.say, *_other_dose(exercise, way.dose, words))


def _other_dose(exercise: Exercise, dose: Dose | None, words: Words) -> tuple[str, ...]:
    """The sentences on another dose; the sets are left out where they are the same."""
    if dose is None or dose == exercise.dose:
        return ()
    other = dataclasses.replace(exercise, dose=dose)
    same_sets = sets_of(other) == sets_of(exercise)
    if same_sets and isinstance(dose, HoldDose | RepsDose | ContractRelaxDose):
        sides = Sides.ALTERNATING if exercise.sides is Sides.ALTERNATING else Sides.BOTH
        once = dataclasses.replace(dose, sets=Ranged.fixed(1))
        other = dataclasses.replace(other, dose=once, sides=sides)
    return (dose_sentences(other, None, words),)
