"""Captions say every word at its time, and show deaf listeners what else there is to hear."""

from __future__ import annotations

import html
import itertools
from collections.abc import Sequence

import pytest
import webvtt
from hypothesis import given
from hypothesis import strategies as st

from breathmark.deliver.captions import captions_text, captions_vtt
from breathmark.routine.model import Side
from breathmark.script.session import (
    Activity,
    Block,
    Breath,
    Breathed,
    Event,
    Purpose,
    Session,
    Sounded,
    Span,
    Spoken,
    Tone,
)
from tests.plan_sessions import twelve_minutes

RATE_HZ = 24_000


def at(at_ms: int) -> int:
    return at_ms * RATE_HZ // 1000


def said(start_ms: int, end_ms: int, text: str) -> Spoken:
    start, length = at(start_ms), at(end_ms - start_ms)
    return Spoken(start=start, length=length, text=text, voice="calm", purpose=Purpose.CUE)


def tone(start_ms: int, kind: Tone, length_ms: int = 100) -> Sounded:
    return Sounded(start=at(start_ms), length=at(length_ms), tone=kind)


def session(length_ms: int, *events: Event, title: str = "T", side: Side | None = None) -> Session:
    """One block with one span of work, in which `events` happen."""
    length = at(length_ms)
    span = Span(start=0, length=length, activity=Activity.WORK, doing="hold 30 s", side=side)
    block = Block(start=0, length=length, title="Calf", spans=(span,))
    return Session(
        title=title, language="en", voice="calm", rate_hz=RATE_HZ, length=length,
        blocks=(block,), events=events,
    )  # fmt: skip


def read(text: str) -> list[tuple[str, str, str]]:
    """Start, end and text of the cues, as webvtt-py reads them."""
    return [
        (c.start[3:], c.end[3:], html.unescape(c.text).replace("\u00a0", " "))
        for c in webvtt.from_string(text).captions
    ]


def milliseconds(clock: str) -> int:
    minutes, seconds = clock.split(":")
    return int(minutes) * 60_000 + int(seconds.replace(".", ""))


def test_lines_tones_and_quiet_stretches_each_have_a_cue() -> None:
    plan = session(
        40_000,
        tone(1_000, Tone.START),
        said(5_000, 7_250, "Back heel heavy on the floor."),
        tone(16_000, Tone.HALFWAY, 300),
        said(16_500, 17_250, "Halfway."),
        *(tone(ms, Tone.COUNTDOWN, 60) for ms in (28_000, 29_000, 30_000)),
        tone(31_000, Tone.END, 600),
        side=Side.LEFT,
    )
    assert read(captions_vtt(plan)) == [
        ("00:01.000", "00:02.500", "[start tone]"),
        ("00:05.000", "00:07.250", "Back heel heavy on the floor."),
        ("00:07.250", "00:16.000", "[hold 30 s, left side]"),
        ("00:16.000", "00:16.500", "[halfway tone]"),
        ("00:16.500", "00:17.250", "Halfway."),
        ("00:17.250", "00:28.000", "[hold 30 s, left side]"),
        ("00:28.000", "00:29.000", "[3]"),
        ("00:29.000", "00:30.000", "[2]"),
        ("00:30.000", "00:31.000", "[1]"),
        ("00:31.000", "00:32.500", "[end tone]"),
        ("00:32.500", "00:40.000", "[hold 30 s, left side]"),
    ]


def test_two_countdowns_are_counted_apart() -> None:
    plan = session(20_000, *(tone(ms, Tone.COUNTDOWN, 60) for ms in (1_000, 2_000, 9_000, 10_000)))
    shown = [text for _, _, text in read(captions_vtt(plan)) if text != "[hold 30 s]"]
    assert shown == ["[2]", "[1]", "[2]", "[1]"]


def test_the_breathing_sound_is_shown_where_nothing_is_said() -> None:
    plan = session(
        10_000,
        Breathed(start=0, length=at(4_000), direction=Breath.IN),
        said(400, 1_400, "Breathe in."),
        Breathed(start=at(4_000), length=at(6_000), direction=Breath.OUT),
    )
    assert read(captions_vtt(plan)) == [
        ("00:00.400", "00:01.400", "Breathe in."),
        ("00:01.400", "00:04.000", "[breathe in]"),
        ("00:04.000", "00:10.000", "[breathe out]"),
    ]


