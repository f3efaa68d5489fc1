"""``handout.pdf``: what the patient takes home, in large print, to read before and beside.

What to do when something is wrong stands before the exercises: a page that is needed on
a bad day must not be the last.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from breathmark.deliver.pictures import Picture
from breathmark.deliver.record import Prescribed
from breathmark.script.words import words_of

if TYPE_CHECKING:
    from reportlab.platypus import Flowable

    from breathmark.deliver.paper_tags import Node

HANDOUT_NAME = "handout.pdf"

NO_PICTURES: Mapping[str, Picture] = {}


def handout_pdf(
    prescribed: Prescribed,
    *,
    paper: str = "a4",
    pictures: Mapping[str, Picture] = NO_PICTURES,
) -> bytes:
    """The handout as PDF, the same bytes for the same prescription.

    ``paper`` is ``a4`` or ``letter``.  ``pictures`` are those of
    :func:`~breathmark.deliver.pictures.pictures_of`.  The patient's label is not printed;
    the greeting is, when the clinician wrote one.
    """
    from breathmark.deliver.handout_diary import diary_part
    from breathmark.deliver.handout_exercises import exercises_part
    from breathmark.deliver.handout_front import front_part
    from breathmark.deliver.handout_helper import helper_part
    from breathmark.deliver.handout_safety import safety_part
    from breathmark.deliver.handout_sheet import Sheet
    from breathmark.deliver.paper_build import built
    from breathmark.deliver.paper_look import page_of

    routine, words = prescribed.routine, words_of(prescribed.session.language)
    page = page_of(paper)

    def story(root: Node) -> Sequence[Flowable]:
        sheet = Sheet(prescribed=prescribed, words=words, page=page, root=root, pictures=pictures)
        parts = [front_part, safety_part, exercises_part, diary_part]
        if prescribed.patient and prescribed.patient.helper:
            parts.append(helper_part)
        return [flowable for part in parts for flowable in part(sheet)]

    def footer(number: int, pages: int) -> tuple[str, str]:
        return routine.title, words.say("paper page", page=str(number), pages=str(pages))

    return built(story, footer, page, title=routine.title, language=prescribed.session.language)


def letters_not_printed(prescribed: Prescribed) -> str:
    """The characters of the clinician's words that no typeface here has; usually none.

    They would be printed as empty boxes: tell the clinician beforehand.
    """
    from breathmark.deliver.fonts import letters_missing

    return letters_missing(_written(prescribed))


def _written(prescribed: Prescribed) -> Iterator[str]:
    """All the clinician's words that the handout may print."""
    routine, patient = prescribed.routine, prescribed.patient
    yield from (routine.title, routine.about, routine.frequency)
    yield from (*routine.equipment, *routine.cautions)
    yield patient.greeting if patient else ""
    for one in routine.exercises:
        yield one.name
        yield from (*one.setup, *(cue.say for cue in one.cues), *one.feel, *one.breathe)
        yield from (*one.helper, *one.equipment)
        for way in (one.easier, one.harder):
            yield from way.say if way else ()
