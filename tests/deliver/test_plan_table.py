"""The schedule: nothing of the session missing, nothing that a page cannot show."""

from __future__ import annotations

import dataclasses
import re

import pytest

from breathmark.deliver.plan_table import Row, schedule_rows, schedule_text
from breathmark.script.session import (
    Activity,
    Breath,
    Breathed,
    Purpose,
    Session,
    Sounded,
    Spoken,
)
from tests.plan_sessions import RATE_HZ, Sketch, at, many_exercises, one_exercise, twelve_minutes

SESSIONS = [twelve_minutes(), one_exercise(), many_exercises()]
each_session = pytest.mark.parametrize("session", SESSIONS, ids=lambda s: s.title)
both_forms = pytest.mark.parametrize("full", [False, True], ids=["usual", "full"])


@each_session
@both_forms
def test_rows_account_for_every_sample(session: Session, full: bool) -> None:
    expected = 0
    for row in schedule_rows(session, full=full):
        assert row.start == expected
        assert row.length > 0
        expected = row.end
    assert expected == session.length


@each_session
@both_forms
def test_rows_of_a_span_add_up_to_it(session: Session, full: bool) -> None:
    sums: dict[tuple[int, int], int] = {}
    for row in schedule_rows(session, full=full):
        sums[row.chapter, row.span] = sums.get((row.chapter, row.span), 0) + row.length
    for number, block in enumerate(session.blocks):
        for index, span in enumerate(block.spans):
            assert sums[number, index] == span.length


@each_session
def test_full_rows_show_every_event_at_its_sample(session: Session) -> None:
    heard: dict[int, str] = {row.start: row.heard for row in schedule_rows(session, full=True)}
    for event in session.events:
        match event:
            case Spoken():
                assert f"“{event.text}”" in heard[event.start]
            case Sounded():
                assert f"{event.tone} tone" in heard[event.start]
            case Breathed():
                assert f"({event.direction})" in heard[event.start]


@each_session
def test_every_line_but_the_paced_ones_is_in_the_usual_form(session: Session) -> None:
    told = " ".join(row.heard for row in schedule_rows(session))
    for line in session.spoken:
        if line.purpose is not Purpose.COUNT:
            assert f"“{line.text}”" in told


def rows_of(session: Session, title: str) -> list[Row]:
    number = [block.title for block in session.blocks].index(title)
    return [row for row in schedule_rows(session) if row.chapter == number]


def test_counts_are_told_once_with_their_spacing() -> None:
    heard = [row.heard for row in rows_of(twelve_minutes(), "Sit to stand")]
    assert "start tone, 8 counts, 1 to “Last one.”, one every 7 s" in heard


def test_silence_after_counts_runs_from_the_last_one() -> None:
    row = next(r for r in rows_of(twelve_minutes(), "Sit to stand") if "counts" in r.heard)
    last = next(e for e in twelve_minutes().spoken if e.text == "Last one.")
    assert row.quiet == row.end - last.end == at(7 - 0.84)


def test_missing_count_shows_in_number_and_spacing() -> None:
    session = twelve_minutes()
    gone = next(e for e in session.events if isinstance(e, Spoken) and e.text == "4.")
    events = tuple(event for event in session.events if event is not gone)
    heard = [
        row.heard for row in rows_of(dataclasses.replace(session, events=events), "Sit to stand")
    ]
    assert "start tone, 7 counts, 1 to “Last one.”, one every 6.6 s to 14 s" in heard


def test_two_counts_are_told_by_their_distance() -> None:
    sketch = Sketch()
    sketch.say(0, "1.", Purpose.COUNT)
    sketch.say(3.6, "2.", Purpose.COUNT)
    sketch.span(20, Activity.WORK, "Squeeze")
    sketch.chapter("Squeeze")
    (row,) = schedule_rows(sketch.finished("Two counts"))
    assert row.heard == "2 counts, 1 to 2, 3.6 s apart"


def test_a_second_series_of_counts_is_told_apart() -> None:
    sketch = Sketch()
    for index, word in enumerate(("1.", "2.", "3.", "1.", "2.", "3.")):
        sketch.say(index * 2, word, Purpose.COUNT)
    sketch.span(20, Activity.WORK, "Squeeze")
    sketch.chapter("Squeeze")
    heard = [row.heard for row in schedule_rows(sketch.finished("Two series"))]
    assert heard == ["3 counts, 1 to 3, one every 2 s"] * 2


def test_breathing_sound_and_calls_are_told_once() -> None:
    heard = [row.heard for row in rows_of(twelve_minutes(), "Slow breathing")]
    assert heard[2] == (
        "start tone, breathing sound, 9 breaths: in 4 s, out 6 s, "
        "“Breathe in.” 3 times; “Breathe out.” 3 times"
    )


