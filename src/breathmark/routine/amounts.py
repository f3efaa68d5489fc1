"""Amounts as people write them, with the range they may move in and what is possible.

``30 s (20 to 45)``, ``1 min (30 s to 2 min)``, ``2 (1 to 3)``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from breathmark.routine.everyday_abroad import amount_in_our_words
from breathmark.routine.rules import Rule
from breathmark.routine.shorthand import count_meant, range_meant, time_meant
from breathmark.units import AmountError, Ranged, duration_text, parse_duration_ms

_RANGED = re.compile(r"(?P<usual>[^()]*)\((?P<range>[^()]*)\)\s*")
_BOUNDS = re.compile(r"\s*(?P<low>.+?)\s+to\s+(?P<high>.+?)\s*")
_BARE = re.compile(r"\d+(?:[.,]\d+)?")
_ONE_UNIT = re.compile(r"\d+(?:[.,]\d+)?\s*(?P<unit>[A-Za-z]+\.?)")
_DASHED = re.compile(r"(\d+)\s*[-–—]\s*(\d+)")
_COUNT = re.compile(r"\d{1,6}")
_LONGEST_TEXT = 60
_WHOLE_SESSION_MS = 30_000


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
        meant = time_meant if limits.timed else count_meant
        remedy = f"Write `{match['usual'].strip()}`." if match else meant(text, exact=True)
        raise MisreadAmountError(
            Rule.NO_RANGE, f"`{text}` is a range; here the amount is exact", remedy
        )
    amount = _ranged(match, limits) if match else Ranged.fixed(_single(text, limits, exact=exact))
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
        remedy = range_meant(match["usual"], match["range"], example)
        raise MisreadAmountError(Rule.NOT_AN_AMOUNT, message, remedy)
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


def _single(text: str, limits: Limits, *, exact: bool = False) -> int:
    stripped = text.strip()
    if limits.timed:
        return _duration(stripped, limits, exact=exact)
    if _COUNT.fullmatch(stripped):
        return int(stripped)
    dashed = _DASHED.fullmatch(stripped)
    message = f"`{stripped}` is not a whole number"
    if dashed:
        message = f"`{stripped}` is a range without the usual number"
    raise MisreadAmountError(Rule.NOT_AN_AMOUNT, message, count_meant(stripped, exact=exact))


def _duration(text: str, limits: Limits, *, exact: bool) -> int:
    if limits.or_none and re.fullmatch(r"0+", text):
        return 0
    if _BARE.fullmatch(text):
        raise _no_unit(text, limits)
    try:
        return parse_duration_ms(text)
    except AmountError as error:
        example = "10 min" if limits.low >= _WHOLE_SESSION_MS else "5 s" if exact else "30 s"
        remedy = time_meant(text, exact=exact, example=example)
        raise MisreadAmountError(Rule.NOT_AN_AMOUNT, str(error), remedy) from None
