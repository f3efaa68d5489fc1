"""The captions held against the plan: every line once, word for word, in its time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from breathmark.proof.captions import Cue
from breathmark.proof.limits import CAPTION_MS
from breathmark.proof.words import clock_ms, quoted
from breathmark.script.session import Session, Sounded, Spoken


@dataclass(frozen=True, kw_only=True, slots=True)
class Said:
    """A line of the plan with the cues that show it."""

    line: Spoken
    start_ms: float
    end_ms: float
    cues: tuple[Cue, ...]


def caption_problems(cues: Sequence[Cue], session: Session) -> list[str]:
    """How the captions differ from the plan.

    A line may be shown in several cues that follow one another without a gap.  Cues in
    square brackets say what is to be heard besides speech; a tone has one that starts
    with it.
    """
    words = [cue for cue in cues if not _is_sound(cue)]
    said = matched(words, session)
    used = {cue for one in said for cue in one.cues}
    found = [problem for one in said for problem in _differences(one)]
    found += [f"{_named(cue)} is said nowhere" for cue in words if cue not in used]
    found += _order_problems(cues, session)
    return found + _tone_problems(cues, session)


def matched(words: Sequence[Cue], session: Session) -> list[Said]:
    """Each line of the plan with the cues whose middle lies in its time."""
    found, at = [], 0
    ordered = sorted(words, key=_middle_ms)
    for line in session.spoken:
        start_ms, end_ms = _ms(line.start, session), _ms(line.end, session)
        while at < len(ordered) and _middle_ms(ordered[at]) < start_ms:
            at += 1
        past = at
        while past < len(ordered) and _middle_ms(ordered[past]) < end_ms:
            past += 1
        cues = tuple(ordered[at:past])
        found.append(Said(line=line, start_ms=start_ms, end_ms=end_ms, cues=cues))
        at = past
    return found


def furthest_ms(cues: Sequence[Cue], session: Session) -> float:
    """The most by which the beginning or end of a line's captions is off."""
    said = matched([cue for cue in cues if not _is_sound(cue)], session)
    return max((off for one in said if one.cues for off in map(abs, _off_ms(one))), default=0.0)


def _differences(said: Said) -> list[str]:
    named = f"the line at {clock_ms(said.start_ms)}, {quoted(said.line.text)},"
    if not said.cues:
        return [f"{named} has no caption"]
    shown = " ".join(cue.text for cue in said.cues)
    if shown != " ".join(said.line.text.split()):
        return [f"{named} is shown as {quoted(shown)}"]
    found = []
    for verb, off_ms in zip(("appears", "goes"), _off_ms(said), strict=True):
        if abs(off_ms) > CAPTION_MS:
            found.append(
                f"{named} {verb} {abs(off_ms):.0f} ms too {'late' if off_ms > 0 else 'early'}"
            )
    if any(abs(after.start_ms - cue.end_ms) > CAPTION_MS for cue, after in pairwise(said.cues)):
        found.append(f"{named} is interrupted")
    return found


def _off_ms(said: Said) -> tuple[float, float]:
    return said.cues[0].start_ms - said.start_ms, said.cues[-1].end_ms - said.end_ms


def _order_problems(cues: Sequence[Cue], session: Session) -> list[str]:
    """Cues that overlap, stand out of order, or leave the session."""
    found = [
        f"{_named(after)} begins before {_named(cue)} ends"
        for cue, after in pairwise(cues)
        if after.start_ms < cue.end_ms
    ]
    end_ms = _ms(session.length, session)
    return found + [
        f"{_named(cue)} goes on past the end of the session"
        for cue in cues
        if cue.end_ms > end_ms + CAPTION_MS
    ]


def _tone_problems(cues: Sequence[Cue], session: Session) -> list[str]:
    starts = [cue.start_ms for cue in cues if _is_sound(cue)]
    tones = [event for event in session.events if isinstance(event, Sounded)]
    found, at = [], 0
    for tone in tones:
        due_ms = _ms(tone.start, session)
        while at < len(starts) and starts[at] < due_ms - CAPTION_MS:
            at += 1
        if at == len(starts) or starts[at] > due_ms + CAPTION_MS:
            found.append(f"the {tone.tone} tone at {clock_ms(due_ms)} has no caption")
    return found


def _is_sound(cue: Cue) -> bool:
    return cue.text.startswith("[") and cue.text.endswith("]")


def _named(cue: Cue) -> str:
    return f"the caption at {clock_ms(cue.start_ms)}, {quoted(cue.text)},"


def _middle_ms(cue: Cue) -> float:
    return (cue.start_ms + cue.end_ms) / 2


def _ms(at: int, session: Session) -> float:
    return at * 1000 / session.rate_hz
