"""The catalogues as the tests of languages look at them."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from functools import cache
from typing import Any

from breathmark.routine.model import Side
from breathmark.script.words import Words, words_of

OTHERS = ("de", "es", "fr")
"""The languages beside English."""

READ_ONLY = (
    "paper", "player", "picture", "message", "reminder", "chapter", "caption", "standing",
    "language",
)  # fmt: skip
"""How the entries begin that are read and not said."""

FIELDS = {
    "time": "30 s", "minutes": "2 min", "seconds": "30 s", "contract": "6 s", "stretch": "20 s",
    "title": "Talo", "name": "Talo", "feel": "talo", "easier": "Talo.", "helper": "Talo.",
    "frequency": "2", "page": "1", "pages": "2", "in": "4 s", "out": "6 s", "of": "3",
    "at": "1:30", "whole": "10:00", "chapter": "Talo", "file": "talo.mp3",
    "start": "1:30", "end": "2:00", "line": "Talo.",
}  # fmt: skip
"""Something for every field; `n` and the sides are filled in apart."""


def filled(words: Words, key: str, n: int) -> str:
    """An entry with something in every field."""
    sides = {"side": words.side(Side.LEFT), "other": words.side(Side.RIGHT)}
    return words.say(key, n=n, **(FIELDS | sides))


def said_texts(language: str) -> Iterator[tuple[str, str]]:
    """Every entry that is said, as it is said for 1, 2 and 21, with its key."""
    words = words_of(language)
    for key in words.entries:
        if not key.startswith(READ_ONLY) and key not in ("left", "right"):
            for n in (1, 2, 21):
                yield key, filled(words, key, n)


@cache
def _espeak() -> Any:
    from piper import espeakbridge
    from piper.phonemize_espeak import ESPEAK_DATA_DIR

    espeakbridge.initialize(str(ESPEAK_DATA_DIR))
    return espeakbridge


def phonemes(language: str, text: str) -> str:
    """What eSpeak NG makes of a text, in IPA, words of other languages marked ``(en)``."""
    espeak = _espeak()
    espeak.set_voice({"en": "en-us"}.get(language, language))
    parts = [clause + end for clause, end, _ in espeak.get_phonemes(text)]
    return unicodedata.normalize("NFC", " ".join(parts))
