"""Anatomical terms sound as dictionaries say: those in the lexicon and those that need no entry."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from breathmark.speech.engines.piper import PiperEngine
from breathmark.speech.lexicon import load_lexicon
from breathmark.speech.profiles import load_profile
from breathmark.speech.speakable import speakable
from breathmark.speech.speaker import lexicon_for
from tests.speech.broad import broad

TABLE = Path(__file__).with_name("anatomy.tsv")
SOURCES = {"CMU", "MSK", "WKT", "mem"}
CLEARER = {
    *("adduct", "adduction", "adductor", "adductors"),
    *("abduct", "abduction", "abductor", "abductors"),
}
"""In the lexicon for a clear first vowel, though their broad form is right without."""


def rows() -> list[tuple[str, tuple[str, ...], str]]:
    """The table: word, its sounds (variants), source."""
    with TABLE.open(encoding="utf-8", newline="") as file:
        lines = (line for line in file if not line.startswith("#"))
        return [
            (word, tuple(sounds.split("|")), source)
            for word, sounds, source in csv.reader(lines, delimiter="\t", quoting=csv.QUOTE_NONE)
        ]


@pytest.fixture(scope="module")
def engine() -> PiperEngine:
    """The neural voice, for its phonemes."""
    return PiperEngine("", length_scale=1.0)


@pytest.fixture(scope="module")
def sounds() -> dict[str, str]:
    """The shipped lexicon as the neural voice takes it."""
    profile = load_profile("calm")
    return dict(lexicon_for(profile, load_lexicon(profile.lexicon)))


def test_the_table_is_large_enough_and_names_its_sources() -> None:
    """Two hundred terms and more, at least 120 of them from a dictionary."""
    table = rows()
    assert len({word for word, _, _ in table}) == len(table) >= 200
    assert all(set(source.split(",")) <= SOURCES for _, _, source in table)
    assert sum(source != "mem" for _, _, source in table) >= 120


@pytest.mark.parametrize(("word", "expected", "source"), rows(), ids=[row[0] for row in rows()])
def test_a_term_sounds_as_its_source_says(
    word: str, expected: tuple[str, ...], source: str, engine: PiperEngine, sounds: dict[str, str]
) -> None:
    """The phonemes that reach the model, in broad form, are a variant of the dictionary's."""
    heard = "".join(engine.phonemes(speakable(word, sounds))).removesuffix(".")
    assert broad(heard) in {broad(one) for one in expected}, (heard, source)


def test_the_lexicon_lists_no_term_needlessly(engine: PiperEngine) -> None:
    """A term of the table is in the lexicon only where the voice has it wrong by itself."""
    listed = {e.words.lower() for e in load_lexicon(load_profile("calm").lexicon).entries}
    right = {
        word
        for word, expected, _ in rows()
        if broad("".join(engine.phonemes(f"{word}.")).removesuffix("."))
        in {broad(one) for one in expected}
    }
    assert listed & right == CLEARER


def test_terms_are_right_in_a_sentence(engine: PiperEngine, sounds: dict[str, str]) -> None:
    """Between other words, after "a" and "the", before a vowel."""
    line = speakable("The infraspinatus is under a patella and the olecranon of an ulna.", sounds)
    heard = "".join(engine.phonemes(line)).split()
    for sound in ("ˌɪnfɹəspaɪnˈeɪɾəs", "pətˈɛlə", "oʊlˈɛkɹənˌɑːn"):
        assert sound in heard
