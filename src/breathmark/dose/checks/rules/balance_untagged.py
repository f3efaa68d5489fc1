"""Balance work is in the words and not in `involves`.

What: a standing exercise speaks of one leg, a tandem stance, heel to toe or closed eyes, be
it in its easier or harder way, and neither `involves` nor its targets say that it asks for
balance.

Why: only what is written there is looked after: without it nothing to hold is asked for
(`balance-support`), and a patient who must avoid it still gets it.

Source: common practice; the tags are the project's own.

To mend: add the tag, such as `involves: [balance on one leg]`; to a way as
`harder: {say: Do it on one leg., involves: [balance on one leg]}`, for who must avoid it.

To accept: say why nobody can fall, such as a foot that only slides.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from breathmark.dose.checks.finding import Check, Finding, Subject
from breathmark.dose.checks.lines import Line, lines_of
from breathmark.dose.checks.rules.balance_support import BALANCE_TAGS
from breathmark.dose.totals import is_balance
from breathmark.problems import Severity
from breathmark.routine.model import Exercise, Kind, Position

_YOURS = r"(?:your|the) (?:\{(?:other )?side\}|left|right)"
_TAGS = {
    "balance on one leg": re.compile(
        r"\b(?:single|one)[ -]leg(?:ged)? "
        r"(?:stands?|standing|stance|balance|squats?|heel raises?)\b"
        r"|\b(?:stand|balanc|hop|squat|ris|dip|stay|do (?:it|this|them|all))\w*"
        rf" (?:only |just )?on (?:only |just )?(?:(?:one|a single)|{_YOURS}) (?:leg|foot)\b"
        rf"|\b(?:lift|take|rais)\w* (?:(?:one|the other|your other)|{_YOURS}) (?:leg|foot)"
        r"(?: just| a little)? (?:clear )?(?:off|from|of) the (?:floor|ground)\b",
        re.IGNORECASE,
    ),
    "narrow stance": re.compile(
        r"\btandem\b|(?<!from )\bheel[ -]to[ -]toes?\b"
        r"|\bone foot (?:right|directly|straight) in front of the other\b",
        re.IGNORECASE,
    ),
    "eyes closed": re.compile(
        r"\beyes (?:closed|shut)\b|\b(?:close|shut) (?:your|both|the) eyes\b", re.IGNORECASE
    ),
}
"""Tags that exist, and the words that ask for what they mean."""

_NOT = re.compile(r"\b(?:do not|don['’]t|never|not|without|avoid)\b[\w\s]{0,25}$", re.IGNORECASE)


def find(subject: Subject) -> Iterator[Finding]:
    """Standing exercises whose words ask for balance and that do not say so."""
    for exercise in subject.every_exercise:
        if exercise.position is Position.STANDING and exercise.kind is not Kind.PAUSE:
            found = next(_asked(exercise), None)
            if found:
                yield found


def asked_in(text: str) -> tuple[str, str] | None:
    """The words of a line that ask for balance, with their tag; ``None`` where none do.

    >>> asked_in("Now close your eyes."), asked_in("Never close your eyes.")
    (('close your eyes', 'eyes closed'), None)
    """
    for tag, words in _TAGS.items():
        for match in words.finditer(text):
            if not _NOT.search(text[: match.start()]):
                return match.group(), tag
    return None


def _asked(exercise: Exercise) -> Iterator[Finding]:
    for line in lines_of(exercise, "name", "setup", "cues", "easier", "harder"):
        found = asked_in(line.text)
        if found and not _is_said(exercise, line, tag=found[1]):
            phrase, tag = found
            yield Finding.in_line(line, _message(phrase, line), _remedy(line, tag), phrase)


def _is_said(exercise: Exercise, line: Line, *, tag: str) -> bool:
    """Whether what a line asks for is looked after: in a way, by the tag of just that."""
    way = {"easier": exercise.easier, "harder": exercise.harder}.get(line.kind)
    if way is not None:
        return tag in {*exercise.involves, *way.involves}
    return is_balance(exercise) or bool(BALANCE_TAGS & set(exercise.involves))


def _message(phrase: str, line: Line) -> str:
    which = f"its {line.kind} way" if line.kind in _WAYS else "the exercise"
    return f"`{phrase}` asks for balance, and {which} does not say so"


def _remedy(line: Line, tag: str) -> str:
    if line.kind in _WAYS:
        way = f"`{line.kind}: {{say: …, involves: [{tag}]}}`"
        return f"Write {way}, or accept it with the reason."
    if line.exercise and line.exercise.involves:
        return f"Add `{tag}` to its `involves`, or accept it with the reason."
    return f"Add `involves: [{tag}]`, or accept it with the reason."


_WAYS = ("easier", "harder")


CHECK = Check(
    id="balance-untagged",
    severity=Severity.CAUTION,
    says="balance work is in the words and not in `involves`",
    find=find,
    english=True,
)
