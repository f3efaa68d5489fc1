"""The handout's first part: what it is, what is needed, how the recording is used."""

from __future__ import annotations

from collections.abc import Iterator

from reportlab.platypus import Flowable

from breathmark.deliver import paper_look as look
from breathmark.deliver.handout_sheet import Sheet, body_style, list_style, title_style
from breathmark.deliver.paper_parts import bullets, heading, paragraph, write_in
from breathmark.routine.model import Routine
from breathmark.units import milliseconds, nearest

HOW = ("play", "tones", "pause", "skip", "loud")
"""What is said of the recording, in this order; then for whose ears, and what is beneath."""


def front_part(sheet: Sheet) -> Iterator[Flowable]:
    """Title, greeting, length and frequency, a line for the date; then what is needed."""
    routine, patient = sheet.prescribed.routine, sheet.prescribed.patient
    top = sheet.root.add("Sect")
    yield heading(top, routine.title, 1, title_style())
    if patient and patient.greeting:
        large = look.style(look.LARGE, bold=True, after=8)
        yield paragraph(top, patient.greeting, large)
    if routine.about:
        yield paragraph(top, routine.about, body_style())
    yield paragraph(top, _length(sheet), body_style())
    if routine.frequency:
        often = sheet.say("paper often", frequency=routine.frequency.rstrip(". "))
        yield paragraph(top, often, body_style())
    yield write_in(top, sheet.say("paper date"), sheet.page.inner * 0.55)
    yield from _needs(sheet)
    yield from _how(sheet)


def _length(sheet: Sheet) -> str:
    """How long it takes, rounded to minutes where it takes minutes."""
    session = sheet.prescribed.session
    length_ms = milliseconds(session.length, session.rate_hz)
    minutes = nearest(length_ms, 60_000)
    if not minutes:
        about_ms = nearest(length_ms, 1000) * 1000
        return sheet.say("paper session about", time=sheet.words.time(about_ms))
    exact = minutes * 60_000 == length_ms
    time = sheet.words.time(minutes * 60_000)
    return sheet.say("paper session" if exact else "paper session about", time=time)


def _needs(sheet: Sheet) -> Iterator[Flowable]:
    node, head = sheet.section(sheet.say("paper need"))
    yield head
    yield from bullets(
        node,
        (*equipment_of(sheet.prescribed.routine), sheet.say("paper need recording")),
        list_style(),
    )


def equipment_of(routine: Routine) -> tuple[str, ...]:
    """What the routine and its exercises list, each thing once, as the start of a line."""
    own = (item for exercise in routine.exercises for item in exercise.equipment)
    first = {item.strip().casefold(): item.strip() for item in (*routine.equipment, *own)}
    return tuple(item[:1].upper() + item[1:] for item in first.values() if item)


def _how(sheet: Sheet) -> Iterator[Flowable]:
    node, head = sheet.section(sheet.say("paper recording"))
    yield head
    session = sheet.prescribed.session
    heard = {"hearing": session.hearing.words, "background": session.background.words}
    keys = (*HOW, *(key for key, asked in heard.items() if asked))
    lines = (sheet.say(f"paper recording {key}") for key in keys)
    yield from bullets(node, lines, list_style())
