"""What the page knows of a session: chapters, moments and captions in milliseconds, and words."""

from __future__ import annotations

import hashlib
import json
from typing import Any

from breathmark.deliver.captions import caption_cues
from breathmark.deliver.plan_heard import clean
from breathmark.deliver.plan_marks import Moments
from breathmark.deliver.typeset import bound
from breathmark.routine.model import (
    BreathingDose,
    ContractRelaxDose,
    Exercise,
    HoldDose,
    RepsDose,
    Routine,
)
from breathmark.script.session import Activity, Block, Session, Span
from breathmark.script.words import Words
from breathmark.units import milliseconds

PREFIX = "player "
"""What the catalogue's entries for the page begin with."""

_BESIDE = ("seconds", "minutes", "minutes and seconds")
"""Entries that the page's script needs beside its own."""


def contents(session: Session, routine: Routine, words: Words) -> dict[str, Any]:
    """The page's data, ready for JSON; times are whole milliseconds from the start.

    ``key`` tells recordings apart where a browser remembers their places: a hash of
    everything else.
    """
    rate_hz, moments = session.rate_hz, Moments.of(session)
    data: dict[str, Any] = {
        "title": bound(clean(session.title)),
        "language": session.language,
        "length": milliseconds(session.length, rate_hz),
        "chapters": [
            {"title": bound(clean(block.title)), **_times(block, rate_hz)}
            for block in session.blocks
        ],
        "moments": [
            {
                "words": moment_words(span, block, routine, words),
                "fill": moments.fill_of(span).name,
                **_times(span, rate_hz),
            }
            for block in session.blocks
            for span in block.spans
            if span.length
        ],
        "cues": [
            {"start": cue.start_ms, "end": cue.end_ms, "text": bound(" ".join(cue.rows))}
            for cue in caption_cues(session)
        ],
        "words": _script_words(words),
    }
    digest = hashlib.sha256(json.dumps(data, ensure_ascii=True).encode()).hexdigest()
    return {**data, "key": digest[:16]}


def _times(part: Block | Span, rate_hz: int) -> dict[str, int]:
    return {
        "start": milliseconds(part.start, rate_hz),
        "end": milliseconds(part.end, rate_hz),
    }


def moment_words(span: Span, block: Block, routine: Routine, words: Words) -> list[str]:
    """What is done in a span, in a few words: ``["Hold", "left side", "set 1 of 2"]``."""
    if span.activity is not Activity.WORK:
        parts = [words.say(f"{PREFIX}now {span.activity}")]
        if span.activity is Activity.SIDE_CHANGE and span.side:
            parts = [words.say(f"{PREFIX}now change", side=words.side(span.side))]
        return parts
    parts = [_work_words(block, routine, words)]
    if span.side:
        parts.append(words.say(f"{PREFIX}side", side=words.side(span.side)))
    numbers = [s.set_number for s in block.spans if s.side is span.side and s.set_number]
    if span.set_number and max(numbers) > 1:
        parts.append(words.say(f"{PREFIX}set", n=span.set_number, of=str(max(numbers))))
    return parts


def _work_words(block: Block, routine: Routine, words: Words) -> str:
    if block.exercise is None:
        raise ValueError("work outside an exercise")
    exercise: Exercise = routine.exercises[block.exercise]
    match exercise.dose:
        case HoldDose():
            return words.say(f"{PREFIX}now hold")
        case RepsDose(reps=reps):
            return words.say(f"{PREFIX}now reps", n=reps.usual)
        case BreathingDose(breaths=breaths):
            return words.say(f"{PREFIX}now breaths", n=breaths.usual)
        case ContractRelaxDose():
            return words.say(f"{PREFIX}now contract-relax")
        case _:
            return words.say(f"{PREFIX}now work")


def _script_words(words: Words) -> dict[str, dict[str, str]]:
    """The catalogue's entries for the page, without their prefix, fields still in them."""
    own = {key.removeprefix(PREFIX): dict(forms) for key, forms in words.entries.items()
           if key.startswith(PREFIX)}  # fmt: skip
    return {**own, **{key: dict(words.entries[key]) for key in _BESIDE}}


def as_script(data: Any) -> str:
    r"""JSON that may stand inside a ``script`` element and be read as JavaScript as well.

    No sign is left that could end the element or begin a comment in it (HTML, 4.12.1.3,
    "Restrictions for contents of script elements"), nor a line separator that older
    JavaScript takes for the end of a line.

    >>> as_script({"text": "</script> & \u2028"})
    '{"text":"\\u003c/script\\u003e \\u0026 \\u2028"}'
    """
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    for sign in "<>&\u2028\u2029":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return text
