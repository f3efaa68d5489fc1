"""The caption reader takes what WebVTT allows and we write, and nothing else."""

from __future__ import annotations

import html

import pytest
import webvtt

from breathmark.deliver.captions import captions_vtt
from breathmark.proof.captions import CaptionError, Cue, read_webvtt
from breathmark.proof.subtitles import caption_problems
from tests.plan_sessions import many_exercises, twelve_minutes
from tests.proof.results import small_session


def test_another_reader_reads_the_same() -> None:
    """webvtt-py finds the same cues at the same times in what a build writes."""
    for session in (small_session(), twelve_minutes(), many_exercises(6, end_s=1200)):
        text = captions_vtt(session)
        ours = [(cue.start_ms, cue.end_ms, cue.text) for cue in read_webvtt(text)]
        theirs = [
            (_ms(cue.start), _ms(cue.end), " ".join(html.unescape(cue.text).split()))
            for cue in webvtt.from_string(text).captions
        ]
        assert ours == theirs
        assert caption_problems(read_webvtt(text), session) == []


def _ms(clock: str) -> int:
    hours, minutes, rest = clock.split(":")
    return round((int(hours) * 3600 + int(minutes) * 60 + float(rest)) * 1000)


GOOD = {
    "rows, escapes, hours": (
        "WEBVTT\n\nNOTE made up\nfor a test\n\n"
        "one\n100:00:01.000 --> 100:00:02.001\nA &amp; B\n&lt;C\n",
        [Cue(start_ms=360_001_000, end_ms=360_002_001, text="A & B <C", line=7)],
    ),
    "a title, other line ends, a byte order mark": (
        "\ufeffWEBVTT a title\r\n\r\n\r\n00:01.000\t-->  00:02.000\r\nYes.",
        [Cue(start_ms=1000, end_ms=2000, text="Yes.", line=4)],
    ),
    "nothing": ("WEBVTT", []),
}  # fmt: skip


@pytest.mark.parametrize("case", GOOD)
def test_what_the_format_allows_is_read(case: str) -> None:
    """Notes, names, hours, escapes and each kind of line end."""
    text, cues = GOOD[case]
    assert list(read_webvtt(text)) == cues


BAD = {
    "no head": ("00:01.000 --> 00:02.000\nYes.", "line 1"),
    "a head that runs on": ("WEBVTTX\n\n", "line 1"),
    "no empty line after the head": ("WEBVTT\n00:01.000 --> 00:02.000\nYes.", "line 2"),
    "a comma": ("WEBVTT\n\n00:01,000 --> 00:02,000\nYes.", "line 3"),
    "sixty seconds": ("WEBVTT\n\n00:60.000 --> 01:02.000\nYes.", "line 3"),
    "one digit of an hour": ("WEBVTT\n\n1:00:01.000 --> 1:00:02.000\nYes.", "line 3"),
    "settings": ("WEBVTT\n\n00:01.000 --> 00:02.000 align:left\nYes.", "line 3"),
    "backwards": ("WEBVTT\n\n00:02.000 --> 00:02.000\nYes.", "before it begins"),
    "no text": ("WEBVTT\n\n00:01.000 --> 00:02.000\n\n", "no text"),
    "a name alone": ("WEBVTT\n\none\n", "line 4"),
    "markup": ("WEBVTT\n\n00:01.000 --> 00:02.000\n<b>Yes.</b>", "line 4: a caption holds markup"),
    "an ampersand": ("WEBVTT\n\n00:01.000 --> 00:02.000\nA & B", "line 4"),
    "an arrow": ("WEBVTT\n\n00:01.000 --> 00:02.000\nA --> B", "line 4"),
    "an arrow in a note": ("WEBVTT\n\nNOTE a --> b\n", "line 3: a note"),
    "a style": ("WEBVTT\n\nSTYLE\n::cue {}\n", "line 4"),
    "a NUL": ("WEBVTT\n\n\0", "NUL"),
}


@pytest.mark.parametrize("case", BAD)
def test_what_is_not_right_is_refused(case: str) -> None:
    """Each is refused, with the line where it stands."""
    text, said = BAD[case]
    with pytest.raises(CaptionError) as refused:
        read_webvtt(text)
    assert said in str(refused.value)
