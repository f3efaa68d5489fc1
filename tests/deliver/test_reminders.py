"""The reminders: read and expanded by libraries that had no part in writing them."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import icalendar
import pytest
import recurring_ical_events
from hypothesis import given
from hypothesis import strategies as st

from breathmark.deliver.record import Prescribed
from breathmark.deliver.reminders import reminders_ics, session_days, weeks_of
from breathmark.problems import InputProblems, UsageProblem
from breathmark.routine.model import Week
from tests.deliver.handed import prescribed
from tests.plan_sessions import one_exercise

BERLIN, NEW_YORK = "Europe/Berlin", "America/New_York"


def read(text: str) -> Any:
    """The calendar as icalendar reads it, nothing wrong in it."""
    calendar = icalendar.Calendar.from_ical(text)
    assert [error for part in calendar.walk() for error in part.errors] == []
    return calendar


def begins(text: str) -> list[datetime]:
    """When each session begins, as recurring-ical-events works it out."""
    events = recurring_ical_events.of(read(text)).between((2025, 1, 1), (2029, 1, 1))
    found: list[datetime] = sorted(event["DTSTART"].dt for event in events)
    return found


def on(days: Sequence[str], at: time) -> list[datetime]:
    """Dates written by hand with a time."""
    return [datetime.combine(date.fromisoformat(day), at) for day in days]


def test_the_week_as_a_person_would_write_it_down() -> None:
    """Three days a week for two weeks from a Tuesday: the days by hand from a calendar."""
    text = reminders_ics(
        prescribed(frequency="3 days a week"), start=date(2026, 12, 1), at=[time(9, 30)], weeks=2
    )
    expected = ["2026-12-02", "2026-12-04", "2026-12-07", "2026-12-09", "2026-12-11", "2026-12-14"]
    assert begins(text) == on(expected, time(9, 30))


@pytest.mark.parametrize(
    ("frequency", "days"),
    [
        ("once a week", "TU"),
        ("2 days a week", "TU FR"),
        ("3 times a week", "MO WE FR"),
        ("4 days a week", "MO TU TH FR"),
        ("5 days a week", "MO TU WE TH FR"),
        ("six days a week", "MO TU WE TH FR SA"),
        ("daily", "MO TU WE TH FR SA SU"),
        ("every day", "MO TU WE TH FR SA SU"),
        ("9 times a week", "MO TU WE TH FR SA SU"),
    ],
)
def test_the_days_of_a_frequency(frequency: str, days: str) -> None:
    start = date(2026, 12, 1)  # a Tuesday
    case = prescribed(frequency=frequency)
    assert session_days(case.routine, start) == tuple(days.split())
    found = begins(reminders_ics(case, start=start, weeks=3))
    assert len(found) == 3 * len(days.split())
    names = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
    assert {names[one.weekday()] for one in found} == set(days.split())
    assert date(2026, 12, 1) <= found[0].date() <= found[-1].date() <= date(2026, 12, 21)


# The days the clock changes, from the zones' own laws: Berlin 2026-10-25 and 2027-03-28,
# New York 2026-11-01 and 2027-03-14.
@pytest.mark.parametrize(
    ("zone", "start", "utc_before", "utc_after"),
    [
        (BERLIN, date(2026, 10, 20), 7, 8),
        (BERLIN, date(2027, 3, 23), 8, 7),
        (NEW_YORK, date(2026, 10, 27), 13, 14),
        (NEW_YORK, date(2027, 3, 9), 14, 13),
    ],
)
def test_nine_stays_nine_when_the_clock_changes(
    zone: str, start: date, utc_before: int, utc_after: int
) -> None:
    """In the clinic's zone each day at nine there; in UTC it moves by the hour."""
    text = reminders_ics(
        prescribed(frequency="daily"), start=start, at=[time(9)], weeks=2, zone=zone
    )
    found = begins(text)
    assert [one.date() for one in found] == [start + timedelta(days=day) for day in range(14)]
    assert {one.time() for one in found} == {time(9)}
    hours = [one.astimezone(UTC).hour for one in found]
    change = {BERLIN: (5, 5), NEW_YORK: (5, 5)}[zone][0]
    assert hours == [utc_before] * change + [utc_after] * (14 - change)


@pytest.mark.parametrize("start", [date(2026, 10, 20), date(2027, 3, 23)])
def test_floating_time_is_the_patients_own(start: date) -> None:
    """Without a zone nothing about one is said, and the clock's change changes nothing."""
    text = reminders_ics(prescribed(frequency="daily"), start=start, at=[time(9)], weeks=2)
    assert "TZ" not in text
    found = begins(text)
    assert found == [datetime.combine(start, time(9)) + timedelta(days=day) for day in range(14)]
    assert {one.tzinfo for one in found} == {None}


