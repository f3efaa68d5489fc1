"""A line cannot be said well as it is written.

What: words in capitals or capital abbreviations (`ROM`, `STOP`), strokes (`B/L`, `w/`),
signs (`°`, `#`), `10x`, and clipped words of the trade (`bilat`, `flex.`).

Why: a voice spells them out, swallows them or shouts them, and the handout prints what
patients cannot read.

Source: measured on the voices that come with Breathmark; patient text without
abbreviations, common practice.

To mend: write the word: `both sides`, `degrees`, `10 times`.  Amounts such as `30 s` are
read well and need no change.

To accept: say why it is said well, such as a name that patients know by its letters.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from breathmark.dose.checks.finding import Check, Finding, Subject
from breathmark.dose.checks.lines import exercise_lines, routine_lines
from breathmark.problems import Severity

_KNOWN_LETTERS = frozenset({"OK", "TV", "CD", "DVD", "MP3"})
_HARD = (
    re.compile(r"\b[A-Z]{1,3}/[A-Z]{1,3}\b|\b[A-Z][A-Z0-9]+s?\b"),
    re.compile(r"\b[a-zA-Z]/[a-zA-Z]?(?!\w)|\bw/\w*"),
    re.compile(r"\b\d+\s?[x×](?!\s?\d)\b|(?<!\w)[x×]\s?\d+\b"),
    re.compile(r"[°º#@~<>=→←↑↓≥≤±]"),
    re.compile(
        r"\b(?:bilat|unilat|abd|add|flex|ext|rot|pt|pts|hx|tx|rx|prn|qd|bid|tid|lat|med|"
        r"ant|post|sup|inf)\b\.",
        re.IGNORECASE,
    ),
)


def find(subject: Subject) -> Iterator[Finding]:
    """Lines with something that cannot be said well, marked where it stands."""
    lines = [line for one in subject.every_exercise for line in exercise_lines(one)]
    for line in (*routine_lines(subject.routine), *lines):
        if word := hard_word(line.text):
            message = f"`{word}` cannot be said well"
            yield Finding.in_line(line, message, "Write it out as a person would say it.", word)


def hard_word(text: str) -> str:
    """The first thing in a text that cannot be said well; empty when there is none.

    >>> hard_word("Improve your ROM."), hard_word("Bend to 90°."), hard_word("Hold 30 s.")
    ('ROM', '°', '')
    """
    found = [match for pattern in _HARD for match in pattern.finditer(text)]
    found = [match for match in found if match.group() not in _KNOWN_LETTERS]
    return min(found, key=lambda match: match.start()).group() if found else ""


CHECK = Check(
    id="unspeakable",
    severity=Severity.CAUTION,
    says="a line cannot be said well as it is written",
    find=find,
    english=True,
)
