"""The reading grade against published and hand-worked values."""

from __future__ import annotations

import pytest

from breathmark.routine.readability import flesch_kincaid_grade, syllables

# Syllables as dictionaries divide the words (from memory).
SYLLABLES = {
    1: "the knees toes toe raised clasped breathe breathes sides palms eye hour move chair pulled",
    2: "towel quiet seated little muscles lying going being staying sideways careful something "
    "movement breastbone shoulder gently loosely forearm toward ankles pushes edges rested "
    "pillow counter opened easy behind creature hybrid never someplace",
    3: "easier heavier carrying diaphragm seemingly another together easily",
    4: "exercises",
}


@pytest.mark.parametrize(
    ("count", "word"), [(n, word) for n, words in SYLLABLES.items() for word in words.split()]
)
def test_syllables(count: int, word: str) -> None:
    assert syllables(word) == count


def test_the_published_example() -> None:
    """13 words and 24 syllables in one sentence: grade 11.3, as published for the measure."""
    text = "The Australian platypus is seemingly a hybrid of a mammal and reptilian creature."
    assert sum(syllables(word) for word in text.split()) == 24
    assert flesch_kincaid_grade(text) == pytest.approx(11.3, abs=0.05)


def test_the_example_worked_by_hand() -> None:
    """16 words, 4 sentences, 17 syllables: 0.39 x 4 + 11.8 x 17/16 - 15.59 = -1.49."""
    text = "Sit tall in your chair. Lift your toes. Hold for five slow counts. Lower your toes."
    assert flesch_kincaid_grade(text) == pytest.approx(-1.49, abs=0.005)


def test_a_missing_full_stop_still_ends_a_sentence() -> None:
    assert flesch_kincaid_grade("Sit tall. Lift your toes") == flesch_kincaid_grade(
        "Sit tall. Lift your toes."
    )


def test_longer_sentences_and_longer_words_raise_the_grade() -> None:
    short = "Sit tall. Lift your toes."
    assert flesch_kincaid_grade("Sit tall then lift your toes.") > flesch_kincaid_grade(short)
    assert flesch_kincaid_grade("Sit tall. Elevate your toes.") > flesch_kincaid_grade(short)


@pytest.mark.parametrize("text", ["", "   ", "... 12"])
def test_no_words_no_grade(text: str) -> None:
    with pytest.raises(ValueError, match="without words"):
        flesch_kincaid_grade(text)