def test_the_changes_of_the_clock_are_written_as_the_standard_has_them() -> None:
    """RFC 5545, 3.6.5: the local time before the change, the offsets before and after.

    European law: last Sunday in March and October at 01:00 UTC.  The second change falls
    on the last day of the week that is asked for.
    """
    text = reminders_ics(
        prescribed(frequency="daily"), start=date(2026, 10, 19), weeks=1, zone=BERLIN
    )
    zone = text[text.index("BEGIN:VTIMEZONE") : text.index("BEGIN:VEVENT")].split("\r\n")
    assert zone[2:7] == [
        *("BEGIN:DAYLIGHT", "DTSTART:20260329T020000", "TZOFFSETFROM:+0100"),
        *("TZOFFSETTO:+0200", "TZNAME:CEST"),
    ]
    assert zone[8:13] == [
        *("BEGIN:STANDARD", "DTSTART:20261025T030000", "TZOFFSETFROM:+0200"),
        *("TZOFFSETTO:+0100", "TZNAME:CET"),
    ]


@pytest.mark.parametrize(
    "zone",
    [BERLIN, NEW_YORK, "UTC", "Asia/Kolkata", "Australia/Lord_Howe", "Africa/Casablanca",
     "America/Sao_Paulo", "Pacific/Apia", "Europe/Dublin"],
)  # fmt: skip
def test_the_zone_written_is_the_zone_meant(zone: str) -> None:
    """The zone that icalendar makes from our lines alone shows the same clock all year."""
    text = reminders_ics(prescribed(), start=date(2026, 3, 2), weeks=52, zone=zone)
    (written,) = read(text).walk("VTIMEZONE")
    ours = written.to_tz(lookup_tzid=False)
    law = ZoneInfo(zone)
    for hour in range(0, 24 * 363, 5):
        local = datetime(2026, 3, 2, 12) + timedelta(hours=hour)
        there = local.replace(tzinfo=law)
        if there.astimezone(UTC).astimezone(law).replace(tzinfo=None) != local:
            continue  # no clock ever shows this time
        if there.utcoffset() != there.replace(fold=1).utcoffset():
            continue  # or shows it twice
        assert local.replace(tzinfo=ours).utcoffset() == there.utcoffset(), local


def test_it_says_how_long_and_what_and_nothing_else() -> None:
    """Its minutes are those that the recording says; private, free time, a reminder."""
    short = prescribed(one_exercise(end_s=181), title="Stronger ankles; both, C:\\new Füße")
    calendar = read(reminders_ics(short, start=date(2026, 12, 1)))
    (event,) = calendar.walk("VEVENT")
    assert event["SUMMARY"] == "Stronger ankles; both, C:\\new Füße"
    assert event["DURATION"].dt == timedelta(minutes=4)
    assert event["DESCRIPTION"] == (
        "Play your recording, “Stronger ankles; both, C:\\new Füße”. "
        "This session takes about 3 minutes."
    )
    assert (event["CLASS"], event["TRANSP"]) == ("PRIVATE", "TRANSPARENT")
    (alarm,) = event.walk("VALARM")
    assert (alarm["ACTION"], alarm["TRIGGER"].dt) == ("DISPLAY", timedelta(0))
    assert set(event) == {
        *("UID", "DTSTAMP", "DTSTART", "DURATION", "RRULE", "SUMMARY", "DESCRIPTION"),
        *("CLASS", "TRANSP"),
    }
    assert not read(reminders_ics(short, start=date(2026, 12, 1), alarm=False)).walk("VALARM")


def test_several_times_a_day_are_several_series() -> None:
    """Each with an identity of its own, the same in every build."""
    case = prescribed(frequency="twice a day")
    text = reminders_ics(case, start=date(2026, 12, 1), at=[time(18), time(9), time(9)], weeks=1)
    found = begins(text)
    assert len(found) == 14
    assert {one.time() for one in found} == {time(9), time(18)}
    uids = {event["UID"] for event in read(text).walk("VEVENT")}
    assert len(uids) == 2
    again = reminders_ics(case, start=date(2026, 12, 1), at=[time(18), time(9)], weeks=1)
    assert again == text


@pytest.mark.parametrize(
    ("frequency", "times"), [("daily", 1), ("twice daily", 2), ("3 times a day", 3), ("6x/day", 6)]
)
def test_a_day_has_as_many_sessions_as_the_frequency_says(frequency: str, times: int) -> None:
    """Where the command names no time of day, the day's sessions are spread over it."""
    found = begins(reminders_ics(prescribed(frequency=frequency), start=date(2026, 12, 1), weeks=1))
    assert len(found) == 7 * times
    assert len({one.time() for one in found}) == times


