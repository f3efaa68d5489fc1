"""``reminders.ics``: the sessions of the week as recurring events, for any calendar.

Nothing about the patient is in it: the recording's title and its length, and no more.  The
first day is given by the clinician and no clock is read, so that the same inputs give the
same bytes.

Source: RFC 5545 (clauses beside the code that follows them).  The usual time is floating
(3.3.5, form 1): at ten where the patient is, in summer and in winter.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterator, Sequence
from datetime import UTC, date, datetime, time, timedelta
from typing import Final

from breathmark import __version__
from breathmark.deliver.one_line import one_line
from breathmark.deliver.record import Prescribed
from breathmark.deliver.zone_rules import clock_changes, zone_lines, zone_of
from breathmark.problems import InputProblems, Problem, UsageProblem
from breathmark.routine.model import Routine
from breathmark.script.words import words_of
from breathmark.units import counted, milliseconds, nearest

FILE_NAME: Final = "reminders.ics"

USUAL_TIMES: Final = {
    1: (time(10),),
    2: (time(10), time(17)),
    3: (time(9), time(14), time(19)),
    4: (time(8), time(12), time(16), time(20)),
}
"""When the sessions of a day begin where nobody says it, by their number (our own)."""

USUAL_WEEKS: Final = 4
"""How long there are reminders where nothing else is said: until a prescription is looked
at again (common practice)."""

MOST_WEEKS: Final = 52

_DAYS: Final = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
_SPREAD: Final = {
    2: ("TU", "FR"),
    3: ("MO", "WE", "FR"),
    4: ("MO", "TU", "TH", "FR"),
    5: ("MO", "TU", "WE", "TH", "FR"),
    6: ("MO", "TU", "WE", "TH", "FR", "SA"),
}
"""The days of a week for so many sessions, rest days between them where there are enough
(common practice)."""

_MOST_OCTETS: Final = 75  # 3.1: a line has no more, its end not counted


def reminders_ics(
    prescribed: Prescribed,
    *,
    start: date,
    at: Sequence[time] = (),
    weeks: int | None = None,
    zone: str | None = None,
    alarm: bool = True,
) -> str:
    """The calendar as text, its lines ending in CR LF.

    The sessions fall on the days that the routine's frequency comes to, from ``start`` on,
    for ``weeks`` weeks (1 to 52): when ``None``, until the routine's or the patient's next
    change, else :data:`USUAL_WEEKS`. ``at`` is when each of a day's sessions begins, as
    many as the frequency names, where it does; when empty, such as :data:`USUAL_TIMES`.
    ``zone`` is a name such as ``Europe/Berlin``; ``None`` leaves the time floating.
    ``alarm`` adds a reminder at the session's beginning.

    Raises :class:`~breathmark.problems.InputProblems` when the routine's frequency names
    no days a week or other times a day, :class:`~breathmark.problems.UsageProblem` for the rest.
    """
    days = session_days(prescribed.routine, start)
    lasting = weeks_of(prescribed) if weeks is None else weeks
    _require(start, lasting)
    begins = _times_of_day(prescribed.routine, at)
    dates = [
        start + timedelta(days=number)
        for number in range(7 * lasting)
        if _DAYS[(start + timedelta(days=number)).weekday()] in days
    ]
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        f"PRODID:-//Breathmark//Breathmark {__version__}//EN",
    ]
    if zone is not None:
        lines += zone_lines(zone, clock_changes(zone_of(zone), dates[0], dates[-1]))
    for begin in begins:
        lines += _event(prescribed, days, (dates[0], dates[-1]), begin, zone, alarm=alarm)
    lines.append("END:VCALENDAR")
    return "".join(f"{_folded(line)}\r\n" for line in lines)


def session_days(routine: Routine, start: date) -> tuple[str, ...]:
    """The days of the week with a session, as RFC 5545 names them; all seven when daily.

    A session once a week falls on the weekday of ``start``.  Raises
    :class:`~breathmark.problems.InputProblems` when the frequency does not say how many.
    """
    number = routine.days_a_week
    if not number:
        raise InputProblems(
            [
                Problem(
                    rule="reminders-frequency",
                    message="reminders need to know on how many days a week the session is done",
                    place=routine.place("frequency"),
                    remedy="Write for example `frequency: 5 days a week`, or leave --from away.",
                )
            ]
        )
    if number == 1:
        return (_DAYS[start.weekday()],)
    return _SPREAD.get(number, _DAYS)


def _times_of_day(routine: Routine, at: Sequence[time]) -> Sequence[time]:
    """When a day's sessions begin: as often as the frequency names, where it names that."""
    times = sorted(set(at)) or _spread(routine.times_a_day)
    if routine.times_a_day in (1, len(times)):
        return times
    shown = " ".join(f"--at {one:%H:%M}" for one in _spread(routine.times_a_day))
    raise InputProblems(
        [
            Problem(
                rule="reminders-times",
                message=f"the session is done {counted(routine.times_a_day, 'time')} a day, and"
                f" the calendar has {counted(len(times), 'time')} of day",
                place=routine.place("frequency"),
                remedy=f"Write for example {shown}, or change `frequency`.",
            )
        ]
    )


