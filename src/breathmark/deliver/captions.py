"""Captions: every word at its time, and what else there is to hear, for deaf listeners.

Each spoken line is a cue from its first sample to its last, in milliseconds; a line too
long for three rows of a phone becomes several cues that follow one another and fill the
same time.  Between the lines, in square brackets: the tones (the countdown as numbers),
the breathing sound, and what to do during a long quiet stretch.  Cues never overlap.

Format: W3C, "WebVTT: The Web Video Text Tracks Format".  Rows of about 40 characters
are common subtitling practice.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from breathmark.deliver.typeset import bound
from breathmark.script.session import (
    Activity,
    Breath,
    Breathed,
    Session,
    Sounded,
    Span,
    Spoken,
    Tone,
)
from breathmark.script.words import Words, catalogue_of, words_of
from breathmark.units import milliseconds

_ROW, _ROWS = 42, 3
_TONE_SHOWN_MS = 1_500
"""A tone is too short to be read about, so its cue stays, unless something else comes."""
_BREATH_LEAST_MS = 800
_QUIET_MS = 5_000
"""From this much time without a cue on, a cue says what is being done."""
_COUNTDOWN_STEP_MS = 2_000
"""Countdown tones no further apart than this belong to one countdown."""

_TONES = {
    Tone.START: "caption start tone",
    Tone.HALFWAY: "caption halfway tone",
    Tone.END: "caption end tone",
}
_BREATHS = {Breath.IN: "caption breathe in", Breath.OUT: "caption breathe out"}


@dataclass(frozen=True, kw_only=True, slots=True)
class Cue:
    """Text shown from ``start_ms`` to before ``end_ms``; ``rows`` as they are broken."""

    start_ms: int
    end_ms: int
    rows: tuple[str, ...]


def captions_vtt(session: Session) -> str:
    """The captions of ``session`` as a WebVTT file.

    The text is escaped (``&amp;``, ``&lt;``, ``&gt;``): unescape what is read back.
    """
    head = f"WEBVTT\n\nNOTE\nTitle: {_escaped(session.title)}\nLanguage: {session.language}\n"
    blocks = [
        f"{number}\n{_clock(cue.start_ms)} --> {_clock(cue.end_ms)}\n"
        + "".join(f"{_escaped(row)}\n" for row in cue.rows)
        for number, cue in enumerate(caption_cues(session), 1)
    ]
    return "\n".join([head, *blocks])


def captions_text(session: Session) -> str:
    """The words as text with a time before each line, for a sound file's lyrics.

    The times are in the form ``[minutes:seconds.hundredths]``, by which many players
    highlight the line being said (the LRC form; common practice, no standard).
    """
    lines = [f"{_lyric_time(cue.start_ms)}{' '.join(cue.rows)}" for cue in _heard(session)]
    return "".join(f"{line}\n" for line in lines)


def tone_lines(language: str) -> frozenset[str]:
    """The lines of :func:`captions_text` that name a tone, in the words of a language."""
    words = words_of(catalogue_of(language) or "en")
    return frozenset(f"({words.say(key)})" for key in _TONES.values())


def caption_cues(session: Session) -> tuple[Cue, ...]:
    """The cues in order; each starts no earlier than the one before ends."""
    cues = list(_foreground(session))
    cues += _fitting(_breaths(session), cues, session, _BREATH_LEAST_MS)
    cues += _fitting(_doings(session), cues, session, _QUIET_MS)
    return tuple(sorted(cues, key=lambda cue: cue.start_ms))


def _foreground(session: Session) -> Iterator[Cue]:
    """The cues of what is said and of the tones."""
    events = session.foreground
    starts_ms = [_ms(event.start, session) for event in events]
    next_ms = [*starts_ms, _ms(session.length, session)][1:]
    numbers, words = _countdown_numbers(events, session), words_for(session)
    for event, start_ms, limit_ms in zip(events, starts_ms, next_ms, strict=True):
        end_ms = _ms(event.end, session)
        if isinstance(event, Spoken):
            yield from _parts(event.text, start_ms, end_ms)
        else:
            shown_ms = min(max(start_ms + _TONE_SHOWN_MS, end_ms), limit_ms)
            key = _TONES.get(event.tone)
            name = words.say(key) if key else str(numbers[event.start])
            yield from _cue(start_ms, shown_ms, f"[{name}]")


def _countdown_numbers(events: Sequence[Spoken | Sounded], session: Session) -> dict[int, int]:
    """For each countdown tone, by its start, how many of its countdown are left."""
    numbers: dict[int, int] = {}
    left, later = 0, session.length + _COUNTDOWN_STEP_MS * session.rate_hz
    for event in reversed(events):
        if isinstance(event, Sounded) and event.tone is Tone.COUNTDOWN:
            near = _ms(later - event.start, session) <= _COUNTDOWN_STEP_MS
            left, later = left + 1 if near else 1, event.start
            numbers[event.start] = left
    return numbers


def _parts(text: str, start_ms: int, end_ms: int) -> Iterator[Cue]:
    """The cues of one line; their times share the line's by their number of letters."""
    parts = _split(text)
    letters = [sum(map(len, rows)) for rows in parts]
    bounds = [
        start_ms + (end_ms - start_ms) * sum(letters[:index]) // (sum(letters) or 1)
        for index in range(len(parts))
    ]
    for rows, (begin, end) in zip(parts, pairwise([*bounds, end_ms]), strict=True):
        if end > begin:
            yield Cue(start_ms=begin, end_ms=end, rows=rows)