@pytest.mark.parametrize("times", [3, 6])
def test_other_times_than_the_frequency_says_are_refused(times: int) -> None:
    """One time of day for several sessions. The remedy works."""
    case = prescribed(frequency=f"{times} times a day")
    with pytest.raises(InputProblems, match=f"{times} times a day") as refused:
        reminders_ics(case, start=date(2026, 12, 1), at=[time(9)])
    remedy = refused.value.problems[0].remedy
    told = [time.fromisoformat(word) for word in re.findall(r"--at (\d\d:\d\d)", remedy)]
    found = begins(reminders_ics(case, start=date(2026, 12, 1), at=told, weeks=1))
    assert len(found) == 7 * times


def test_lines_are_as_the_standard_wants_them() -> None:
    """RFC 5545, 3.1: CR LF, 75 octets at most, no letter taken apart."""
    title = "腕を上げる " * 20 + "a,b;c\\d " * 9 + "🦶" * 40
    text = reminders_ics(prescribed(title=title), start=date(2026, 12, 1), zone=BERLIN)
    lines = text.encode().split(b"\r\n")
    assert lines[-1] == b""
    assert not any(b"\n" in line or b"\r" in line for line in lines)
    assert max(map(len, lines)) == 75
    assert [line.decode() for line in lines]  # each is whole letters
    assert read(text).walk("VEVENT")[0]["SUMMARY"] == title.strip()


@pytest.mark.parametrize("title", ["A\r\nATTENDEE:mailto:a@b.c", "A\nEND:VEVENT", "A\u2028B\x00"])
def test_no_title_can_become_a_property(title: str) -> None:
    (event,) = read(reminders_ics(prescribed(title=title), start=date(2026, 12, 1))).walk("VEVENT")
    assert "ATTENDEE" not in event
    assert event["SUMMARY"] == " ".join(title.replace("\x00", " ").split())


def with_weeks(case: Prescribed, *weeks: int) -> Prescribed:
    """The same with changes from these weeks on."""
    planned = tuple(Week(from_week=week, path="weeks") for week in weeks)
    return dataclasses.replace(case, routine=dataclasses.replace(case.routine, weeks=planned))


@pytest.mark.parametrize(
    ("weeks", "week", "lasting"), [((), 1, 4), ((3, 5), 1, 2), ((3, 5), 3, 2), ((3, 5), 5, 4)]
)
def test_a_recording_is_for_the_weeks_until_the_next_change(
    weeks: tuple[int, ...], week: int, lasting: int
) -> None:
    case = dataclasses.replace(with_weeks(prescribed(), *weeks), week=week)
    assert weeks_of(case) == lasting
    assert len(begins(reminders_ics(case, start=date(2026, 12, 1)))) == 5 * lasting


def test_what_cannot_be_is_said() -> None:
    """An unclear frequency has its place; the rest is the command's."""
    with pytest.raises(InputProblems, match="5 days a week"):
        reminders_ics(prescribed(frequency="every other day"), start=date(2026, 12, 1))
    for wrong, said in (
        ({"weeks": 0}, "1 to 52"),
        ({"weeks": 53}, "1 to 52"),
        ({"start": date(1, 1, 1)}, "2026-12-01"),
        ({"zone": "Europe/Berln"}, "Europe/Berlin"),
        ({"zone": "../etc/passwd"}, "no time zone"),
        ({"zone": ""}, "no time zone"),
    ):
        options: dict[str, Any] = {"start": date(2026, 12, 1), **wrong}
        with pytest.raises(UsageProblem, match=said):
            reminders_ics(prescribed(), **options)


@given(
    start=st.dates(min_value=date(2025, 1, 1), max_value=date(2028, 6, 1)),
    days=st.integers(min_value=1, max_value=7),
    weeks=st.integers(min_value=1, max_value=12),
    zone=st.sampled_from([None, BERLIN, NEW_YORK]),
    at=st.times(min_value=time(5), max_value=time(23)),
)
def test_every_week_has_its_sessions(
    start: date, days: int, weeks: int, zone: str | None, at: time
) -> None:
    """As many as the frequency says, none before the first day, none after the last week."""
    case = prescribed(frequency=f"{days} days a week")
    found = begins(reminders_ics(case, start=start, weeks=weeks, zone=zone, at=[at]))
    assert len(found) == days * weeks
    for week in range(weeks):
        first = start + timedelta(days=7 * week)
        inside = [one for one in found if first <= one.date() < first + timedelta(days=7)]
        assert len(inside) == days
    assert {(one.hour, one.minute) for one in found} == {(at.hour, at.minute)}