@pytest.mark.parametrize(
    ("hold_in_s", "hold_out_s", "told"),
    [
        (2, 0, "2 breaths: in 4 s, hold 2 s, out 6 s"),
        (0, 3, "2 breaths: in 4 s, out 6 s, hold 3 s"),
        (1.5, 1, "2 breaths: in 4 s, hold 1.5 s, out 6 s, hold 1 s"),
    ],
)
def test_held_breaths_are_told(hold_in_s: float, hold_out_s: float, told: str) -> None:
    """Each hold stands where it comes in the breath."""
    sketch = Sketch()
    length_s = 4 + hold_in_s + 6 + hold_out_s
    for start_s in (0, length_s):
        sketch.breathe(start_s, 4, Breath.IN)
        sketch.breathe(start_s + 4 + hold_in_s, 6, Breath.OUT)
    sketch.span(2 * length_s, Activity.WORK, "2 slow breaths")
    sketch.chapter("Slow breathing")
    (row, *_) = schedule_rows(sketch.finished("Held"))
    assert told in row.heard


def test_countdown_is_one_row_that_starts_with_its_first_tone() -> None:
    row = next(r for r in schedule_rows(twelve_minutes()) if "countdown" in r.heard)
    assert row.heard == "3 countdown tones, one every 1 s"
    assert row.start == at(45 + 38 + 27)
    assert (row.side, row.set_number, row.sets) == ("left", 1, 2)


def test_silence_is_counted_from_the_end_of_the_last_sound() -> None:
    sketch = Sketch()
    sketch.say(0, "Listen.", Purpose.OPENING)
    sketch.span(0.5, Activity.OPENING, "Listen")
    sketch.span(9.5, Activity.REST, "Wait")
    sketch.chapter("Opening")
    session = sketch.finished("Silence")
    spoken = session.spoken[0]
    first, second = schedule_rows(session)
    assert spoken.end == at(0.72)
    assert (first.quiet, second.quiet) == (0, at(10) - spoken.end)
    assert "quiet for 9.3 s" in schedule_text(session)


def test_twelve_minutes_read_as_expected() -> None:
    text = schedule_text(twelve_minutes(), width=90)
    assert text.startswith("Steady on your feet\n12:00 long, 7 chapters, voice calm, language en\n")
    head = "5. Standing hip abduction" + " " * 30 + " starts 6:34, lasts 2:02, work 1:12\n"
    assert head + "-" * 90 + "\n 6:34  “Next, standing hip abduction.”" in text
    for line in (
        "8 repetitions, 36 s       left",
        "8 repetitions, 36 s       right",
        "Change sides, 13 s",
        "left, set 1 of 2",
        "Work               5:38  left 1:36, right 1:36, both sides 2:26",
        "Rest               2:29",
        "Getting ready      1:42",
        "Opening, closing   2:11",
        "Length            12:00",
        "in 61 lines",
        "- Rests between exercises were lengthened by 3 s each to reach 12 min.",
        "- Standing calf stretch: “Toes point at the cupboard.” found no room in set 2",
    ):
        assert line in text


@each_session
@both_forms
@pytest.mark.parametrize("width", [10, 60, 80, 100, 120, 200])
def test_no_line_is_wider_than_asked_nor_ends_in_spaces(
    session: Session, full: bool, width: int
) -> None:
    for line in schedule_text(session, width=width, full=full).splitlines():
        assert len(line) <= max(60, width)
        assert line == line.rstrip()


def test_shown_parts_add_up_to_the_shown_length_when_times_are_odd() -> None:
    sketch = Sketch()
    for length, activity in (
        (1.04, Activity.OPENING),
        (1.04, Activity.WORK),
        (1.04, Activity.REST),
    ):
        sketch.span(length, activity, "x")
    sketch.chapter("Odd")
    lines = schedule_text(sketch.finished("Odd")).splitlines()
    sums = [line.split()[-1] for line in lines if re.match(r"(Work|Length) ", line)]
    parts = [line for line in lines if re.match(r"(Work|Rest|Getting ready|Opening,)", line)]
    tenths = [round(10 * float(re.findall(r"0:(\d\d\.\d)", line)[0])) for line in parts]
    assert sums[-1] == "0:03.1"
    assert sum(tenths) == 31


def test_nothing_in_it_can_move_a_cursor_or_a_column() -> None:
    sketch = Sketch(voice="ca\x1b[2Jlm")
    sketch.say(0, "One\r\ntwo\tthree\u202e.", Purpose.OPENING)
    sketch.span(30, Activity.WORK, "Do\x07 this")
    sketch.chapter("Na\x1b[31mme\u2028x")
    text = schedule_text(sketch.finished("Ti\x9btle"))
    assert not [c for c in text if c != "\n" and (ord(c) < 32 or 127 <= ord(c) < 160)]
    assert "\u202e" not in text
    assert "\u2028" not in text
    assert "“One two three.”" in text


def test_own_signs_exist_in_the_windows_code_page() -> None:
    schedule_text(twelve_minutes(), full=True).encode("cp1252")


def test_very_long_names_wrap() -> None:
    text = schedule_text(many_exercises(), width=80)
    assert "long on a rolled towel" in " ".join(text.split())


def test_longer_than_an_hour_has_hours_on_the_clock() -> None:
    session = many_exercises(32, end_s=3901)
    assert session.length == 3901 * RATE_HZ
    text = schedule_text(session)
    assert "1:05:01 long, 34 chapters" in text
    assert "\n1:02:" in text
