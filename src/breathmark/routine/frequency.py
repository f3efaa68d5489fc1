"""How often: the author's words, and the days a week they come to where that is clear."""

from __future__ import annotations

import re

_NUMBERS = {
    "once": 1, "one": 1, "twice": 2, "two": 2, "three": 3, "four": 4, "five": 5,
    "six": 6, "seven": 7,
}  # fmt: skip
_PER_DAY = r"(?:(?:once|twice|\w+ times?) (?:a|per|each|every) day,? ?(?:on )?)?"
_DAYS = re.compile(
    _PER_DAY
    + r"(?:(?P<often>once|twice)|(?P<count>\w+) (?:days?|times?)) (?:a|per|each|every) week"
)
_DAILY = re.compile(r"(?:daily|every day|(?:once|twice|\w+ times?) (?:a|per|each|every) day)")


def days_a_week(text: str) -> int | None:
    """The days a week that ``text`` names, ``None`` when it is not plain.

    The number is as written and may be more than a week has.

    >>> days_a_week("5 days a week"), days_a_week("daily"), days_a_week("every other day")
    (5, 7, None)
    """
    plain = " ".join(text.lower().rstrip(". ").split())
    if _DAILY.fullmatch(plain):
        return 7
    match = _DAYS.fullmatch(plain)
    if match is None:
        return None
    word = match["often"] or match["count"]
    return int(word) if re.fullmatch(r"[0-9]{1,3}", word) else _NUMBERS.get(word)