def _split(text: str) -> list[tuple[str, ...]]:
    """A line as parts of up to three rows, broken where a sentence ends if possible."""
    parts: list[tuple[str, ...]] = []
    for sentence in re.split(r"(?<=[.!?…])\s+", text.strip()):
        joined = _rows(" ".join([*parts[-1], sentence])) if parts else ()
        if joined and len(joined) <= _ROWS:
            parts[-1] = joined
        else:
            parts += _evenly(_rows(sentence))
    return parts


def _evenly(rows: tuple[str, ...]) -> list[tuple[str, ...]]:
    """Rows in groups of up to three, as even as can be: four are two and two."""
    groups = max(1, -(-len(rows) // _ROWS))
    bounds = [len(rows) * index // groups for index in range(groups + 1)]
    return [rows[begin:end] for begin, end in pairwise(bounds)]


def _rows(text: str) -> tuple[str, ...]:
    rows = textwrap.wrap(bound(text), _ROW, break_long_words=False, break_on_hyphens=False)
    return tuple(rows) or ("…",)


def _breaths(session: Session) -> Iterator[Cue]:
    words = words_for(session)
    for event in session.events:
        if isinstance(event, Breathed):
            text = f"[{words.say(_BREATHS[event.direction])}]"
            yield from _cue(_ms(event.start, session), _ms(event.end, session), text)


def _doings(session: Session) -> Iterator[Cue]:
    words = words_for(session)
    for block in session.blocks:
        for span in block.spans:
            text = f"[{doing_words(span, words)}]"
            yield from _cue(_ms(span.start, session), _ms(span.end, session), text)


def doing_words(span: Span, words: Words) -> str:
    """What is done in a span: as the plan says it, which is in English, else in plain words."""
    at_work, side = span.activity is Activity.WORK, span.side
    if words.language == "en":
        doing = span.doing or str(span.activity)
        return f"{doing}, {side} side" if at_work and side is not None else doing
    if at_work and side is not None:
        return words.say("caption work side", side=words.side(side))
    if span.activity is Activity.SIDE_CHANGE and side is not None:
        return words.say("caption change to side", side=words.side(side))
    return words.say(f"caption {span.activity}")


def words_for(session: Session) -> Words:
    """The words of the session's language; English where there are none."""
    return words_of(catalogue_of(session.language) or "en")


def _fitting(
    wanted: Iterable[Cue], taken: Iterable[Cue], session: Session, least_ms: int
) -> list[Cue]:
    """The parts of ``wanted`` cues that lie in gaps between the ``taken`` ones."""
    gaps = list(_gaps(taken, _ms(session.length, session)))
    found, at = [], 0
    for cue in wanted:
        while at < len(gaps) and gaps[at][1] <= cue.start_ms:
            at += 1
        for begin, end in gaps[at:]:
            if begin >= cue.end_ms:
                break
            start_ms, end_ms = max(begin, cue.start_ms), min(end, cue.end_ms)
            if end_ms - start_ms >= least_ms:
                found.append(Cue(start_ms=start_ms, end_ms=end_ms, rows=cue.rows))
    return found


def _gaps(taken: Iterable[Cue], length_ms: int) -> Iterator[tuple[int, int]]:
    at = 0
    for cue in sorted(taken, key=lambda cue: cue.start_ms):
        if cue.start_ms > at:
            yield at, cue.start_ms
        at = cue.end_ms
    if length_ms > at:
        yield at, length_ms


def _heard(session: Session) -> Iterator[Cue]:
    """The lines and the tones that mark a beginning, a middle or an end."""
    words = words_for(session)
    for event in session.foreground:
        start_ms, end_ms = _ms(event.start, session), _ms(event.end, session)
        if isinstance(event, Spoken):
            yield Cue(start_ms=start_ms, end_ms=end_ms, rows=(" ".join(event.text.split()),))
        elif event.tone in _TONES:
            yield Cue(
                start_ms=start_ms, end_ms=end_ms, rows=(f"({words.say(_TONES[event.tone])})",)
            )


def _cue(start_ms: int, end_ms: int, text: str) -> Iterator[Cue]:
    if end_ms > start_ms:
        yield Cue(start_ms=start_ms, end_ms=end_ms, rows=_rows(text))


def _ms(at: int, session: Session) -> int:
    return milliseconds(at, session.rate_hz)


def _escaped(text: str) -> str:
    """Cue text as WebVTT wants it; the arrow that would end it cannot come about."""
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def _clock(at_ms: int) -> str:
    minutes, rest_ms = divmod(at_ms, 60_000)
    hours, minutes = divmod(minutes, 60)
    return f"{hours:02}:{minutes:02}:{rest_ms // 1000:02}.{rest_ms % 1000:03}"


def _lyric_time(at_ms: int) -> str:
    minutes, rest_ms = divmod(at_ms, 60_000)
    return f"[{minutes:02}:{rest_ms // 1000:02}.{rest_ms % 1000 // 10:02}]"
