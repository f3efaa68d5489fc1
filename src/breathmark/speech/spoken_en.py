"""How amounts, signs and short forms are said in English: a table that can grow.

Each row is a pattern and what is said in its place; rows apply from top to bottom, so
an earlier row may leave work for a later one (``5-10 s`` is first ``5 to 10 s``).
"""

from __future__ import annotations

import re
from collections.abc import Callable

Replacement = str | Callable[[re.Match[str]], str]

_UNITS = {
    "hours?|hrs?|h": ("hour", "hours"),
    "minutes?|mins?": ("minute", "minutes"),
    "seconds?|secs?|s": ("second", "seconds"),
    "ms": ("millisecond", "milliseconds"),
    "kg|kgs": ("kilogram", "kilograms"),
    "lbs?": ("pound", "pounds"),
    "cm": ("centimeter", "centimeters"),
    "mm": ("millimeter", "millimeters"),
    "ft": ("foot", "feet"),
    "reps?": ("repetition", "repetitions"),
    "deg": ("degree", "degrees"),
}
_PARTS = {2: ("half", "halves"), 3: ("third", "thirds"), 4: ("quarter", "quarters"),
          8: ("eighth", "eighths")}  # fmt: skip
_COUNTS = ("zero", "one", "two", "three", "four", "five", "six", "seven")
_SHORT_FORMS = {
    r"e\.\s?g\.,?": "for example,",
    r"i\.\s?e\.,?": "that is,",
    r"etc\.": "and so on",
    r"approx\.?": "approximately",
    r"incl\.": "including",
    r"max\.": "at most",
    r"dr\.": "Doctor",
    r"vs\.?": "against",
    r"ex\.": "exercise",
    r"w/o": "without",
    r"w/": "with",
    r"a\.\s?m\.": "a m",
    r"p\.\s?m\.": "p m",
}
_NUMBER = r"\d+(?:[.,]\d+)?"


def _clock(match: re.Match[str]) -> str:
    """``1:30`` is a minute and a half here: amounts, never times of day, stand in a line."""
    minutes, seconds = int(match[1]), int(match[2])
    said = [f"{minutes} min"] if minutes else []
    said += [f"{seconds} s"] if seconds or not minutes else []
    return " ".join(said)


def _fraction(match: re.Match[str]) -> str:
    whole, over, under = match[1], int(match[2]), int(match[3])
    if under not in _PARTS or not 0 < over < under:
        return f"{whole or ''} {over} out of {under}".strip()
    one, several = _PARTS[under]
    part = f"{_COUNTS[over]} {one if over == 1 else several}"
    if not whole:
        return part
    return f"{whole} and a {one}" if over == 1 else f"{whole} and {part}"


def _unit(one: str, several: str) -> Replacement:
    """``30 s`` is seconds, but ``a 30 s hold`` and ``a 30-second hold`` are singular."""

    def said(match: re.Match[str]) -> str:
        article, number, between = match[1] or "", match[2], match[3]
        return f"{article}{number} {one if article or between or number == '1' else several}"

    return said


def _unit_rows() -> list[tuple[str, Replacement]]:
    before = rf"(?<![\d.,/])(\ban?\s+)?({_NUMBER})(?:\s*|(-))"
    full_stop = r"(?:\.(?=\s*(?:,|(?-i:[a-z]))))?"  # of the short form, not of the sentence
    return [
        (rf"{before}(?:{unit})\b(?!'){full_stop}", _unit(*said)) for unit, said in _UNITS.items()
    ]


_ROWS: list[tuple[str, Replacement]] = [
    (r"[‘’‛′]", "'"),
    (r"[“”„«»\"″`*_^|\\]", " "),
    (r"\s*[()\[\]{}]\s*", ", "),
    (r"[‐‑−]", "-"),
    (r"(?<=\d)\s*(?:\.{2,}|,\s)\s*(?=\d)", ", "),
    (r"\b(\d)-(\d)-(\d)\b", r"\1, \2, \3"),
    (r"\.{2,}(?=\s*$)", "."),
    (r"\.{2,}", ", "),
    *[(rf"(?<!\w){short}(?!\w)", said) for short, said in _SHORT_FORMS.items()],
    (r"\b(\d{1,2}):([0-5]\d)\b", _clock),
    (r"(?:\b(\d+)\s+)?\b(\d+)[/⁄](\d+)\b", _fraction),
    (rf"({_NUMBER})\s*[-–—]\s*(?={_NUMBER})", r"\1 to "),
    (r"\s+[-–—]+\s+|[–—]", ", "),
    (r"(?<=\d)\s*[x×]\s*(?=\d)", " times "),
    (r"(?<=\d)\s*[x×](?!\w)", " times"),
    (r"(?<=\s)[x×]\s*(?=\d)|^[x×]\s*(?=\d)", "times "),
    *_unit_rows(),
    (r"\b(\d+ minutes?) (\d+ seconds?)\b", r"\1 and \2"),
    (r"(?<=\w)\s*/\s*(?=(?:side|day|week|leg|arm|hour|minute|set)\b)", " a "),
    (r"\band/or\b", "or"),
    (r"\b([a-z]\d+)-(?=[a-z]\d)", r"\1 to "),
    (r"(?<=\d)\s*%", " percent"),
    (r"\s*&\s*", " and "),
    (r"(?<=\w)\s*\+\s*(?=\w)", " plus "),
    (r"\s*=\s*", " equals "),
    (r"[~≈]\s*(?=\d)", "about "),
    (r"(?<=[a-z])/(?=[a-z])", " or "),
    (r"[<>#~≈@/+]", " "),
]

REWRITINGS: tuple[tuple[re.Pattern[str], Replacement], ...] = tuple(
    (re.compile(pattern, re.IGNORECASE), said) for pattern, said in _ROWS
)
"""The table: pattern, and what is said in its place."""
