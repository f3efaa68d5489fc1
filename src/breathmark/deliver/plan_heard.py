"""What is heard, told in words: one event, a run of counts or tones, a row of breaths."""

from __future__ import annotations

import itertools
import re
import unicodedata
from collections.abc import Sequence

from breathmark.routine.model import Side
from breathmark.script.session import Breath, Breathed, Event, Purpose, Sounded, Spoken
from breathmark.units import counted, duration_text, milliseconds

_BREATH_WORDS = {Breath.IN: "rising (in)", Breath.OUT: "falling (out)"}


def event_text(event: Event, rate_hz: int, *, full: bool = False, voice: str = "") -> str:
    """One event: a line in quotes, a tone or a breath by name; ``full`` adds how long.

    A line in another voice than ``voice``, the session's, says in which.
    """
    lasting = f" ({span_text(event.length, rate_hz)})" if full else ""
    match event:
        case Spoken():
            other = f" (voice {clean(event.voice)})" if voice and event.voice != voice else ""
            return f"“{clean(event.text)}”{lasting}{other}"
        case Sounded():
            return f"{event.tone} tone{lasting}"
        case Breathed():
            return f"breathing sound {_BREATH_WORDS[event.direction]}{lasting}"


def run_text(run: Sequence[Spoken | Sounded], rate_hz: int, *, voice: str = "") -> str:
    """One event, or several of one rhythm told together.

    A run of tones is countdown tones; a run of lines is counts, phases and breathing calls.
    """
    if len(run) == 1:
        return event_text(run[0], rate_hz, voice=voice)
    lines = [event for event in run if isinstance(event, Spoken)]
    if not lines:
        return f"{len(run)} countdown tones, {_every(run, rate_hz)}"
    counts = [line for line in lines if line.purpose is Purpose.COUNT]
    others = [line for line in lines if line.purpose is not Purpose.COUNT]
    parts = [_counts_text(counts, rate_hz, voice)] if counts else []
    return "; ".join([*parts, *_repeated(others, rate_hz, voice)])


def _counts_text(counts: Sequence[Spoken], rate_hz: int, voice: str) -> str:
    if len(counts) == 1:
        return event_text(counts[0], rate_hz, voice=voice)
    first, last = _count_word(counts[0]), _count_word(counts[-1])
    others = sorted({clean(count.voice) for count in counts if voice and count.voice != voice})
    told = f" (voice {' and '.join(others)})" if others else ""
    return f"{len(counts)} counts, {first} to {last}, {_every(counts, rate_hz)}{told}"


def _count_word(line: Spoken) -> str:
    word = clean(line.text).rstrip(".")
    return word if word.isdecimal() else f"“{clean(line.text)}”"


def _repeated(lines: Sequence[Spoken], rate_hz: int, voice: str) -> list[str]:
    """Lines said several times, told once each, in the order of their first time."""
    times: dict[str, int] = {}
    first: dict[str, str] = {}
    for line in lines:
        times[line.text] = times.get(line.text, 0) + 1
        first.setdefault(line.text, event_text(line, rate_hz, voice=voice))
    return [first[text] + (f" {n} times" if n > 1 else "") for text, n in times.items()]


def _every(events: Sequence[Spoken | Sounded], rate_hz: int) -> str:
    """How far apart events start: ``one every 7 s``, or the range when they are uneven."""
    starts = [milliseconds(event.start, rate_hz) for event in events]
    gaps = [(later - earlier + 50) // 100 * 100 for earlier, later in itertools.pairwise(starts)]
    least, most = min(gaps), max(gaps)
    if len(gaps) == 1:
        return f"{duration_text(least)} apart"
    if most - least <= 500:  # the first count waits for the start tone
        return f"one every {duration_text(sorted(gaps)[len(gaps) // 2])}"
    return f"one every {duration_text(least)} to {duration_text(most)}"


def breaths_text(breaths: Sequence[Breathed], rate_hz: int) -> str:
    """The breathing sound of a span: how many breaths, how long in and out, and any holds."""
    ways = []
    for way in Breath:
        lengths = [breath.length for breath in breaths if breath.direction is way]
        ways.append(_lengths_text(way.value, lengths, rate_hz))
        ways.append(_lengths_text("hold", _holds_after(way, breaths, rate_hz), rate_hz))
    number = sum(breath.direction is Breath.OUT for breath in breaths)
    return f"breathing sound, {counted(number, 'breath')}: {', '.join(way for way in ways if way)}"


def _holds_after(way: Breath, breaths: Sequence[Breathed], rate_hz: int) -> list[int]:
    """How long the breath is held after it went in or out, each time; none where it never is."""
    pairs = itertools.pairwise(breaths)
    held = [after.start - breath.end for breath, after in pairs if breath.direction is way]
    is_held = any(milliseconds(length, rate_hz) for length in held)  # not a sample of rounding
    return held if is_held else []


def _lengths_text(what: str, lengths: Sequence[int], rate_hz: int) -> str:
    if not lengths:
        return ""
    least, most = span_text(min(lengths), rate_hz), span_text(max(lengths), rate_hz)
    return f"{what} {least}" if least == most else f"{what} {least} to {most}"


def span_text(length: int, rate_hz: int) -> str:
    """A length in samples for people, to a tenth of a second: ``1 min 30 s``, ``2.4 s``.

    >>> span_text(36_000, 24_000)
    '1.5 s'
    """
    return duration_text((milliseconds(length, rate_hz) + 50) // 100 * 100)


def side_text(side: Side | None, set_number: int | None, sets: int) -> str:
    """Side and set of a row: ``left, set 1 of 2``; a single set is not numbered.

    >>> side_text(Side.LEFT, 1, 2), side_text(None, 1, 1), side_text(Side.RIGHT, None, 0)
    ('left, set 1 of 2', '', 'right')
    """
    parts = [side.value] if side else []
    if set_number and sets > 1:
        parts.append(f"set {set_number} of {sets}")
    return ", ".join(parts)


def clean(text: str) -> str:
    r"""Text on one line: composed (NFC), control and direction codes gone, spaces single.

    A space that must not end a line stays one (U+00A0).

    >>> clean("Heel\x1b[31m\traises "), clean("Talons\u202f!")
    ('Heel [31m raises', 'Talons\xa0!')
    """
    kept = unicodedata.normalize("NFC", "".join(_kept(char) for char in text))
    return re.sub(" +", " ", kept).strip()


def _kept(char: str) -> str:
    if char in "\u00a0\u202f":
        return "\u00a0"
    category = unicodedata.category(char)
    if category == "Cf":  # invisible; the joiners shape Persian, Indic and emoji
        return char if char in "\u200c\u200d" else ""
    return " " if category[0] in "CZ" else char
