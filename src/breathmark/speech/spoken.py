"""Which table of rewritings a language has; each language's is imported when it is used."""

from __future__ import annotations

from breathmark.speech.spoken_signs import Rewritings


def rewritings(language: str) -> Rewritings:
    """How amounts, signs and short forms are said in a language (BCP 47 tag).

    A language without a table of its own has its signs made silent, and nothing more:
    its voice reads numbers and units as it can.
    """
    match language.split("-", maxsplit=1)[0]:
        case "en":
            from breathmark.speech.spoken_en import REWRITINGS as table
        case "de":
            from breathmark.speech.spoken_de import REWRITINGS as table
        case "es":
            from breathmark.speech.spoken_es import REWRITINGS as table
        case "fr":
            from breathmark.speech.spoken_fr import REWRITINGS as table
        case _:
            from breathmark.speech.spoken_signs import REWRITINGS as table
    return table
