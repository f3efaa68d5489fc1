"""A number, a side or a direction that is read as another one is noticed in any long row."""

from __future__ import annotations

import pytest

from breathmark.speech.intake_telling import another_word


@pytest.mark.parametrize(
    ("row", "heard"),
    [
        ("Hold for 40 seconds.", "Hold for 30 seconds."),
        ("Hold for 40 seconds.", "hold for thirty seconds"),
        ("Hold for forty-five seconds.", "Hold for 40 seconds."),
        ("3 times, only on your right side.", "3 times only on your left side."),
        ("3 times, only on your right side.", "2 times, only on your right side."),
        ("Now your right side.", "Now your left side."),
        ("Slide your right foot straight back.", "Slide your left foot straight back."),
        ("Breathe in.", "Breathe out."),
        ("6 slow breaths.", "Three slow breaths."),
        ("Next: Slow breathing.", "First, slow breathing."),
        ("For an easier way: Bend a little.", "For a harder way, bend a little."),
        ("Lift your toes.", "Lift your heels."),
    ],
)
def test_another_telling_word_is_noticed(row: str, heard: str) -> None:
    assert another_word(row, heard)


@pytest.mark.parametrize(
    ("row", "heard"),
    [
        ("Hold for 40 seconds.", "Hold 4 40 seconds"),
        ("Hold for forty-five seconds.", "hold for 45 seconds"),
        ("Two.", "To."),
        ("Four.", "For"),
        ("Now your right side.", "Now you're right side"),
        ("Breathe in.", "Freeze in."),
        ("And out.", "In out."),
        ("8 times.", "Ate times"),
        ("Knees point at the ceiling.", "Nice point at the ceiling"),
        ("Sit tall, and let your shoulders drop.", ""),
    ],
)
def test_what_sounds_alike_or_was_not_understood_is_no_other_word(row: str, heard: str) -> None:
    assert not another_word(row, heard)
