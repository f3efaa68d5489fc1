"""Where English words name a side of the body, as a voice says them.

Speech turns `R knee` and `Rt. heel` into words, so these count like the words; `right
away` and `three minutes left` do not.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from breathmark.routine.model import Side

_LIMBS = (
    "UE|LE|leg|arm|foot|knee|hip|side|hand|shoulder|ankle|elbow|wrist|heel|toe|thigh|calf"
    "|hamstring|quad|glute"
)
_ALONE = r"(?=\s*(?:[.,;:]|$)|\s+(?:then|and|or|first|only)\b)"
_SHORT = re.compile(
    rf"\b(?P<limb>Rt|Lt|R|L)\.?\s+(?i:{_LIMBS})s?\b|\((?P<bracket>[RL])\)"
    r"|(?<![\w/])(?P<first>[RL])\s?/\s?[RL](?![\w/])"
    rf"|\b(?!size )[A-Za-z]+\s(?P<alone>[RL]){_ALONE}"
)
_WORD = re.compile(r"\b(?:left|right)\b", re.IGNORECASE)
_LENT = re.compile(r"\b(?:your|his|her|their|the|on|to) $", re.IGNORECASE)
_ONE_THING = re.compile(
    r"-?handed\b|-?footed\b|[ -]angle(?:d|s)?\b| (?:way|amount|place|spot|height|speed|moment|time"
    r"|distance|position|size)\b",
    re.IGNORECASE,
)
_ADVERB = re.compile(
    r" (?:away|now|here|there|then(?: and there)?(?=\s*(?:[.,;:!?]|$))|behind|below|under"
    r"|underneath|above|over|beside|in (?:front|the|your)|inside|into|onto|against|next"
    r"|when|where|at|up"
    r"|down|through|out|back|from|before|after|until|till|between|across|along|around"
    r"|to the (?:end|edge|top|bottom|tips?|floor|front|back))\b",
    re.IGNORECASE,
)
_LEFT_OVER = re.compile(r" (?:over|behind)\b", re.IGNORECASE)
_NUMBER = re.compile(
    r"\b(?:\d+|one|two|three|four|five|six|seven|eight|nine|ten|more|many) $", re.IGNORECASE
)
_END = re.compile(r"\s*(?:[.,;:!?]|$| to go\b)")
_NO_SIDE = re.compile(
    r"\b(?:all|is|are|have|feels?|time|seconds?|minutes?|just|that(?:['’]s)?"
    r"|(?:do|does|doing|did|done|get|gets|getting|got) (?:it|this|that|them|these|those)) $",
    re.IGNORECASE,
)


def sides_named(text: str) -> Iterator[tuple[Side, str]]:
    """Each side that an English line names, with the words that name it.

    >>> [(side.value, words) for side, words in sides_named("Lift your L knee. Sit right back.")]
    [('left', 'L knee')]
    """
    for match in _WORD.finditer(text):
        if not _means_no_side(match.group(), text[: match.start()], text[match.end() :]):
            yield Side(match.group().lower()), match.group()
    for match in _SHORT.finditer(text):
        letter = next(filter(None, match.groups()))[0]
        yield Side.LEFT if letter == "L" else Side.RIGHT, match.group()


def _means_no_side(word: str, before: str, after: str) -> bool:
    """Whether the word is about a manner, a place or what remains."""
    if _NO_SIDE.search(before) or _ONE_THING.match(after):
        return True
    if word.lower() == Side.LEFT and _NUMBER.search(before) and _END.match(after):
        return True
    if _LENT.search(before):
        return False
    loose = _ADVERB if word.lower() == Side.RIGHT else _LEFT_OVER
    return bool(loose.match(after))
