"""How hard a text is to read or to follow by ear, as a school grade.

The measure is the Flesch-Kincaid grade level (Kincaid JP et al. 1975, Derivation
of new readability formulas for Navy enlisted personnel, Research Branch Report
8-75).  Words for patients belong at grade 5 to 8 (Am Fam Physician 2015;92:118-24).
Counting syllables needs no dictionary here: vowels that stand together are one
syllable, and the exceptions of English spelling are rules below.
"""

from __future__ import annotations

import re
from functools import lru_cache

_WORD = re.compile(r"[A-Za-z]+(?:['’-][A-Za-z]+)*")
_SENTENCE_END = re.compile(r"[.!?…]+(?=[\s\"'”’)]|$)")
_VOWELS = re.compile(r"[aeiouy]+")
_MUTE_E_BEFORE = re.compile(
    r"(?P<stem>[a-z]*[aeiouy][a-z]*[^aeiouyl]e)"
    r"(?P<suffix>ful|fully|ly|less|ment|ments|ness|ways|where|place|thing|times|one|body)"
)
_TWO_AFTER_ALL = re.compile(r"[aeoy]ing$|iet|i[eo]r$|iest$|ia(?!n$|l$)|eo(?!ple)|^bio|rio|uous|sm$")
"""Vowels that stand together but are two syllables, and the syllable in a final `-sm`."""


@lru_cache(maxsize=512)  # the same lines come back with every patient of a caseload
def flesch_kincaid_grade(text: str) -> float:
    """The grade of ``text``: 0.39 words/sentence + 11.8 syllables/word - 15.59.

    Short sentences of short words give grades below zero.  A last sentence without
    its full stop counts as one.  Raises :class:`ValueError` when there is no word.

    >>> round(flesch_kincaid_grade("Sit tall in your chair. Lift your toes."), 1)
    -2.2
    """
    words = _WORD.findall(text)
    if not words:
        raise ValueError("a text without words has no reading grade")
    sentences = sum(1 for part in _SENTENCE_END.split(text) if _WORD.search(part))
    per_word = sum(syllables(word) for word in words) / len(words)
    return 0.39 * len(words) / sentences + 11.8 * per_word - 15.59


def syllables(word: str) -> int:
    """How many syllables an English ``word`` has, at least one.

    Hyphenated parts are counted apart, apostrophes are ignored.  A rule-based count,
    good enough for an average over a text.

    >>> [syllables(word) for word in ("knees", "shoulder", "quiet", "exercises")]
    [1, 2, 2, 4]
    """
    parts = re.findall(r"[a-z]+", word.lower().replace("'", "").replace("’", ""))
    return max(1, sum(_plain_syllables(part) for part in parts))


def _plain_syllables(word: str) -> int:
    compound = _MUTE_E_BEFORE.fullmatch(word)
    if compound is not None:
        return _plain_syllables(compound["stem"]) + _plain_syllables(compound["suffix"])
    heard = _without_mute_ending(word.replace("qu", "kw"))
    return max(1, len(_VOWELS.findall(heard)) + len(_TWO_AFTER_ALL.findall(heard)))


def _without_mute_ending(word: str) -> str:
    """The word without a final `e`, `es` or `ed` that is written but not said."""
    if re.search(r"[^aeiouy]les?$", word):
        return word
    if re.search(r"(?:[sxzcg]|sh|ch)es$|[td]ed$", word):
        return word
    if re.search(r"[aeiouy].*[^aeiouy](?:es|ed|e)$", word):
        return re.sub(r"(?:es|ed|e)$", "", word)
    return word
