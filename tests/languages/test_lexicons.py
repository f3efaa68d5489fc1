"""Words that a plain voice says wrong in German and French, and how it says them by the lexicon."""

from __future__ import annotations

import unicodedata

import pytest

from breathmark.speech.lexicon import load_lexicon
from breathmark.speech.profiles import load_profile
from breathmark.speech.speakable import speakable
from tests.languages.catalogues import phonemes

SOUNDS = {
    "de": {
        "die Schulterblätter": "ʃˈʊltɜ", "schulterbreit": "ʃˈʊltɜ", "Schultergürtel": "ʃˈʊltɜ",
        "Gehstock": "ɡˈeːʃtˈɔk", "Faszie": "fˈastsjə", "Zwerchfell": "tsvˈɛɾç",
        "Fußsohle": "fˈuːs", "Fußspitzen": "fˈuːs", "Gesäßmuskel": "ɡəzˈɛːs",
        "Halswirbelsäule": "vˈɪɾbəl",
    },
    "fr": {
        "sur le dos": "dˈo", "Dos contre le mur": "dˈo", "les ischio-jambiers": "iskj",
        "quadriceps": "sˈɛps", "psoas": "psɔˈas", "rachis": "ʁaʃˈis", "squats": "skwˈat",
    },
}  # fmt: skip


def said(language: str, text: str) -> str:
    """A text's phonemes as the usual voice of the language is given it."""
    lexicon = load_lexicon(load_profile(f"system-{language}").lexicon)
    return phonemes(language, speakable(text, lexicon.as_spellings(), language))


@pytest.mark.parametrize(
    ("language", "text"), [(language, text) for language in SOUNDS for text in SOUNDS[language]]
)
def test_a_word_is_said_as_people_say_it(language: str, text: str) -> None:
    """The back is no English word in French, and shoulder blades are no school's."""
    sounds = unicodedata.normalize("NFC", SOUNDS[language][text])
    assert sounds in said(language, text)
    assert sounds not in phonemes(language, text)


@pytest.mark.parametrize("language", SOUNDS)
def test_no_word_of_a_lexicon_is_taken_for_another_language(language: str) -> None:
    """Nor stays as it was: an entry that changes nothing is idle."""
    for entry in load_lexicon(load_profile(f"system-{language}").lexicon).entries:
        assert "(" not in phonemes(language, entry.spelling), entry.words
        assert phonemes(language, entry.spelling) != phonemes(language, entry.words), entry.words
