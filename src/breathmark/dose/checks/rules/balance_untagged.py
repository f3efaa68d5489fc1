"""Balance work is in the words and not in `involves`.

What: a standing exercise speaks of one leg, a tandem stance, heel to toe or closed eyes, and
neither its `involves` nor its targets say that it asks for balance.

Why: only what is written there is looked after: without it nothing to hold is asked for
(`balance-support`), and a patient who must avoid it still gets it.

Source: common practice; the tags are the project's own.

To mend: add the tag, such as `involves: [balance on one leg]`.

To accept: say why nobody can fall, such as a foot that only slides.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from breathmark.dose.checks.finding import Check, Finding, Subject
from breathmark.dose.checks.lines import lines_of
from breathmark.dose.checks.rules.balance_support import BALANCE_TAGS
from breathmark.dose.totals import is_balance
from breathmark.problems import Severity
from breathmark.routine.model import Exercise, Kind, Position

_TAGS = {
    "balance on one leg": re.compile(
        r"\b(?:single|one)[ -]leg(?:ged)? "
        r"(?:stands?|standing|stance|balance|squats?|heel raises?)\b"
        r"|\b(?:stand|balance|hop|squat)\w* on (?:only |just )?"
        r"(?:one|(?:your|the) (?:\{(?:other )?side\}|left|right)) (?:leg|foot)\b",
        re.IGNORECASE,
    ),
    "narrow stance": re.compile(r"\btandem\b|\bheel[ -]to[ -]toes?\b", re.IGNORECASE),
    "eyes closed": re.compile(
        r"\beyes (?:closed|shut)\b|\b(?:close|shut) (?:your|both|the) eyes\b", re.IGNORECASE
    ),
}
"""Tags that exist, and the words that ask for what they mean."""

_NOT = re.compile(r"\b(?:do not|don['’]t|never|not|without|avoid)\b[\w\s]{0,25}$", re.IGNORECASE)


def find(subject: Subject) -> Iterator[Finding]:
    """Standing exercises whose words ask for balance and that do not say so."""
    for exercise in subject.every_exercise:
        if _says_nothing(exercise):
            found = next(_asked(exercise), None)
            if found:
                yield found


def _says_nothing(exercise: Exercise) -> bool:
    standing = exercise.position is Position.STANDING and exercise.kind is not Kind.PAUSE
    return standing and not is_balance(exercise) and not BALANCE_TAGS & set(exercise.involves)


def _asked(exercise: Exercise) -> Iterator[Finding]:
    for line in lines_of(exercise, "name", "setup", "cues"):
        for tag, words in _TAGS.items():
            for match in words.finditer(line.text):
                if not _NOT.search(line.text[: match.start()]):
                    yield Finding.in_line(line, _message(match), _remedy(exercise, tag), match[0])


def _message(match: re.Match[str]) -> str:
    return f"`{match.group()}` asks for balance, and the exercise does not say so"


def _remedy(exercise: Exercise, tag: str) -> str:
    if exercise.involves:
        return f"Add `{tag}` to its `involves`, or accept it with the reason."
    return f"Add `involves: [{tag}]`, or accept it with the reason."


CHECK = Check(
    id="balance-untagged",
    severity=Severity.CAUTION,
    says="balance work is in the words and not in `involves`",
    find=find,
    english=True,
)
