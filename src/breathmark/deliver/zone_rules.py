"""A time zone as calendars carry it: each change of the clock in the time that matters.

Source: RFC 5545, 3.6.5.  Each change stands for itself, with the moment it happens as the
clock showed it before, so nothing is said about years in which nobody is reminded.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError, available_timezones

from breathmark.problems import UsageProblem, did_you_mean

_BEFORE = timedelta(days=400)
"""How far back the change is looked for that decides the clock on the first day."""


@dataclass(frozen=True, kw_only=True, slots=True)
class ClockChange:
    """A change of the clock: the local time before it, the offsets from UTC, the new name."""

    at: datetime
    before: timedelta
    after: timedelta
    name: str
    summer: bool


def zone_of(name: str) -> ZoneInfo:
    """The zone of that name, such as ``Europe/Berlin``; :class:`UsageProblem` for another."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        remedy = did_you_mean(name, available_timezones()) if name else ""
        example = "Zones have names such as `Europe/Berlin` or `America/New_York`."
        known = remedy if remedy.startswith("Did") else example
        raise UsageProblem(f"there is no time zone `{name}`. {known}") from None


def clock_changes(zone: ZoneInfo, first: date, last: date) -> tuple[ClockChange, ...]:
    """The changes that decide the clock from ``first`` to ``last``, in order; at least one."""
    start = datetime(first.year, first.month, first.day, tzinfo=UTC)
    begin, end = start - _BEFORE, datetime(last.year, last.month, last.day, tzinfo=UTC)
    found = list(_changes(zone, begin, end + timedelta(days=2)))
    early = [change for change in found if change.at.replace(tzinfo=UTC) < start]
    if early:
        return tuple(found[len(early) - 1 :])
    local = begin.astimezone(zone)
    offset = local.utcoffset() or timedelta()
    always = ClockChange(
        at=local.replace(tzinfo=None),
        before=offset,
        after=offset,
        name=local.tzname() or "",
        summer=bool(local.dst()),
    )
    return (always, *found)


def zone_lines(name: str, changes: tuple[ClockChange, ...]) -> Iterator[str]:
    """The lines of a VTIMEZONE, not folded."""
    yield "BEGIN:VTIMEZONE"
    yield f"TZID:{name}"
    for change in changes:
        kind = "DAYLIGHT" if change.summer else "STANDARD"
        yield f"BEGIN:{kind}"
        yield f"DTSTART:{change.at:%Y%m%dT%H%M%S}"
        yield f"TZOFFSETFROM:{_offset(change.before)}"
        yield f"TZOFFSETTO:{_offset(change.after)}"
        yield f"TZNAME:{change.name}"
        yield f"END:{kind}"
    yield "END:VTIMEZONE"


def _changes(zone: ZoneInfo, begin: datetime, end: datetime) -> Iterator[ClockChange]:
    """Each change of the offset between two moments in UTC, found by halving a day."""
    at = begin
    while at < end:
        later = at + timedelta(days=1)
        if _utc_offset(at, zone) != _utc_offset(later, zone):
            yield _change(zone, at, later)
        at = later


def _change(zone: ZoneInfo, old: datetime, new: datetime) -> ClockChange:
    before = _utc_offset(old, zone)
    while new - old > timedelta(seconds=1):
        middle = (old + (new - old) / 2).replace(microsecond=0)
        if _utc_offset(middle, zone) == before:
            old = middle
        else:
            new = middle
    local = new.astimezone(zone)
    return ClockChange(
        at=(new + before).replace(tzinfo=None),
        before=before,
        after=_utc_offset(new, zone),
        name=local.tzname() or "",
        summer=bool(local.dst()),
    )


def _utc_offset(moment: datetime, zone: ZoneInfo) -> timedelta:
    return moment.astimezone(zone).utcoffset() or timedelta()


def _offset(offset: timedelta) -> str:
    """As 3.3.14 has it: a sign, hours, minutes, and seconds only where there are some."""
    whole = round(offset.total_seconds())
    hours, rest = divmod(abs(whole), 3600)
    minutes, secs = divmod(rest, 60)
    sign = "-" if whole < 0 else "+"
    return f"{sign}{hours:02}{minutes:02}" + (f"{secs:02}" if secs else "")
