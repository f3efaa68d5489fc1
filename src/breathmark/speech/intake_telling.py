"""Words that must not be exchanged: numbers, sides, directions, and what is done.

Most of a row may be understood and the one word wrong that matters: "Hold for 30 seconds" is
all but "Hold for 40 seconds", and would be said in its place.  A row is told to be read with
another such word where one that it has was not understood and another was instead.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

_ONES = (
    *("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"),
    *("eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen"),
    *("eighteen", "nineteen"),
)
_TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
_NUMBERS = {word: number for number, word in enumerate(_ONES)} | {
    word: 10 * (number + 2) for number, word in enumerate(_TENS)
}
_SOUND_ALIKE = {"for": 4, "fore": 4, "to": 2, "too": 2, "won": 1, "once": 1, "twice": 2, "ate": 8}
_OPPOSITES = (
    ("left", "right"),
    ("in", "out"),
    ("up", "down"),
    ("forward", "forwards", "back", "backward", "backwards"),
    ("first", "next", "last"),
    ("easier", "harder"),
    ("more", "less"),
    ("shorter", "longer"),
    ("slower", "faster"),
    ("push", "pull"),
    ("open", "close"),
    ("contract", "relax"),
    ("bend", "straighten"),
    ("lift", "lower"),
    ("sit", "stand"),
    ("hold", "rest"),
    ("heel", "heels", "toe", "toes"),
    ("elbow", "elbows", "knee", "knees"),
    ("front", "behind"),
    ("top", "bottom"),
)


def another_word(row: str, heard: str) -> bool:
    """Whether a telling word of ``row`` was read as another one of its kind.

    >>> another_word("Hold for 40 seconds.", "Hold for thirty seconds")
    True
    >>> another_word("Hold for 40 seconds.", "hold four forty seconds")
    False
    """
    written, understood = _words(row), _words(heard)
    if _exchanged(_numbers(written), _numbers(understood)):
        return True
    return any(
        _exchanged(filter(kind.__contains__, written), filter(kind.__contains__, understood))
        for kind in _OPPOSITES
    )


def _exchanged(wanted: Iterable[object], found: Iterable[object]) -> bool:
    """Whether something wanted is not there, and something else is."""
    lacking, extra = Counter(wanted), Counter(found)
    return bool(lacking - extra and extra - lacking)


def _words(text: str) -> list[str]:
    return re.findall(r"[a-z]+|\d+", text.lower().replace("'", "").replace("’", ""))


def _numbers(words: Sequence[str]) -> Iterator[int]:
    """The numbers in a text, "forty five" as one; what sounds like a number counts as it."""
    tens = 0
    for word in (*words, ""):
        number = int(word) if word.isdigit() else _NUMBERS.get(word, _SOUND_ALIKE.get(word))
        if tens and number is not None and word in _ONES[1:10]:
            yield tens + number
            tens = 0
            continue
        if tens:
            yield tens
        tens = number if word in _TENS and number else 0
        if number is not None and not tens:
            yield number