def _spread(number: int) -> Sequence[time]:
    """So many usual times; more than four from seven in the morning to nine in the evening."""
    if number in USUAL_TIMES:
        return USUAL_TIMES[number]
    step = 14 * 60 // (number - 1)
    return [time(*divmod(7 * 60 + step * at, 60)) for at in range(number)]


def weeks_of(prescribed: Prescribed) -> int:
    """How many weeks this recording is for: until the next week that changes something."""
    patient = prescribed.patient
    planned = (*prescribed.routine.weeks, *(patient.weeks if patient else ()))
    later = [one.from_week for one in planned if one.from_week > prescribed.week]
    return min([one - prescribed.week for one in later] or [USUAL_WEEKS])


def _require(start: date, weeks: int) -> None:
    if not 1 <= weeks <= MOST_WEEKS:
        raise UsageProblem(f"reminders are for 1 to {MOST_WEEKS} weeks, not {weeks}.")
    if not 2000 <= start.year < 2200:
        raise UsageProblem(f"reminders cannot begin on {start}: write a day such as 2026-12-01.")


def _event(
    prescribed: Prescribed,
    days: tuple[str, ...],
    between: tuple[date, date],
    begin: time,
    zone: str | None,
    *,
    alarm: bool,
) -> Iterator[str]:
    session, words = prescribed.session, words_of(prescribed.session.language)
    title = one_line(session.title)
    length_ms = milliseconds(session.length, session.rate_hz)
    minutes = max(1, nearest(length_ms, 60_000))  # as the recording and the papers say it
    first, last = (datetime.combine(day, begin.replace(second=0, microsecond=0)) for day in between)
    key = "paper session" if length_ms == minutes * 60_000 else "paper session about"
    lasts = words.say(key, time=words.say("minutes", n=minutes))
    about = words.say("reminder about", title=title, time=lasts)
    when = f";TZID={zone}" if zone else ""
    yield "BEGIN:VEVENT"
    yield f"UID:{_uid(prescribed, first, last, zone)}"
    # 3.8.7.2 wants a moment in UTC; it is fixed by the first day, as no clock is read.
    yield f"DTSTAMP:{first:%Y%m%d}T000000Z"
    yield f"DTSTART{when}:{_local(first)}"
    yield f"DURATION:PT{-(-length_ms // 60_000)}M"
    yield f"RRULE:{_rule(days)};UNTIL={_until(last, zone)}"
    yield f"SUMMARY:{_escaped(title)}"
    yield f"DESCRIPTION:{_escaped(about)}"
    yield "CLASS:PRIVATE"
    yield "TRANSP:TRANSPARENT"  # 3.8.2.7: the time is not blocked for others
    if alarm:
        yield "BEGIN:VALARM"
        yield "ACTION:DISPLAY"
        yield "TRIGGER:PT0S"
        yield f"DESCRIPTION:{_escaped(words.say('reminder now', title=title))}"
        yield "END:VALARM"
    yield "END:VEVENT"


def _rule(days: tuple[str, ...]) -> str:
    return "FREQ=DAILY" if days == _DAYS else f"FREQ=WEEKLY;BYDAY={','.join(days)}"


def _until(last: datetime, zone: str | None) -> str:
    """The last session's beginning: floating like the first, or in UTC (3.3.10)."""
    if zone is None:
        return _local(last)
    return f"{_local(last.replace(tzinfo=zone_of(zone)).astimezone(UTC))}Z"


def _uid(prescribed: Prescribed, first: datetime, last: datetime, zone: str | None) -> str:
    """The same for the same reminders, so that a calendar that has them replaces them."""
    parts = (prescribed.routine.sha256, prescribed.session.title, first, last, zone)
    return str(uuid.uuid5(uuid.NAMESPACE_OID, "\n".join(map(str, ("Breathmark", *parts)))))


def _local(moment: datetime) -> str:
    return f"{moment:%Y%m%dT%H%M%S}"


def _escaped(text: str) -> str:
    """3.3.11: these are the characters that a text may not hold as they are."""
    for char in "\\;,":
        text = text.replace(char, f"\\{char}")
    return text


def _folded(line: str) -> str:
    """3.1: a long line goes on behind a line end and a space; no letter is taken apart."""
    rows, octets = [""], 0
    for char in line:
        size = len(char.encode())
        if octets + size > _MOST_OCTETS:
            rows.append(" ")
            octets = 1
        rows[-1] += char
        octets += size
    return "\r\n".join(rows)
