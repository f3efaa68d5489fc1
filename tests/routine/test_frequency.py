"""How often, in the languages that Breathmark speaks, and what cannot be told."""

from __future__ import annotations

from pathlib import Path

import pytest

from breathmark.routine.frequency import Frequency, frequency_of
from tests.routine.hurried import HOLD, problems_of, routine_of


@pytest.mark.parametrize(
    ("text", "days"),
    [
        ("5 days a week", 5), ("Twice a week.", 2), ("once every week", 1), ("daily", 7),
        ("2 times a day, on 3 days a week", 3), ("three times per day", 7),
        ("5 Tage pro Woche", 5), ("an fünf Tagen in der Woche", 5), ("zweimal die Woche", 2),
        ("3-mal pro Woche", 3), ("täglich", 7), ("zweimal am Tag, an 5 Tagen pro Woche", 5),
        ("5 días a la semana", 5), ("dos veces por semana", 2), ("todos los días", 7),
        ("2 veces al día, 5 días por semana", 5), ("un día a la semana", 1),
        ("5 jours par semaine", 5), ("deux fois par semaine", 2), ("tous les jours", 7),
        ("une fois par jour", 7), ("9 Tage pro Woche", 9),
        ("zweimal wöchentlich", 2), ("3-mal wöchentlich", 3), ("3x/Woche", 3),
        ("5 Tage/Woche", 5), ("3 veces/semana", 3), ("3x por semana", 3), ("5 jours sur 7", 5),
        ("3x/semaine", 3), ("2 fois/semaine", 2),
    ],
)  # fmt: skip
def test_plain_words_are_understood(text: str, days: int) -> None:
    assert frequency_of(text).days_a_week == days


@pytest.mark.parametrize(
    "text", ["", "every other day", "jeden zweiten Tag", "cada dos días", "un jour sur deux",
             "as often as you like", "many days a week", "5 days a month", "Woche"],
)  # fmt: skip
def test_what_is_not_plain_is_not_guessed(text: str) -> None:
    assert frequency_of(text) == Frequency()


@pytest.mark.parametrize(
    ("text", "days", "times"),
    [
        ("3 times a day", 7, 3), ("twice daily", 7, 2), ("2x daily", 7, 2), ("3 x/day", 7, 3),
        ("Once a day.", 7, 1), ("5 days a week", 5, 1), ("3x/week", 3, 1), ("4 × a week", 4, 1),
        ("twice daily, 5 days a week", 5, 2), ("2 times a day, on 3 days a week", 3, 2),
        ("zweimal am Tag, an 5 Tagen pro Woche", 5, 2), ("3x täglich", 7, 3),
        ("an 5 Tagen pro Woche, zweimal am Tag", 5, 2), ("5 days a week, 3 times a day", 5, 3),
        ("5 días por semana, 2 veces al día", 5, 2), ("2x/Tag", 7, 2), ("2 veces/día", 7, 2),
        ("2 fois/jour", 7, 2), ("3x/j", 7, 3),
        ("dos veces al día", 7, 2), ("3 fois par jour, 5 jours par semaine", 5, 3),
    ],
)  # fmt: skip
def test_times_a_day_count(text: str, days: int, times: int) -> None:
    """Three sessions a day are three times the dose."""
    assert frequency_of(text) == Frequency(days_a_week=days, times_a_day=times)


@pytest.mark.parametrize(
    ("written", "words"),
    [
        ("BID", "twice a day"), ("t.i.d., 5 days a week", "3 times a day, 5 days a week"),
        ("QD", "daily"), ("q.o.d.", "every other day"), ("prn", "when you need it"),
    ],
)  # fmt: skip
def test_how_often_is_printed_in_words(tmp_path: Path, written: str, words: str) -> None:
    """`BID` on a handout says nothing to a patient, and its dose of a week was not counted."""
    (problem,) = problems_of(tmp_path, HOLD, "hold: 30 s", top=f"frequency: {written}\n")
    assert problem.remedy == f"Write it in words, such as `{words}`."
    assert routine_of(tmp_path, HOLD, "hold: 30 s", top=f"frequency: {words}\n")
