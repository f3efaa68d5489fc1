"""Lines read one after the other by a voice, as a session that a listener can be given."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

import numpy as np
import numpy.typing as npt

from breathmark.script.session import Activity, Block, Purpose, Session, Span, Spoken
from breathmark.script.words import words_of
from breathmark.speech.speakable import speakable
from breathmark.speech.speaker import Speaker
from tests.listening import SEVERAL_S, Listener, Samples, plain_words
from tests.routine_starter.shelf import Entry

RATE_HZ = 24_000
GAP = RATE_HZ // 2
"""Samples of silence before, between and after the lines."""

_EXAMPLES = {
    "seconds": "30 seconds", "minutes": "2 minutes", "title": "Steady on your feet",
    "time": "12 minutes", "name": "Standing calf stretch", "side": "left",
    "contract": "6 seconds", "stretch": "20 seconds", "feel": "a gentle pull low in your leg",
    "easier": "Take a shorter step.", "helper": "Stand close behind.",
}  # fmt: skip
_NEVER_SAID = (
    "paper", "player", "picture", "message", "language", "title", "left", "right", "count",
)  # fmt: skip


class Sayer(Protocol):
    """Whoever has clips of lines."""

    def clip(self, line: str, /) -> Samples:
        """The clip of a line, mono, at :data:`RATE_HZ`."""
        ...


def session_of(speaker: Sayer, lines: Sequence[str]) -> tuple[Session, Samples]:
    """The lines as a session with half a second between them, and its samples."""
    silence = np.zeros(GAP, dtype=np.int16)
    clips = [speaker.clip(line) for line in lines]
    parts: list[Samples] = [silence]
    events: list[Spoken] = []
    at = GAP
    for line, clip in zip(lines, clips, strict=True):
        events.append(
            Spoken(start=at, length=len(clip), text=line, voice="any", purpose=Purpose.CUE)
        )
        parts += [clip, silence]
        at += len(clip) + GAP
    span = Span(start=0, length=at, activity=Activity.WORK, doing="listening")
    block = Block(start=0, length=at, title="Lines", spans=(span,))
    session = Session(
        title="Lines", language="en", voice="any", rate_hz=RATE_HZ, length=at,
        blocks=(block,), events=tuple(events),
    )  # fmt: skip
    return session, np.concatenate(parts)


def built_in_phrases() -> tuple[str, ...]:
    """All that Breathmark itself says in English, its braces filled in."""
    said = (
        text.format(**_EXAMPLES, n="1" if form == "one" else "5")
        for key, forms in words_of("en").entries.items()
        if not key.startswith(_NEVER_SAID)
        for form, text in forms.items()
    )
    return tuple(dict.fromkeys(said))


def lines_of(entry: Entry) -> tuple[str, ...]:
    """An exercise's lines as a session says them."""
    words = words_of("en")
    lines = [words.say("next exercise", name=str(entry.data["name"]))]
    lines += [_sided(line) for key in ("setup", "cues", "breathe") for line in entry.said(key)]
    lines += [words.say("feel", feel=_sided(line)) for line in entry.said("feel")]
    lines += [words.say("easier", easier=_sided(line)) for line in entry.said("easier")]
    return tuple(line if line[-1] in ".!?" else f"{line}." for line in lines)


def _sided(line: str) -> str:
    return line.replace("{other side}", "right").replace("{side}", "left")


def onset_ms(samples: Samples, rate_hz: int, *, below_db: float = 35.0) -> float:
    """How long after its first sample a clip sounds, in milliseconds.

    The onset is the first 10 ms whose level is at most ``below_db`` under the clip's own:
    the root mean square over its frames within 30 dB of the loudest.
    """
    return float(np.argmax(_sounds(samples, rate_hz, below_db)))


def level_runs_ms(samples: Samples, rate_hz: int, *, below_db: float) -> list[float]:
    """The lengths of all quiet stretches of a clip in milliseconds, the longest first."""
    edges = np.flatnonzero(np.diff(_sounds(samples, rate_hz, below_db).astype(np.int8)))
    steps = np.diff(edges)
    falls = ~_sounds(samples, rate_hz, below_db)[edges[:-1] + 1]
    return sorted((float(length + 9) for length in steps[falls]), reverse=True)


def _sounds(samples: Samples, rate_hz: int, below_db: float) -> npt.NDArray[np.bool_]:
    """For each millisecond, whether the 10 ms from there sound."""
    frame, step = rate_hz // 100, rate_hz // 1000
    wave = samples.astype(np.float64)
    starts = range(0, max(1, len(wave) - frame), step)
    powers = np.array([np.mean(wave[at : at + frame] ** 2) for at in starts])
    level = np.mean(powers[powers > powers.max() / 1000])
    sounds: npt.NDArray[np.bool_] = powers > level * 10 ** (-below_db / 10)
    return sounds


def misheard(listener: Listener, speaker: Speaker, lines: Sequence[str]) -> tuple[int, list[str]]:
    """How many words the lines have, and each that was heard wrong every time.

    Every line is heard in a long passage; those that were not heard whole are heard again
    between the lines around them, in shorter passages: what the recogniser slips over
    depends on where a passage was cut, which says nothing about the voice.
    """
    wrong: dict[int, tuple[str, ...]] = {}
    wanted = list(range(len(lines)))
    for cut_s in SEVERAL_S:
        missed = _missed(listener, speaker, [lines[at] for at in wanted], cut_s)
        heard = {wanted[at]: words for at, words in missed.items()}
        if cut_s == SEVERAL_S[0]:
            wrong = heard
        wrong = {at: min(words, heard.get(at, ()), key=len) for at, words in wrong.items()}
        wrong = {at: words for at, words in wrong.items() if words}
        wanted = sorted({near for at in wrong for near in (at - 1, at, at + 1)} & set(wanted))
    told = [f"{lines[at]!r}: {word}" for at, words in wrong.items() for word in words]
    return len(plain_words([speakable(line, {}) for line in lines])), told


def _missed(
    listener: Listener, speaker: Speaker, lines: Sequence[str], cut_s: float
) -> dict[int, tuple[str, ...]]:
    """What was heard wrong in each line, by the line's place among ``lines``."""
    if not lines:
        return {}
    session, samples = session_of(speaker, lines)
    hearing = listener.hear_session(
        samples, RATE_HZ, session, cuts_s=(cut_s,), spoken_as=lambda line: speakable(line, {})
    )
    at = {round(line.start / RATE_HZ, 6): index for index, line in enumerate(session.spoken)}
    return {at[round(miss.start_s, 6)]: miss.wrong for miss in hearing.missed}
