"""Effort is paired with breathing in.

What: a line outside a breathing exercise asks to breathe in while lifting, pressing,
standing up or another effort.

Why: breathing out with the effort keeps people from bearing down.

Source: Phys Ther 1989;69:757-61 (published) for breathing out; the pairing itself is
common practice.

To mend: pair the effort with breathing out, the way back with breathing in.

To accept: say why, such as a breath that opens the chest in an easy reach.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from breathmark.dose.checks.finding import Check, Finding, Subject
from breathmark.dose.checks.lines import exercise_lines
from breathmark.problems import Severity
from breathmark.routine.model import Kind

_EFFORT = (
    r"(?:lift|rise|raise|press|push|pull|stand|squeeze|step|squat|curl|crunch|tighten|tense|"
    r"contract|bridge|row)(?:s|es|ing)?"
)
_IN = r"(?:breathe in|inhale|breath in)"
_WHILE = r"(?:as|while|when|with|on|during)"
_SOMEBODY = r"(?:you |your |the |each |both )?(?:\w+ )?"
_PAIRED = re.compile(
    rf"\b{_IN}\b,? {_WHILE} {_SOMEBODY}{_EFFORT}\b"
    rf"|\b(?:as|while|when) you {_EFFORT}\b[^.!?]{{0,20}}\b{_IN}\b",
    re.IGNORECASE,
)


def find(subject: Subject) -> Iterator[Finding]:
    """Lines that pair an effort with breathing in."""
    for exercise in subject.every_exercise:
        if exercise.kind is Kind.BREATHING:
            continue
        for line in exercise_lines(exercise):
            match = _PAIRED.search(line.text)
            if match:
                message = f"`{match.group()}` pairs the effort with breathing in"
                remedy = "Pair it with breathing out, or accept it with the reason."
                yield Finding.in_line(line, message, remedy, match.group())


CHECK = Check(
    id="effort-breathing-in",
    severity=Severity.CAUTION,
    says="effort is paired with breathing in",
    find=find,
    english=True,
)