def test_a_long_line_becomes_cues_that_fill_its_time() -> None:
    """Four rows are two and two; a sentence stays whole if it can."""
    line = (
        "Face the counter with both hands on it. Slide your left foot straight back, and keep"
        " that knee straight. Toes point at the cupboard, and the back heel stays heavy on the"
        " floor for the whole time."
    )
    cues = read(captions_vtt(session(20_000, said(1_000, 13_000, line))))[:-1]
    assert [text for _, _, text in cues] == [
        "Face the counter with both hands on it.\n"
        "Slide your left foot straight back, and\n"
        "keep that knee straight.",
        "Toes point at the cupboard, and the back\n"
        "heel stays heavy on the floor for the\n"
        "whole time.",
    ]  # fmt: skip
    assert cues[0][0] == "00:01.000"
    assert cues[0][1] == cues[1][0]
    assert cues[1][1] == "00:13.000"


def test_signs_of_the_format_are_only_text() -> None:
    plan = session(3_000, said(0, 3_000, "a <b> & c --> d &lt;"), title="x --> & <y>")
    text = captions_vtt(plan)
    assert read(text) == [("00:00.000", "00:03.000", "a <b> & c --> d &lt;")]
    assert text.count("-->") == 1
    assert "Title: x --&gt; &amp; &lt;y&gt;\nLanguage: en\n" in text


def test_times_past_an_hour() -> None:
    plan = session(3_700_000, said(3_661_001, 3_662_000, "Well done."))
    assert "\n01:01:01.001 --> 01:01:02.000\nWell done.\n" in captions_vtt(plan)
    assert "[61:01.00]Well done.\n" in captions_text(plan)


def test_the_lyrics_hold_the_words_and_the_marking_tones() -> None:
    plan = session(
        9_000,
        tone(500, Tone.START),
        said(1_000, 2_000, "Hold\nstill."),
        tone(4_000, Tone.COUNTDOWN),
        tone(5_000, Tone.END),
    )
    assert (
        captions_text(plan)
        == "[00:00.50](start tone)\n[00:01.00]Hold still.\n[00:05.00](end tone)\n"
    )


def test_a_whole_session_is_captioned_in_order() -> None:
    plan = twelve_minutes()
    cues = read(captions_vtt(plan))
    check_order(cues, plan)
    check_words(cues, plan)
    dark = [
        b for a, b in itertools.pairwise(cues) if milliseconds(b[0]) - milliseconds(a[1]) > 5_000
    ]
    assert not dark, "a listener who only reads is left without a word"


def check_order(cues: Sequence[tuple[str, str, str]], plan: Session) -> None:
    """Cues never overlap, each lasts, and all lie inside the session."""
    edges = [milliseconds(edge) for start, end, _ in cues for edge in (start, end)]
    assert edges == sorted(edges)
    assert all(milliseconds(start) < milliseconds(end) for start, end, _ in cues)
    assert not edges or edges[-1] * RATE_HZ <= plan.length * 1000
    assert all(text.strip() and len(text.split("\n")) <= 3 for _, _, text in cues)


def check_words(cues: Sequence[tuple[str, str, str]], plan: Session) -> None:
    """Cues within a line's time say that line, from its first millisecond to its last."""
    for line in plan.spoken:
        start_ms, end_ms = round(line.start / 24), round(line.end / 24)
        during = [c for c in cues if start_ms <= milliseconds(c[0]) < end_ms]
        assert milliseconds(during[0][0]) == start_ms
        assert milliseconds(during[-1][1]) == end_ms
        assert " ".join(text for _, _, text in during).split() == line.text.split()


words = st.text(
    st.characters(codec="utf-8", exclude_categories=("C", "Z")), min_size=1, max_size=30
)
texts = st.one_of(
    st.lists(words, min_size=1, max_size=60).map(" ".join),
    st.sampled_from(["--> -->", "<v Anna>", "&nbsp;", "NOTE", "WEBVTT", "1", "00:01 --> 00:02"]),
)


@given(st.lists(st.tuples(st.integers(0, 9_000), st.integers(600, 9_000), texts), max_size=8))
def test_any_words_come_back_from_the_file(lines: list[tuple[int, int, str]]) -> None:
    events, end_ms = [], 0
    for wait_ms, length_ms, text in lines:
        events.append(said(end_ms + wait_ms, end_ms + wait_ms + length_ms, text))
        end_ms += wait_ms + length_ms
    plan = session(end_ms + 1_000, *events)
    cues = read(captions_vtt(plan))
    check_order(cues, plan)
    check_words(cues, plan)


@pytest.mark.parametrize("start", [0, 1, 13, 23_999])
def test_samples_between_milliseconds_still_give_cues_in_order(start: int) -> None:
    first = Spoken(start=start, length=24_001, text="a", voice="v", purpose=Purpose.CUE)
    second = Spoken(start=first.end, length=24_001, text="b", voice="v", purpose=Purpose.CUE)
    plan = session(4_000, first, second)
    check_order(read(captions_vtt(plan)), plan)
