"""Amounts as people write them, with the range they may move in and what is possible.

``30 s (20 to 45)``, ``1 min (30 s to 2 min)``, ``2 (1 to 3)``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from breathmark.routine.everyday_abroad import amount_in_our_words
from breathmark.routine.rules import Rule
from breathmark.units import AmountError, Ranged, duration_text, parse_duration_ms

_RANGED = re.compile(r"(?P<usual>[^()]*)\((?P<range>[^()]*)\)\s*")
_BOUNDS = re.compile(r"\s*(?P<low>.+?)\s+to\s+(?P<high>.+?)\s*")
_BARE = re.compile(r"\d+(?:[.,]\d+)?")
_ONE_UNIT = re.compile(r"\d+(?:[.,]\d+)?\s*(?P<unit>[A-Za-z]+\.?)")
_DASHED = re.compile(r"(\d+)\s*[-–—]\s*(\d+)")
_COUNT = re.compile(r"\d{1,6}")
_LONGEST_TEXT = 60


class MisreadAmountError(AmountError):
    """Text that is no amount, or an amount that cannot be; with its rule and remedy."""

    def __init__(self, rule: Rule, message: str, remedy: str = "") -> None:
        self.rule = rule
        self.remedy = remedy
        super().__init__(message)


@dataclass(frozen=True, kw_only=True, slots=True)
class Limits:
    """What an amount may be, both ends included; milliseconds if ``timed``, else a count.

    ``or_none`` also allows zero.  The bounds are what a person can do at home with a
    wide margin, not advice (common practice).
    """

    low: int
    high: int
    timed: bool = True
    or_none: bool = False

    def shown(self) -> str:
        """The limits in words, for example ``1 s to 10 min``."""
        low, high = (duration_text(end) if self.timed else str(end) for end in self.ends)
        return f"{low} to {high}" + (", or 0" if self.or_none and self.low else "")

    @property
    def ends(self) -> tuple[int, int]:
        """The lower and the upper end."""
        return self.low, self.high

    def allow(self, value: int) -> bool:
        """Whether ``value`` is possible."""
        return self.low <= value <= self.high or (self.or_none and value == 0)


def read_amount(text: str, limits: Limits, *, exact: bool = False) -> Ranged:
    """Read an amount with its range; ``exact`` refuses a range.

    Raises :class:`MisreadAmountError`.

    >>> read_amount("30 s (20 to 45)", Limits(low=1_000, high=600_000))
    Ranged(low=20000, usual=30000, high=45000)
    >>> read_amount("2", Limits(low=1, high=20, timed=False))
    Ranged(low=2, usual=2, high=2)
    """
    if len(text) > _LONGEST_TEXT:
        raise MisreadAmountError(Rule.NOT_AN_AMOUNT, "this is too long for an amount")
    try:
        return _read(text, limits, exact=exact)
    except MisreadAmountError as error:
        raise _with_our_words(error, text, limits, exact=exact) from None


def _with_our_words(
    error: MisreadAmountError, text: str, limits: Limits, *, exact: bool
) -> MisreadAmountError:
    """The error with a better remedy, where the text has another language's words."""
    ours = amount_in_our_words(text)
    if ours == " ".join(text.split()):
        return error
    try:
        _read(ours, limits, exact=exact)
    except MisreadAmountError as other:
        return MisreadAmountError(error.rule, str(error), other.remedy or error.remedy)
    return MisreadAmountError(error.rule, str(error), f"Write `{ours}`.")


def _read(text: str, limits: Limits, *, exact: bool) -> Ranged:
    match = _RANGED.fullmatch(text)
    if exact and (match or _BOUNDS.fullmatch(text) or _DASHED.match(text)):
        usual = match["usual"].strip() if match else "30 s" if limits.timed else "2"
        raise MisreadAmountError(
            Rule.NO_RANGE, f"`{text}` is a range; here the amount is exact", f"Write `{usual}`."
        )
    amount = _ranged(match, limits) if match else Ranged.fixed(_single(text, limits))
    for value in (amount.low, amount.usual, amount.high):
        if not limits.allow(value):
            shown = duration_text(value) if limits.timed else str(value)
            message = f"{shown} is not possible here: {limits.shown()}"
            raise MisreadAmountError(Rule.IMPOSSIBLE_AMOUNT, message)
    return amount


