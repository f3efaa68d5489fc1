"""Words that are only heard: none can be taken for another, or for somebody else's."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from breathmark.routine.reading import read_routine
from breathmark.script.words import words_of
from tests.languages.catalogues import OTHERS, said_texts
from tests.script.planning import planned

GO_ON_HOLDING = {"de": "loslassen|lassen Sie los", "es": "suelte", "fr": "lâchez"}
"""What a hand that holds a strap or a chair would obey."""

REPETITION = {"de": "Wiederholung", "es": "repetición", "fr": "répétition"}

BREATHING = """\
title: Ruhe
language: LANGUAGE
exercises:
  - name: Atmen
    kind: breathing
    breaths: 2
    pattern: {in: 4 s, hold in: HOLD, out: 6 s}
"""


@pytest.mark.parametrize("language", OTHERS)
def test_relaxing_a_muscle_is_not_letting_go_of_the_strap(language: str) -> None:
    """Contract-relax is done with the hands on a strap; breathing out has a word of its own."""
    words = words_of(language)
    dose = words.say("dose contract-relax", contract="6 s", stretch="20 s")
    for text in (words.say("call relax"), dose, words.say("player now contract-relax")):
        assert not re.search(rf"\b(?:{GO_ON_HOLDING[language]})\b", text, re.IGNORECASE)
    calls = {words.say(f"call {key}") for key in ("contract", "relax", "stretch", "hold", "back")}
    ways = ("breathe in", "breathe out", "breathe in short", "breathe out short")
    assert not calls & {words.say(way) for way in ways}


@pytest.mark.parametrize("language", OTHERS)
def test_holding_the_breath_names_the_breath(language: str) -> None:
    """`Anhalten` alone may be the recording, the exercise or the breath."""
    words = words_of(language)
    long, short = words.say("breathe hold"), words.say("breathe hold short")
    assert len(long.split()) >= 2
    assert len(short.split()) == 1
    assert len(short) < len(long)


@pytest.mark.parametrize("language", OTHERS)
def test_a_short_hold_of_the_breath_has_its_short_word(language: str, tmp_path: Path) -> None:
    """Where the long one does not fit, rather than none."""
    path, words = tmp_path / "routine.yaml", words_of(language)
    for hold, key in (("2 s", "breathe hold"), ("1 s", "breathe hold short")):
        text = BREATHING.replace("LANGUAGE", language).replace("HOLD", hold)
        path.write_text(text, "utf-8")
        said = [line.text for line in planned(read_routine(path), ms_a_word=500).spoken]
        assert words.say(key) in said


def test_no_german_sentence_begins_with_sie() -> None:
    """Heard, "Sie" is the listener: "Sie sollten abklingen" is not said of the pain."""
    for key, text in said_texts("de"):
        assert not re.search(r"(?:^|[.!?:] )Sie ", text), key


@pytest.mark.parametrize("language", OTHERS)
def test_the_pace_is_said_of_a_repetition(language: str) -> None:
    """It stands behind the sets and the sides, and "each one" would be one of those."""
    assert REPETITION[language] in words_of(language).say("paper repetition", time="4 s")
