"""How often: the author's words, and the days a week they come to where that is clear.

The words are printed as they are written, so they are in the routine's language: any of
those that Breathmark speaks is understood.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

_NUMBERS = {
    "once": 1, "one": 1, "twice": 2, "two": 2, "three": 3, "four": 4, "five": 5,
    "six": 6, "seven": 7,
    "ein": 1, "eine": 1, "einen": 1, "zwei": 2, "drei": 3, "vier": 4, "fünf": 5, "sechs": 6,
    "sieben": 7,
    "un": 1, "una": 1, "dos": 2, "tres": 3, "cuatro": 4, "cinco": 5, "seis": 6, "siete": 7,
    "une": 1, "deux": 2, "trois": 3, "quatre": 4, "cinq": 5, "sept": 7,
}  # fmt: skip


@dataclass(frozen=True, kw_only=True, slots=True)
class _Way:
    """How a language says it: so often a day, every day, and on so many days a week."""

    per_day: str
    daily: str
    days: str


_WAYS = (
    _Way(
        per_day=r"(?:once|twice|\w+ times?) (?:a|per|each|every) day",
        daily=r"daily|every day",
        days=r"(?:on )?(?:(?P<often>once|twice)|(?P<count>\w+) (?:days?|times?))"
        r" (?:a|per|each|every) week",
    ),
    _Way(
        per_day=r"(?:\w+-?mal|\w+ mal) (?:am tag|pro tag|täglich)",
        daily=r"täglich|jeden tag",
        days=r"(?:an )?(?:(?P<often>\w+?)-?mal|(?P<count>\w+) (?:tage?n?|mal))"
        r" (?:die|in der|je|jede|pro) woche",
    ),
    _Way(
        per_day=r"\w+ (?:vez|veces) (?:al|por) día",
        daily=r"(?:a )?diario|diariamente|todos los días|cada día",
        days=r"(?P<count>\w+) (?:días?|vez|veces) (?:a la|cada|por) semana",
    ),
    _Way(
        per_day=r"\w+ fois par jour",
        daily=r"tous les jours|chaque jour|quotidien(?:nement)?",
        days=r"(?P<count>\w+) (?:jours?|fois) (?:chaque|la|par) semaine",
    ),
)
_DAYS = [re.compile(rf"(?:{way.per_day},? ?)?{way.days}") for way in _WAYS]
_DAILY = [re.compile(rf"{way.daily}|{way.per_day}") for way in _WAYS]


def days_a_week(text: str) -> int | None:
    """The days a week that ``text`` names, ``None`` when it is not plain.

    The number is as written and may be more than a week has.

    >>> days_a_week("5 days a week"), days_a_week("daily"), days_a_week("every other day")
    (5, 7, None)
    >>> days_a_week("fünfmal pro Woche"), days_a_week("3 fois par semaine")
    (5, 3)
    """
    plain = " ".join(text.lower().rstrip(". ").split())
    if any(daily.fullmatch(plain) for daily in _DAILY):
        return 7
    match = next(filter(None, (days.fullmatch(plain) for days in _DAYS)), None)
    if match is None:
        return None
    word = match.groupdict().get("often") or match["count"]
    return int(word) if re.fullmatch(r"[0-9]{1,3}", word) else _NUMBERS.get(word)
