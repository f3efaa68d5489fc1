"""Amounts in a clinic's shorthand, and what to write in a file instead.

A remedy is followed in haste: each keeps the numbers that were written, and where no number
can be known (``to fatigue``, ``10%``) none is offered as if it were meant.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction
from typing import Final

from breathmark.units import AmountError, duration_text, parse_duration_ms

_NUMBER: Final = r"\d+(?:[.,]\d+)?"
_UNITS: Final = r"(?:seconds?|secs?|s|minutes?|mins?|min|hours?|h)\b\.?"
_DASH: Final = r"\s*(?:[-–—]|\bto\b)\s*"
_WORDS: Final = {
    "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8,
    "nine": 9, "ten": 10, "eleven": 11, "twelve": 12, "fifteen": 15, "twenty": 20, "thirty": 30,
    "forty": 40, "fifty": 50, "sixty": 60,
}  # fmt: skip
_SIGNS: Final = {"½": "1/2", "¼": "1/4", "¾": "3/4"}

_BOUNDS = re.compile(
    rf"(?P<low>{_NUMBER})\s*(?P<first>{_UNITS})?{_DASH}(?P<high>{_NUMBER})\s*(?P<unit>{_UNITS})?"
)
_TIMES = re.compile(
    rf"(?P<sets>\d+)\s*(?:sets\s*of|[x×*])\s*(?P<once>{_NUMBER})\s*(?P<unit>{_UNITS})?"
)
_ONCE_TIMES = re.compile(rf"(?P<once>{_NUMBER}\s*{_UNITS})\s*[x×*]\s*(?P<sets>\d+)\b")
_CLOCK = re.compile(r"(?P<min>\d+)\s*(?:m|['’′])\s*(?P<s>\d+)\s*(?:s|\"|”|″|'')?")
_FRACTION = re.compile(
    r"(?:(?P<whole>\d+)\s*)?(?P<top>\d)/(?P<bottom>[2348])\s*(?:an?\s+)?(?P<unit>min|m|h)"
)
_SECONDS = re.compile(r"(\d+)\s*(?:\"|”|″|'')")
_MINUTES_OR_SECONDS = re.compile(r"(\d+)\s*[m'’′]")
_ONE = re.compile(rf"{_NUMBER}\s*{_UNITS}")
_EACH_SIDE = re.compile(
    r"\b(?:each|ea|per)\b|/\s*(?:side|leg|arm|way|seite|bein|lado|côté)\b"
    r"|\b(?:je|pro|jede) (?:seite|bein|arm)\b|\b(?:por|cada) (?:lado|pierna|brazo)\b"
    r"|\b(?:par|chaque) (?:côté|jambe|bras)\b"
)
_HOW_HARD = re.compile(r"\brpe\b|\bborg\b|@|\beffort\b")
_WHEN_TO_STOP = re.compile(r"\btolera|\bfatigue|\bcomfort|\btired|\bamrap\b|\bpain\b|\bprn\b")


def time_meant(text: str, *, exact: bool = False, example: str = "30 s") -> str:
    """The remedy for a text that is no amount of time; ``exact`` where no range may stand.

    ``example`` is shown where the text has no amount in it.

    >>> time_meant("20-30 sec"), time_meant("1m30")
    ('Write the usual amount and its range, such as `20 s (20 to 30)`.', 'Write `1 min 30 s`.')
    >>> time_meant("30 sec each leg")
    'Write `30 sec`, and `sides: each` at the exercise.'
    """
    plain = _plain(text)
    ways: tuple[Callable[[str], str], ...] = (
        _bracketed, _fraction, _minutes_and_seconds, _either, _repeated,
        _bounds_exact if exact else _bounds, _one_time,
    )  # fmt: skip
    remedy = next(filter(None, (way(plain) for way in ways)), "")
    if remedy:
        return remedy
    when = " What ends it earlier belongs to `feel`." if _WHEN_TO_STOP.search(plain) else ""
    return f"Write digits and a unit, such as `{example}`.{when}"


def count_meant(text: str, *, exact: bool = False) -> str:
    """The remedy for a text that is no whole number; ``exact`` where no range may stand.

    >>> count_meant("8 to 12"), count_meant("x10")
    ('Write the usual number and its range, such as `8 (8 to 12)`.', 'Write `10`.')
    >>> count_meant("AMRAP")
    'Write the number, such as `10`. What ends it earlier belongs to `feel`.'
    """
    plain = _plain(text)
    number = re.search(r"\d+", plain)
    times, bounds = _TIMES.match(plain), _BOUNDS.match(plain)
    if not number:
        when = " What ends it earlier belongs to `feel`." if _WHEN_TO_STOP.search(plain) else ""
        return f"Write the number, such as `10`.{when}" if when else "Write digits, such as `2`."
    if "%" in plain:
        return "Write the whole number that it comes to."
    if times and not exact:
        return f"{_sets_and_times(times['sets'], times['once'])}{_each_side(plain) or '.'}"
    if bounds and exact:
        return f"Write one number, such as `{bounds['low']}`."
    if bounds:
        low, high = bounds["low"], bounds["high"]
        usual = f"Write the usual number and its range, such as `{low} ({low} to {high})`"
        return f"{usual}{_each_side(plain) or '.'}"
    if _EACH_SIDE.search(plain):
        turns = f"where sides take turns, `{2 * int(number.group())}` counts both"
        return f"Write `{number.group()}`, and `sides: each` at the exercise; {turns}."
    return f"Write `{number.group()}`{_how_hard(plain) or '.'}"


def range_meant(usual: str, bounds: str, example: str) -> str:
    """The remedy for what stands in brackets and is no range, with its numbers if it has them.

    >>> range_meant("30 s", "20-45", "30 s (20 to 45)")
    'Write `30 s (20 to 45)`.'
    """
    match = re.fullmatch(rf"\s*({_NUMBER}\s*\w*){_DASH}({_NUMBER}\s*\w*)\s*", bounds)
    if not match or not usual.strip():
        return f"Write it as in `{example}`."
    return f"Write `{usual.strip()} ({match[1].strip()} to {match[2].strip()})`."


def _plain(text: str) -> str:
    plain = " ".join(text.lower().split())
    for sign, written in _SIGNS.items():
        plain = re.sub(rf"(?<=\d){sign}", f" {written}", plain).replace(sign, written)
    plain = re.sub(r"\bhalf an? (?=min|h)", "1/2 ", plain)
    return re.sub(r"[a-z]+", lambda word: str(_WORDS.get(word[0], word[0])), plain)


def _bracketed(plain: str) -> str:
    found = re.fullmatch(r"([^\[\]]+)\[([^\[\]]+)\]", plain)
    return range_meant(found[1], found[2], "30 s (20 to 45)") if found else ""


def _fraction(plain: str) -> str:
    found = _FRACTION.match(plain)
    if not found:
        return ""
    part = Fraction(int(found["top"]), int(found["bottom"])) + int(found["whole"] or 0)
    return f"Write `{duration_text(int(part * (3_600_000 if found['unit'] == 'h' else 60_000)))}`."


def _minutes_and_seconds(plain: str) -> str:
    found = _CLOCK.fullmatch(plain)
    return f"Write `{found['min']} min {int(found['s'])} s`." if found else ""


def _either(plain: str) -> str:
    """Minutes where a sign may mean seconds; seconds where it means nothing else."""
    quoted, letter = _SECONDS.fullmatch(plain), _MINUTES_OR_SECONDS.fullmatch(plain)
    if quoted:
        return f"Write `{quoted[1]} s`."
    return f"Write `{letter[1]} min` or `{letter[1]} s`." if letter else ""


def _repeated(plain: str) -> str:
    times, after = _TIMES.match(plain), _ONCE_TIMES.match(plain)
    found = times or after
    if not found:
        return ""
    once = f"{times['once']} {times['unit'] or 's'}" if times else found["once"]
    return f"Write `sets: {found['sets']}`, and here `{once}`{_each_side(plain) or '.'}"


def _bounds(plain: str) -> str:
    found = _BOUNDS.search(plain)
    if not found:
        return ""
    low, high = _with_units(found)
    one_unit = low.split()[1] == high.split()[1]
    ends = f"{found['low']} to {found['high']}" if one_unit else f"{low} to {high}"
    ranged = f"Write the usual amount and its range, such as `{low} ({ends})`"
    return f"{ranged}{_each_side(plain) or '.'}"


def _bounds_exact(plain: str) -> str:
    found = _BOUNDS.search(plain)
    if not found:
        return ""
    low, high = _with_units(found)
    return f"Write one of them, such as `{low}` or `{high}`."


def _with_units(found: re.Match[str]) -> tuple[str, str]:
    """Both bounds with the units that were written, `s` where none was."""
    last = found["unit"] or found["first"] or "s"
    first = found["first"] or last
    return f"{found['low']} {_short(first)}", f"{found['high']} {_short(last)}"


def _short(unit: str) -> str:
    return "h" if unit.startswith("h") else "min" if unit.startswith("m") else "s"


def _one_time(plain: str) -> str:
    """The amount that stands among other words."""
    found = _ONE.search(plain)
    if not found:
        return ""
    try:
        parse_duration_ms(found.group())
    except AmountError:
        return ""
    return f"Write `{found.group()}`{_each_side(plain) or _how_hard(plain) or '.'}"


def _each_side(plain: str) -> str:
    return ", and `sides: each` at the exercise." if _EACH_SIDE.search(plain) else ""


def _how_hard(plain: str) -> str:
    if _HOW_HARD.search(plain):
        return ". How hard it should be is said in words, in `feel`."
    return ". What ends it earlier belongs to `feel`." if _WHEN_TO_STOP.search(plain) else ""


def _sets_and_times(first: str, second: str) -> str:
    """What to write for `3x10`; where it may be meant either way, both."""
    written = f"Write `sets: {first}`, and here `{second}`"
    either = int(first) >= int(second) if second.isdigit() else False
    return f"{written}{f', or `sets: {second}`, and here `{first}`' if either else ''}"
