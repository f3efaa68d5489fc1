"""What holds for every plan holds in every language, whose words are longer or shorter."""

from __future__ import annotations

import dataclasses

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from breathmark.routine.model import Coaching, Exercise, Routine
from breathmark.script.session import Activity, Session
from breathmark.script.words import words_of
from tests.languages.catalogues import OTHERS
from tests.script.planning import planned
from tests.script.routines import routines
from tests.script.test_planner_properties import (
    both_sides_are_equal,
    coaching_lines_are_a_breath_apart,
    dose_is_kept_to_the_sample,
    every_work_interval_has_its_tones,
    lines_end_before_tones,
    nobody_wonders_whether_it_stopped,
    nothing_is_said_over_anything,
    parts_sum_to_the_whole,
)

ENDING = {"de": "en", "es": "o", "fr": ""}
ENGLISH_WORDS = ("left side", "right side", "seconds", "Next:", "Now your", "Breathe", "Halfway")


def in_language(routine: Routine, language: str) -> Routine:
    """The routine with its language, and the ending that this has after a side."""

    def ended(text: str) -> str:
        return text.replace("{side}", f"{{side}}{ENDING[language]}")

    def changed(exercise: Exercise) -> Exercise:
        cues = tuple(dataclasses.replace(cue, say=ended(cue.say)) for cue in exercise.cues)
        return dataclasses.replace(exercise, setup=tuple(map(ended, exercise.setup)), cues=cues)

    exercises = tuple(map(changed, routine.exercises))
    return dataclasses.replace(routine, language=language, exercises=exercises)


@pytest.mark.parametrize("language", OTHERS)
@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    routine=routines(most=4), pace=st.integers(300, 600), coaching=st.sampled_from(list(Coaching))
)
def test_every_plan_keeps_its_promises(
    language: str, routine: Routine, pace: int, coaching: Coaching
) -> None:
    """The same as in English, with the words of the language, and none of English."""
    routine = in_language(routine, language)
    session = planned(routine, pace, coaching)
    parts_sum_to_the_whole(session)
    nothing_is_said_over_anything(session)
    lines_end_before_tones(session)
    coaching_lines_are_a_breath_apart(session)
    dose_is_kept_to_the_sample(routine, session)
    both_sides_are_equal(routine, session)
    every_work_interval_has_its_tones(session)
    nobody_wonders_whether_it_stopped(session)
    sides_are_named_in_the_language(session, language)


def sides_are_named_in_the_language(session: Session, language: str) -> None:
    """A change of sides names the side that comes, in a form of its word."""
    words = words_of(language)
    for block in session.blocks:
        for span in block.spans:
            if span.activity is not Activity.SIDE_CHANGE or span.side is None:
                continue
            said = [line.text for line in session.spoken if span.start <= line.start < span.end]
            assert words.say("change side", side=words.side(span.side)) in said
    for line in session.spoken:
        assert "{" not in line.text
        assert not [word for word in ENGLISH_WORDS if word in line.text], line.text


@pytest.mark.parametrize(("language", "titles"), [
    ("en", ["Opening", "Closing"]), ("de", ["Beginn", "Abschluss"]),
    ("es", ["Comienzo", "Cierre"]), ("fr", ["Début", "Fin"]),
])  # fmt: skip
def test_chapters_are_named_in_the_language(language: str, titles: list[str]) -> None:
    """The listener sees them on the player."""
    routine = Routine(title="Leer", file="x", sha256="", exercises=(), language=language)
    assert [block.title for block in planned(routine, 400).blocks] == titles
