"""Amounts of time, and the only conversions between them.

What people write (``30 s``, ``1:30``) becomes whole milliseconds; what is planned
and rendered is whole samples at the session's rate.  Every rate allowed here is a
multiple of 1000, so the one conversion, :func:`samples`, is exact.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

RATES_HZ = (24_000, 48_000)
"""Session rates; both are multiples of 1000, so a millisecond is whole samples."""

SESSION_RATE_HZ = 24_000
"""The usual session rate: speech needs no more (measured)."""

MOST_MS = 24 * 60 * 60 * 1000
"""The longest amount of time accepted: a day."""

_UNIT_MS = {"h": 3_600_000, "min": 60_000, "s": 1_000, "ms": 1}
_UNIT_WORDS = {
    "h": "h", "hr": "h", "hour": "h", "hours": "h",
    "min": "min", "mins": "min", "minute": "min", "minutes": "min",
    "s": "s", "sec": "s", "secs": "s", "second": "s", "seconds": "s",
    "ms": "ms",
}  # fmt: skip
_PART = re.compile(r"\s*(\d+(?:[.,]\d+)?)\s*([a-z]+)\.?", re.IGNORECASE)
_CLOCK = re.compile(r"(?:(\d{1,2}):)?(\d{1,3}):(\d{2})(?:\.(\d{1,3}))?")


class AmountError(ValueError):
    """Text that is no amount; the message says what was expected."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Ranged:
    """A whole number with the range it may move in: ``low <= usual <= high``.

    The unit is in the name of the field that holds it (``hold_ms``, ``sets``).
    """

    low: int
    usual: int
    high: int

    def __post_init__(self) -> None:
        if not self.low <= self.usual <= self.high:
            raise AmountError(
                f"the usual amount must lie inside its range ({self.low} to {self.high})"
            )

    @classmethod
    def fixed(cls, value: int) -> Ranged:
        """An amount that may not move."""
        return cls(low=value, usual=value, high=value)

    @property
    def moves(self) -> bool:
        """Whether there is any room in the range."""
        return self.low < self.high


def samples(duration_ms: int, rate_hz: int) -> int:
    """Milliseconds to samples, exactly; ``rate_hz`` must be one of :data:`RATES_HZ`.

    >>> samples(1500, 24_000)
    36000
    """
    if rate_hz % 1000:
        raise ValueError(f"the session rate must be a multiple of 1000 Hz, not {rate_hz}")
    return duration_ms * (rate_hz // 1000)


def seconds(count: int, rate_hz: int) -> float:
    """Samples to seconds, for showing and for formats that want them."""
    return count / rate_hz


def milliseconds(count: int, rate_hz: int) -> int:
    """Samples to milliseconds, rounded to the nearest (a half goes up)."""
    return (2 * count * 1000 + rate_hz) // (2 * rate_hz)


def parse_duration_ms(text: str) -> int:
    """Read ``30 s``, ``2 min``, ``1 min 30 s``, ``1:30`` or ``1:01:00`` as milliseconds.

    A bare number has no unit and is refused.  Raises :class:`AmountError`.

    >>> parse_duration_ms("1 min 30 s")
    90000
    >>> parse_duration_ms("1:30")
    90000
    """
    stripped = text.strip()
    total = _clock_ms(stripped)
    if total is None:
        total = _parts_ms(stripped)
    if total > MOST_MS:
        raise AmountError(f"`{_short(stripped)}` is longer than a day")
    return total


def _clock_ms(text: str) -> int | None:
    match = _CLOCK.fullmatch(text)
    if match is None:
        return None
    hours, minutes, secs, fraction = match.groups()
    if int(secs) > 59 or (hours is not None and int(minutes) > 59):
        raise AmountError(f"`{text}`: minutes and seconds after a colon go up to 59")
    whole = int(hours or 0) * 3600 + int(minutes) * 60 + int(secs)
    return whole * 1000 + int((fraction or "0").ljust(3, "0"))


def _parts_ms(text: str) -> int:
    if not text:
        raise AmountError("an amount of time is missing")
    if re.fullmatch(r"\d+(?:[.,]\d+)?", text):
        raise AmountError(
            f"`{_short(text)}` has no unit: write `{_short(text)} s` or `{_short(text)} min`"
        )
    total, at, order = 0, 0, list(_UNIT_MS)
    while at < len(text):
        match = _PART.match(text, at)
        unit = _UNIT_WORDS.get(match.group(2).lower()) if match else None
        if match is None or unit is None or unit not in order:
            raise AmountError(f"`{_short(text)}` is not an amount of time such as `30 s` or `1:30`")
        order = order[order.index(unit) + 1 :]
        total += _exact_ms(match.group(1), unit)
        at = match.end()
    return total


def _exact_ms(number: str, unit: str) -> int:
    whole, _, fraction = number.replace(",", ".").partition(".")
    if len(whole) > 8:
        raise AmountError(f"`{_short(number)} {unit}` is longer than a day")
    scaled = int(whole + fraction) * _UNIT_MS[unit]
    exact, rest = divmod(scaled, int("1" + "0" * len(fraction)))
    if rest:
        raise AmountError(f"`{number} {unit}` is finer than a millisecond")
    return exact


def _short(text: str, most: int = 40) -> str:
    return text if len(text) <= most else text[: most - 1] + "…"


def duration_text(duration_ms: int) -> str:
    """Milliseconds as a clinician writes them, readable by :func:`parse_duration_ms`.

    >>> duration_text(90_000), duration_text(30_000), duration_text(2_500)
    ('1 min 30 s', '30 s', '2.5 s')
    """
    whole_min, rest = divmod(duration_ms, 60_000)
    secs = f"{rest / 1000:.3f}".rstrip("0").rstrip(".")
    parts = [f"{whole_min} min"] if whole_min else []
    if rest or not whole_min:
        parts.append(f"{secs} s")
    return " ".join(parts)


def nearest(duration_ms: int, unit_ms: int) -> int:
    """How many whole units a duration is about; a half counts up.

    >>> nearest(450_000, 60_000), nearest(7 * 60_000 + 29_000, 60_000)
    (8, 7)
    """
    return (duration_ms + unit_ms // 2) // unit_ms


def clock_text(duration_ms: int, *, tenths: bool = False) -> str:
    """Milliseconds as a clock: ``2:05``, ``1:02:05``, with tenths ``2:05.3``.

    >>> clock_text(125_300), clock_text(125_300, tenths=True)
    ('2:05', '2:05.3')
    """
    tenths_in_all = duration_ms // 100
    total, tenth = divmod(tenths_in_all, 10)
    minutes, secs = divmod(total, 60)
    hours, minutes = divmod(minutes, 60)
    shown = f"{hours}:{minutes:02}:{secs:02}" if hours else f"{minutes}:{secs:02}"
    return f"{shown}.{tenth}" if tenths else shown


def counted(count: int, one: str, more: str = "") -> str:
    """A number with its noun in English.

    >>> counted(1, "tone"), counted(2, "tone"), counted(0, "entry", "entries")
    ('1 tone', '2 tones', '0 entries')
    """
    return f"{count} {one if count == 1 else more or one + 's'}"
