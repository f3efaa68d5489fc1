"""What a recording says of its own standing, in the language of its listener."""

from __future__ import annotations

from breathmark.script.words import catalogue_of, words_of


def standing_in(language: str) -> str:
    """The sentences for a language tag (BCP 47); in English where there are no words for it.

    >>> standing_in("de-AT").split(",")[0].split(".")[0]
    'Breathmark macht das Übungsprogramm einer Fachperson hörbar'
    """
    return words_of(catalogue_of(language) or "en").say("standing")
