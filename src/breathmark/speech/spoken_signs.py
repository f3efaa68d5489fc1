"""What the tables of several languages share: signs, clocks, fractions and units.

Each row is a pattern and what is said in its place; rows apply from top to bottom.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence

Replacement = str | Callable[[re.Match[str]], str]
Row = tuple[str, Replacement]
Rewritings = tuple[tuple[re.Pattern[str], Replacement], ...]

NUMBER = r"\d+(?:[.,]\d+)?"

_OPENS = r"(?:^|[\s(])"


def _primes(match: re.Match[str]) -> str:
    """``1'30"`` and ``30"``, which are amounts of time where nothing is quoted."""
    text = re.sub(r"(?<=\d)\s?[“”]", '"', match[0])
    text = re.sub(r"\b(\d{1,2})'\s?([0-5]\d)(?:''|\")?(?![\w'\"])", r"\1 min \2 s", text)
    text = re.sub(r"(?<=\d)\s?(?:''|\")(?!\w)", " s", text)
    return re.sub(r"(?<=\d)\s?'(?![\w'])", " min", text)


FIRST: tuple[Row, ...] = (
    (r"[‘’‚‛′]", "'"),
    (r"″", "''"),
    (rf"^(?!.*{_OPENS}[\"'„“”]\w).*\d\s?['\"“”].*$", _primes),
    (r"[“”„«»‹›\"″`*_^|\\]", " "),
    (r"\s*[()\[\]{}]\s*", ", "),
    (r"[‐‑−]", "-"),
    (r"(?<=\d)\s*(?:\.{2,}|,\s)\s*(?=\d)", ", "),
    (r"\b(\d)-(\d)-(\d)\b", r"\1, \2, \3"),
    (r"\.{2,}(?=\s*$)", "."),
    (r"\.{2,}", ", "),
    (r"(?<=\d)\.(?=\d{1,2}(?![\d.]))", ","),
)
"""Quotation marks, brackets, dots in a row; a decimal point becomes a comma."""


def signs(
    *, to: str, at_least: str, at_most: str, more: str, less: str, times: str
) -> tuple[Row, ...]:
    """Rows for signs between and before numbers, by their words.

    They come before units; ``C5-C6`` is a range, and ``x10`` behind words is a count.
    """
    return (
        (r"\b([A-Z]\d+)\s?[-–]\s?(?=[A-Z]?\d)", rf"\1 {to} "),
        (r"(?<=\bdeg )\s*[-–—]\s*(?=\d)", f"{to} "),
        (r"(?:≥|>=)\s*(?=\d)", f" {at_least} "),
        (r"(?:≤|<=)\s*(?=\d)", f" {at_most} "),
        (r"(?<!-)>\s*(?=\d)", f" {more} "),
        (r"<\s*(?=\d)", f" {less} "),
        (r"^[x×]\s*(\d+)\b", rf"\1 {times}"),
        (r"(?<=\w)\.?\s+[x×]\s*(\d+)\b(?!\s*[a-z])", rf", \1 {times}"),
    )


LAST: tuple[Row, ...] = (
    (r"\s+[-–—]+\s+|[–—]", ", "),
    (r"[<>#~≈@/+=]", " "),
)
"""What is still there and has no sound."""


def compiled(rows: Sequence[Row]) -> Rewritings:
    """The rows with their patterns compiled; capitals make no difference."""
    return tuple((re.compile(pattern, re.IGNORECASE), said) for pattern, said in rows)


def clock(match: re.Match[str]) -> str:
    """``1:30`` as ``1 min 30 s``: amounts, never times of day, stand in a line.

    For a pattern with minutes and seconds as its groups.
    """
    minutes, seconds = int(match[1]), int(match[2])
    said = [f"{minutes} min"] if minutes else []
    said += [f"{seconds} s"] if seconds or not minutes else []
    return " ".join(said)


CLOCK: Row = (r"\b(\d{1,2}):([0-5]\d)\b", clock)


def short_forms(forms: Mapping[str, str]) -> list[Row]:
    """Rows for short forms, each standing by itself."""
    return [(rf"(?<!\w)(?:{short})(?!\w)", said) for short, said in forms.items()]


def units(words: Mapping[str, tuple[str, str]]) -> list[Row]:
    """Rows for units after a number: pattern of the unit to its word for one and for several."""
    before = rf"(?<![\d.,/])({NUMBER})(?:\s*|-)"
    full_stop = r"(?:\.(?=\s*(?:,|(?-i:[a-zäöüßáéíóúñàâçèêîôû]))))?"  # not the sentence's own
    return [(rf"{before}(?:{unit})\b(?!['.]\w){full_stop}", _unit(*said))
            for unit, said in words.items()]  # fmt: skip


def _unit(one: str, several: str) -> Replacement:
    return lambda match: f"{match[1]} {one if match[1] == '1' else several}"


def units_of_fractions(words: Mapping[str, tuple[str, str]]) -> list[Row]:
    """Rows for units after a fraction: ``1/2 h``, ``1 1/2 min``; before :func:`fractions`."""
    before = r"(?<![\d.,/])((?:\d+\s+)?\d/\d)\s*"
    return [
        (rf"{before}(?:{unit})\b(?!['.]\w)\.?", _unit_of_fraction(*said))
        for unit, said in words.items()
    ]


def _unit_of_fraction(one: str, several: str) -> Replacement:
    return lambda match: f"{match[1]} {several if ' ' in match[1] else one}"


def fractions(parts: Mapping[tuple[int, int], str], of: str, join: str) -> Row:
    """The row for ``3/4`` and ``1 3/4``: known ``parts``, else ``3 of 4``.

    ``of`` and ``join`` are the words between the two numbers, and before a part.
    """

    def said(match: re.Match[str]) -> str:
        whole, over, under = match[1], int(match[2]), int(match[3])
        part = parts.get((over, under), f"{over} {of} {under}")
        return f"{whole} {join} {part}" if whole else part

    return r"(?:\b(\d+)\s+)?\b(\d+)[/⁄](\d+)\b", said


def ones(nouns: str, one: str, tens: Mapping[int, str] | None = None) -> Row:
    """The row that makes 1, and 21, 31 … by ``tens``, agree with the nouns that follow."""

    def said(match: re.Match[str]) -> str:
        number = int(match[1])
        return one if number == 1 else (tens or {}).get(number - 1, match[1])

    return rf"(?<![\d.,:/])([2-9]?1)(?=\s+(?:{nouns})\b)", said


REWRITINGS = compiled((*FIRST, *LAST))
"""For a language that has no table."""
