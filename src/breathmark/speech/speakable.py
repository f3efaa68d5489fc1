"""Written text made speakable: amounts, signs and short forms as a person would say them.

The work is done by a language's table of rewritings (:mod:`breathmark.speech.spoken`),
applied in order, and by a lexicon of words the voice would get wrong.  What comes out is plain
text in sentences, with a full stop at the end; ``[[...]]`` holds phonemes.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping

from breathmark.speech.heteronyms import role_of, split_role
from breathmark.speech.spoken import rewritings

FEWEST_WORDS = 4
"""Sentences shorter than this are calls, not speech: they have no pace."""

_FRACTIONS = {"½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅛": "1/8"}
_SILENT = {"Cc", "Cf", "Cs", "Co", "Cn", "So", "Sk", "Zl", "Zp"}
_ENDS = ".!?"
_SENTENCE_END = re.compile(r"(?<=[.!?])\s+")
_BLOCK = re.compile(r"(\[\[.*?\]\])")


def speakable(text: str, lexicon: Mapping[str, str], language: str = "en") -> str:
    r"""The text as it is given to a voice; empty when nothing in it can be said.

    ``lexicon`` maps words or phrases (any capitals) to what stands in their place: other
    words, or ``[[phonemes]]``.  A key such as ``close (verb)`` is for a word with several
    readings, where its place in the sentence makes it that one.

    >>> speakable("Hold 2 x 30 s,\n  then rest", {})
    'Hold 2 times 30 seconds, then rest.'
    >>> speakable("Close your eyes.", {"close your": "cloze your"})
    'cloze your eyes.'
    >>> speakable("2 x 1 min je Seite", {}, "de")
    '2 mal eine Minute je Seite.'
    """
    plain = _plain(text)
    for pattern, replacement in rewritings(language):
        plain = pattern.sub(replacement, plain)
    plain = _tidy(_quiet_capitals(plain))
    if not any(char.isalnum() for char in plain):
        return ""
    return _stopped(_with_lexicon(_stopped(plain), lexicon))


def sentences(said: str) -> tuple[str, ...]:
    """Speakable text cut into its sentences; those without a word are left out.

    >>> sentences("Sit tall. Lift your toes! Ready?")
    ('Sit tall.', 'Lift your toes!', 'Ready?')
    """
    parts = _SENTENCE_END.split(said.strip())
    return tuple(part for part in parts if any(char.isalnum() for char in part))


def words_in(said: str) -> int:
    """How many words are said, phonemes in brackets counted by their spaces.

    >>> words_in("Squeeze your [[ɡlˈuːɾɪəs]] gently.")
    4
    """
    return sum(any(char.isalnum() for char in word) for word in said.split())


def is_call(said: str) -> bool:
    """Whether a sentence is so short that it is called out, as a count is.

    >>> is_call("Breathe in."), is_call("Stand tall and breathe.")
    (True, False)
    """
    return words_in(said) < FEWEST_WORDS


def _stopped(said: str) -> str:
    return said if said[-1] in _ENDS else f"{said}."


def _plain(text: str) -> str:
    """Compatibility forms unfolded, signs without a sound and brackets of our own gone."""
    for sign, written in _FRACTIONS.items():
        text = re.sub(rf"(?<=\d){sign}", f" {written}", text).replace(sign, written)
    text = re.sub(r"[°º]", " deg ", text)
    text = unicodedata.normalize("NFKC", text)
    return "".join(" " if unicodedata.category(char) in _SILENT else char for char in text)


def _quiet_capitals(text: str) -> str:
    """Words shouted in capitals become plain ones; short ones alone are abbreviations."""
    shouted = r"\b[A-Z]{2,}(?:\s+[A-Z]{2,})+\b|\b[A-Z]{4,}\b"

    def quiet(words: re.Match[str]) -> str:
        letters = words.group()
        return letters.lower() if re.search("[AEIOUY]", letters) else letters

    return re.sub(shouted, quiet, text)


def _tidy(text: str) -> str:
    """Single spaces, no space before a stop, no stop twice."""
    text = re.sub(r"\s+", " ", text).strip()
    text = re.sub(r"\s+([,.;:!?])", r"\1", text)
    text = re.sub(r"[,;:]+(?=[.!?])|(?<=[,;:])[,;:]+", "", text)
    text = re.sub(r"([.!?])[.!?,;:]+", r"\1", text)
    return text.strip(" ,;:-")


def _with_lexicon(text: str, lexicon: Mapping[str, str]) -> str:
    if not lexicon:
        return text
    lower = {words.lower(): instead for words, instead in lexicon.items()}
    plain = {split_role(words)[0] for words in lower}
    choices = "|".join(re.escape(words) for words in sorted(plain, key=len, reverse=True))
    pattern = re.compile(rf"(?<![\w'])(?<!\d[.,:/])(?:{choices})(?!\w|[.,:/]\d)", re.IGNORECASE)

    def instead(match: re.Match[str]) -> str:
        words = match.group().lower()
        if words not in lower:
            words = f"{words} ({role_of(text, *match.span())})"
        return lower.get(words, match.group())

    return pattern.sub(instead, text)


def blocks(said: str) -> tuple[str, ...]:
    """Speakable text cut at its ``[[phonemes]]``, which stay whole.

    >>> blocks("Use [[bˈænd]] now.")
    ('Use ', '[[bˈænd]]', ' now.')
    """
    return tuple(part for part in _BLOCK.split(said) if part)