def _ranged(match: re.Match[str], limits: Limits) -> Ranged:
    bounds = _BOUNDS.fullmatch(match["range"])
    if bounds is None:
        example = "30 s (20 to 45)" if limits.timed else "2 (1 to 3)"
        message = f"`({match['range']})` is not a range"
        raise MisreadAmountError(Rule.NOT_AN_AMOUNT, message, f"Write it as in `{example}`.")
    usual_text, low_text, high_text = match["usual"].strip(), bounds["low"], bounds["high"]
    if not usual_text:
        message = "the usual amount before the range is missing"
        raise MisreadAmountError(Rule.NOT_AN_AMOUNT, message)
    if limits.timed:
        low_text = _with_unit(low_text, high_text, usual_text, limits)
        high_text = _with_unit(high_text, low_text, usual_text, limits)
    usual, low, high = (_single(one, limits) for one in (usual_text, low_text, high_text))
    if low > high:
        message = f"the range goes backwards: {low_text} to {high_text}"
        raise MisreadAmountError(Rule.RANGE_ORDER, message, "Write the smaller amount first.")
    if not low <= usual <= high:
        message = f"the usual amount, {usual_text}, lies outside its range"
        raise MisreadAmountError(Rule.RANGE_ORDER, message, "Widen the range or move the amount.")
    return Ranged(low=low, usual=usual, high=high)


def _with_unit(bound: str, other: str, usual: str, limits: Limits) -> str:
    """A bound without a unit takes that of the other bound, or of the usual amount."""
    if not _BARE.fullmatch(bound):
        return bound
    for lender in (other, usual):
        unit = _ONE_UNIT.fullmatch(lender)
        if unit:
            return f"{bound} {unit['unit']}"
    if _BARE.fullmatch(usual):
        raise _no_unit(usual, limits)
    message = f"`{bound}` in the range has no unit"
    raise MisreadAmountError(Rule.NOT_AN_AMOUNT, message, "Write each bound like the amount.")


def _no_unit(number: str, limits: Limits) -> MisreadAmountError:
    """The error for a bare number; its remedy offers the units with which it is possible."""
    offered = [f"`{number} {unit}`" for unit in ("s", "min") if _fits(f"{number} {unit}", limits)]
    remedy = f"Write {' or '.join(offered)}." if offered else f"Possible here: {limits.shown()}."
    return MisreadAmountError(Rule.NOT_AN_AMOUNT, f"`{number}` has no unit", remedy)


def _fits(text: str, limits: Limits) -> bool:
    try:
        return limits.allow(parse_duration_ms(text))
    except AmountError:  # longer than a day
        return False


def _single(text: str, limits: Limits) -> int:
    stripped = text.strip()
    if limits.timed:
        return _duration(stripped, limits)
    if _COUNT.fullmatch(stripped):
        return int(stripped)
    dashed = _DASHED.fullmatch(stripped)
    if dashed:
        message = f"`{stripped}` is a range without the usual number"
        example = f"{dashed[1]} ({dashed[1]} to {dashed[2]})"
        remedy = f"Write the usual number and its range, such as `{example}`."
        raise MisreadAmountError(Rule.NOT_AN_AMOUNT, message, remedy)
    number = re.match(r"\d+", stripped)
    times = _TIMES.match(stripped)
    remedy = f"Write `{number.group()}`." if number else "Write digits, such as `2`."
    if _BOUNDS.fullmatch(stripped):
        remedy = "Write the usual number and its range, such as `2 (1 to 3)`."
    if times:
        remedy = _sets_and_times(times)
    message = f"`{stripped}` is not a whole number"
    raise MisreadAmountError(Rule.NOT_AN_AMOUNT, message, remedy)


def _duration(text: str, limits: Limits) -> int:
    if limits.or_none and re.fullmatch(r"0+", text):
        return 0
    if _BARE.fullmatch(text):
        raise _no_unit(text, limits)
    try:
        return parse_duration_ms(text)
    except AmountError as error:
        remedy = _plain_duration(text)
        if _BOUNDS.fullmatch(text) or _DASHED.match(text):
            remedy = "Write the usual amount and its range, such as `30 s (20 to 45)`."
        raise MisreadAmountError(Rule.NOT_AN_AMOUNT, str(error), remedy) from None


def _plain_duration(text: str) -> str:
    """What to write for an amount of time in clinical shorthand; nothing for other texts."""
    times, quoted = _TIMES.match(text), _QUOTED.fullmatch(text)
    if times:
        once = text[times.start(2) :]
        unit = "" if _UNIT.search(once) else " s"
        return f"Write `sets: {times[1]}`, and here `{once}{unit}`."
    if quoted:
        return f"Write `{quoted[1]} s`."
    letter = re.fullmatch(r"(\d+)\s*[m'’′]", text)
    return f"Write `{letter[1]} min` or `{letter[1]} s`." if letter else ""


def _sets_and_times(times: re.Match[str]) -> str:
    """What to write for `3x10`; where it may be meant either way, both."""
    first, second = times[1], times[2]
    written = f"Write `sets: {first}`, and here `{second}`"
    swapped = f", or `sets: {second}`, and here `{first}`" if int(first) >= int(second) else ""
    return f"{written}{swapped}."


_TIMES = re.compile(r"(\d+)\s*[x×*]\s*(\d+)", re.IGNORECASE)
_QUOTED = re.compile(r"(\d+)\s*(?:\"|”|″|'')")
_UNIT = re.compile(r"[a-z]", re.IGNORECASE)
