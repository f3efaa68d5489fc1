"""How often: the author's words, and the days a week and times a day that they come to.

The words are printed as they are written, so they are in the routine's language: any of
those that Breathmark speaks is understood.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

MOST_TIMES_A_DAY: Final = 24
"""More sessions than this in a day are a slip of the pen: one an hour (our own)."""

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
        per_day=r"(?:(?P<twice>once|twice)|(?P<a_day>\w+?)(?: times?| ?x)?)"
        r" ?(?:a day|per day|each day|every day|daily|/ ?day|/ ?d)",
        daily=r"daily|every day",
        days=r"(?:on )?(?:(?P<often>once|twice)|(?P<count>\w+?)(?: (?:days?|times?)| ?x))"
        r" ?(?:(?:a|per|each|every) week|weekly|/ ?week|/ ?wk)",
    ),
    _Way(
        per_day=r"(?P<a_day>\w+?)(?:-?mal| mal| ?x) ?(?:am tag|pro tag|täglich|/ ?tag)",
        daily=r"täglich|jeden tag",
        days=r"(?:an )?(?:(?P<often>\w+?)-?mal|(?P<count>\w+?)(?: (?:tage?n?|mal)| ?x))"
        r" ?(?:(?:die|in der|je|jede|pro) woche|wöchentlich|/ ?woche)",
    ),
    _Way(
        per_day=r"(?P<a_day>\w+?)(?: (?:vez|veces)| ?x) ?(?:(?:al|por|cada) día|/ ?día)",
        daily=r"(?:a )?diario|diariamente|todos los días|cada día",
        days=r"(?P<count>\w+?)(?: (?:días?|vez|veces)| ?x)"
        r" ?(?:(?:a la|cada|por) semana|/ ?semana)",
    ),
    _Way(
        per_day=r"(?P<a_day>\w+?)(?: fois| ?x) ?(?:par jour|/ ?j(?:our)?)",
        daily=r"tous les jours|chaque jour|quotidien(?:nement)?",
        days=r"(?P<count>\w+?)(?: (?:jours?|fois)| ?x)"
        r" ?(?:(?:chaque|la|par) semaine|sur (?:7|sept)|/ ?sem(?:aine)?)",
    ),
)
_DAYS = [re.compile(rf"(?:{way.per_day},? ?)?{way.days}") for way in _WAYS]
_DAILY = [re.compile(rf"{way.daily}|{way.per_day}(?:,? (?:{way.daily}))?") for way in _WAYS]


_SHORTHAND: Final[Mapping[str, str]] = {
    "bid": "twice a day", "tid": "3 times a day", "qid": "4 times a day", "qd": "daily",
    "od": "daily", "qod": "every other day", "eod": "every other day",
    "prn": "when you need it",
}  # fmt: skip
"""A prescription's Latin, which patients cannot read, in their words."""

_LATIN = re.compile(r"\b(?:[btq]\.?i\.?d|[qe]\.?o\.?d|[qo]\.?d|p\.?r\.?n)\b\.?", re.IGNORECASE)


def in_plain_words(text: str) -> str:
    """``text`` with a prescription's abbreviations written out, as patients read them.

    >>> in_plain_words("BID, 5 days a week"), in_plain_words("3 times a day")
    ('twice a day, 5 days a week', '3 times a day')
    """
    return _LATIN.sub(lambda one: _SHORTHAND[one[0].lower().replace(".", "")], text)


@dataclass(frozen=True, kw_only=True, slots=True)
class Frequency:
    """How often a session is done: days a week, ``None`` when not plain; times on each.

    The numbers are as written: days may be more than a week has, and times are one where
    none are named.
    """

    days_a_week: int | None = None
    times_a_day: int = 1


def frequency_of(text: str) -> Frequency:
    """What ``text`` says of how often.

    >>> frequency_of("3 times a day, 5 days a week")
    Frequency(days_a_week=5, times_a_day=3)
    >>> frequency_of("twice daily"), frequency_of("every other day").days_a_week
    (Frequency(days_a_week=7, times_a_day=2), None)
    >>> frequency_of("fünfmal pro Woche"), frequency_of("3 fois par semaine").days_a_week
    (Frequency(days_a_week=5, times_a_day=1), 3)
    """
    plain = " ".join(text.lower().replace("×", "x").rstrip(". ").split())
    first, _, second = plain.partition(", ")
    for told in (plain, f"{second}, {first}"):  # the days may stand before the times
        for ways, days in ((_DAILY, 7), (_DAYS, None)):
            match = next(filter(None, (way.fullmatch(told) for way in ways)), None)
            if match is not None:
                return _of(match.groupdict(), days)
    return Frequency()


def _of(said: dict[str, str | None], days: int | None) -> Frequency:
    in_a_day = said.get("twice") or said.get("a_day")
    times = _number(in_a_day) if in_a_day else 1
    named = said.get("often") or said.get("count")
    days = _number(named) if named else days
    if not times or days is None:
        return Frequency()
    return Frequency(days_a_week=days, times_a_day=times)


def _number(word: str) -> int | None:
    return int(word) if re.fullmatch(r"[0-9]{1,3}", word) else _NUMBERS.get(word)
