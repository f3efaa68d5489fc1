"""So that nobody wonders whether it stopped: words into silences that are too long."""

from __future__ import annotations

from collections.abc import Sequence

from breathmark.script import pacing
from breathmark.script.draft import SpeechLengths
from breathmark.script.session import Activity, Event, Purpose, Span, Spoken
from breathmark.script.words import Words

_ROUND_MS = 5_000
"""Times left are said in whole steps of this; a line moves by half of it at most."""

_LEAST_CALL_MS = 10_000


def silences(events: Sequence[Event], length: int) -> list[tuple[int, int]]:
    """The stretches (start, end) in samples in which nothing is heard at all."""
    found, at = [], 0
    for event in sorted(events, key=lambda event: event.start):
        if event.start > at:
            found.append((at, event.start))
        at = max(at, event.end)
    if length > at:
        found.append((at, length))
    return found


def filled(
    events: Sequence[Event],
    spans: Sequence[Span],
    quiet: Sequence[Span],
    lengths: SpeechLengths,
    words: Words,
    *,
    voice: str,
) -> tuple[Event, ...]:
    """The events with reassuring words added, so that no silence lasts longer than 20 s.

    Nothing is added in the spans of ``quiet``: there the author asked for silence.
    """
    most = lengths.ms(pacing.MOST_SILENCE_MS)
    added: list[Event] = []
    for start, end in silences(events, spans[-1].end):
        parts = -(-(end - start) // (most - lengths.ms(_ROUND_MS)))
        if end - start <= most:
            continue
        for part in range(1, parts):
            at = start + (end - start) * part // parts
            line = _line(at, spans, quiet, lengths, words, voice)
            if line is not None and start < line.start and line.end < end:
                added.append(line)
    return tuple(sorted([*events, *added], key=lambda event: event.start))


def _line(
    at: int,
    spans: Sequence[Span],
    quiet: Sequence[Span],
    lengths: SpeechLengths,
    words: Words,
    voice: str,
) -> Spoken | None:
    span = next(span for span in spans if span.start <= at < span.end)
    if span in quiet:
        return None
    left = lengths.to_ms(span.end - at)
    rounded = round(left / _ROUND_MS) * _ROUND_MS
    said, text = _text(span, rounded, words)
    start = max(span.start, span.end - lengths.ms(rounded)) if said else at
    return Spoken(
        start=start,
        length=lengths.of(text),
        text=text,
        voice=lengths.voice_of(text, voice),
        purpose=Purpose.TIME,
    )


def _text(span: Span, left_ms: int, words: Words) -> tuple[bool, str]:
    """What to say, and whether it says how much time is left."""
    timed = left_ms >= _LEAST_CALL_MS
    match span.activity:
        case Activity.WORK | Activity.PAUSE if timed:
            return True, words.say("time left", time=words.time(left_ms))
        case Activity.WORK:
            return False, words.say("go on")
        case Activity.LEAD_IN | Activity.SIDE_CHANGE if timed:
            return True, words.say("time to start", time=words.time(left_ms))
        case Activity.REST if timed and span.set_number is not None:
            return True, words.say("time to start", time=words.time(left_ms))
        case Activity.REST:
            return False, words.say("resting")
        case Activity.OPENING:
            return False, words.say("begin soon")
        case _:
            return False, words.say("take time")
