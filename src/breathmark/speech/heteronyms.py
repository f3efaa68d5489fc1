"""Words that are written alike and said in two ways, told apart by their place in the sentence.

Cues have a grammar of their own: a sentence begins with what is to be done ("Close your
eyes"), and a thing has an article before it ("the use of a band").  From the words around
a word its *places* are found; the table in :mod:`breathmark.speech.heteronyms_en` says which
places make which reading.  Where no row fits, nothing is decided and the voice reads the
word as it would have done.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

_ADVERB = (
    r"(?:\w+ly|now|then|next|first|last|just|always|never|please|again|also|still|only|once|soon"
    r"|not|both|finally|when ready)"
)
_DETERMINER = (
    r"(?:an?|the|your|his|her|its|their|our|my|this|these|those|each|every|no|any|some|another"
    r"|one|two|three|four|five|six|many|several|few|\d+)"
)
_ADJECTIVE = (
    r"(?:slow|small|gentle|gradual|steady|slight|sudden|sharp|good|own|new|old|heavy|light|large"
    r"|big|little|left|right|long|short|first|second|third|last|next|same|other|daily|regular"
    r"|written|full|further|cold|warm|hot|deep|low|clear|single|careful|weekly|more|rough|steep"
    r"|normal|everyday|home|correct|safe|real|quick|fast|single|small|tiny|whole|kitchen|short)"
)
_MODAL = (
    r"(?:can|could|will|would|should|may|might|must|cannot|can't|won't|don't|shouldn't|do|does|did"
    r"|not|never|let's|let us|you|we|they|i|who|please|to)"
)
_THINGS = r"(?:pain|discomfort|swelling|dizziness|breath|effort|tension|weight|stiffness|load)"
_LEFT = {
    "start": rf"(?:^|[,;:] |\b(?:and|or|but|then) )(?:{_ADVERB},? )*$",
    "to": rf"\bto (?:{_ADVERB} )*$",
    "modal": rf"\b{_MODAL} (?:{_ADVERB} )*$",
    "let": r"\b(?:let|lets|make|makes|help|helps|feel|watch|notice|as|when|until|while)"
           rf" (?:{_DETERMINER} )?(?:{_ADJECTIVE} )?\w+ (?:{_ADVERB} )*$",
    "determined": rf"\b{_DETERMINER} (?:{_ADJECTIVE} )*$",
    "preposition": r"\b(?:of|in|for|on|with|without|by|after|during|from|at|into)"
                   rf" (?:{_ADJECTIVE} )*$",
    "subject": rf"\b(?:it|he|she|that|which|who|what|{_THINGS}|{_DETERMINER} (?:{_ADJECTIVE} )?"
               rf"(?!{_ADJECTIVE} )\w+) (?:{_ADVERB} )*$",
    "kept": r"\b(?:keep|keeps|hold|bring|place|draw|pull|stay|stays|put|set|stand|sit|move|remain"
            r"|come|get|be|is|are|very|too|so|as|how|quite)\b[^,;:]*$",
    "been": r"\b(?:have|has|had|having|you've|i've|we've|be|been|being|is|are|was|were|it|them)"
            rf" (?:{_ADVERB} |already |all )*$",
}  # fmt: skip
_RIGHT = {
    "object": r"^ (?:the|your|an?|it|them|both|this|that|these|those|each|one|his|her|its|their|all"
              r"|any|some|more|less|only|\d+|two|three|four|five|as (?:little|much|many|few))\b",
    "manner": r"^ (?:\w+ly|with|by|for|until|when|while|as|again|and|down|up|out|in|to|between"
              r"|from|against|into|onto|over|only|a little|a bit)\b",
    "end": r"^(?:[.,;:!?]|$)",
}  # fmt: skip
_PLACES = tuple((name, re.compile(rule)) for name, rule in _LEFT.items())
_FOLLOWED = tuple((name, re.compile(rule)) for name, rule in _RIGHT.items())
_BORDER = re.compile(r"[.!?](?=\s|$)")
_ROLE = re.compile(r"(.*\S)\s*\((\w[\w -]*)\)")
_BEFORE, _AFTER = re.compile(r"([\w']+) $"), re.compile(r"^[ -]([\w']+)")


@dataclass(frozen=True, kw_only=True, slots=True)
class Clue:
    """One row of the table: in which place a word is read as ``role``.

    All of ``places`` must hold, none of ``never``; the word before must be one of
    ``before`` and the word after one of ``after``, where these are given.
    """

    role: str
    places: frozenset[str] = frozenset()
    never: frozenset[str] = frozenset()
    before: frozenset[str] = frozenset()
    after: frozenset[str] = frozenset()


def clue(
    role: str, places: str = "", *, never: str = "", before: str = "", after: str = ""
) -> Clue:
    """A row, its sets written as words with blanks between them."""
    return Clue(
        role=role,
        places=frozenset(places.split()),
        never=frozenset(never.split()),
        before=frozenset(before.split()),
        after=frozenset(after.split()),
    )


@dataclass(frozen=True, kw_only=True, slots=True)
class Setting:
    """What stands around a word: the places it is in, and its neighbours in small letters."""

    places: frozenset[str]
    before: str
    after: str

    def fits(self, row: Clue) -> bool:
        """Whether the row speaks about a word in this setting."""
        return (
            row.places <= self.places
            and not row.never & self.places
            and (not row.before or self.before in row.before)
            and (not row.after or self.after in row.after)
        )


def setting_of(text: str, start: int, end: int) -> Setting:
    """The setting of ``text[start:end]`` within its sentence.

    >>> sorted(setting_of("Sit tall. Close your eyes.", 10, 15).places)
    ['object', 'start']
    """
    borders = [match.end() for match in _BORDER.finditer(text, 0, start)]
    left = text[borders[-1] if borders else 0 : start].lstrip().lower()
    stop = _BORDER.search(text, end)
    right = text[end : stop.end() if stop else len(text)].lower()
    places = [name for name, rule in _PLACES if rule.search(left)]
    places += [name for name, rule in _FOLLOWED if rule.search(right)]
    before, after = _BEFORE.search(left), _AFTER.search(right)
    return Setting(
        places=frozenset(places),
        before=before[1] if before else "",
        after=after[1] if after else "",
    )


def role_of(text: str, start: int, end: int) -> str:
    """How the word ``text[start:end]`` is read there: a role such as ``verb``, or ``""``.

    >>> role_of("Close your eyes.", 0, 5), role_of("Stay close to the wall.", 5, 10)
    ('verb', 'adjective')
    """
    from breathmark.speech.heteronyms_en import CLUES

    rows = CLUES.get(text[start:end].lower(), ())
    setting = setting_of(text, start, end) if rows else None
    return next((row.role for row in rows if setting and setting.fits(row)), "")


def split_role(words: str) -> tuple[str, str]:
    """The words of a lexicon's entry and their role, which may be empty.

    >>> split_role("close (verb)"), split_role("SI joint")
    (('close', 'verb'), ('SI joint', ''))
    """
    match = _ROLE.fullmatch(words)
    return (match[1], match[2]) if match else (words, "")


def roles_of(word: str) -> tuple[str, ...]:
    """The readings that a word may have, in the table's order; empty for most words.

    >>> roles_of("tear")
    ('eye', 'rip')
    """
    from breathmark.speech.heteronyms_en import CLUES

    return tuple(dict.fromkeys(row.role for row in CLUES.get(word.lower(), ())))
