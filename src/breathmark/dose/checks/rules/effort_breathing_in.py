"""Effort is paired with breathing in.

What: a line outside a breathing exercise asks to breathe in while lifting, pressing,
standing up or another effort.  In an exercise of effort (repetitions, added resistance or
a tensed muscle) `Breathe in and lift` counts as well, and so does a call to breathe in for
`out` or `contract`.

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
from breathmark.dose.checks.lines import Line, exercise_lines
from breathmark.dose.checks.rules.held_breath import is_effort
from breathmark.problems import Severity
from breathmark.routine.model import Kind

_UNRESISTED = r"(?:chest|breastbone|ribs?|ribcage|belly|tummy|stomach|abdomen|heart|chin|gaze)"
_STILL = r"(?:tall|still|straight|with|on|in|near|behind|facing|beside|at|by|close|as|an?)"
_EFFORT = (
    r"(?:(?:lift|rise|raise|press|push|pull|squeeze|step(?!(?:s|ping)? (?:down|back)\b)|squat|curl"
    rf"|crunch|tighten|tense|contract|bridge|row|stand(?:ing)?(?! {_STILL}\b))(?:s|es|ing)?\b"
    rf"(?! (?:your|the) (?:\w+ )?{_UNRESISTED}\b)"
    r"|straighten(?:s|ing)?\b(?! (?:your|the|both|each) (?:\{[a-z ]+\} )?(?:arm|elbow)s?\b)"
    r"|(?:go|come)(?:ing)? up\b)"
)
_OUT = r"(?:breathe? out|breathing out|exhale|exhaling|blow)"
_AND_OUT = rf"(?:,? (?:and|then|&))*,? (?:out\b|{_OUT})"
_IN = (
    rf"(?:breathe? in|breathing in|inhale|inhaling|in-breath)\b(?!{_AND_OUT})"
    r"(?: \w+ly\b| deep\b)?"
)
_WHILE = r"(?:as|while|when|with|on|during)"
_SOMEBODY = rf"(?:you |(?:your |the |each |both )(?:(?!{_UNRESISTED})\w+ )?|(?!{_UNRESISTED})\w+ )?"
_NOT_OUT = rf"(?![^.!?]{{0,30}}\b{_OUT}\b)"
_GAP = rf"(?:(?!\b(?:{_OUT}|lower|return|back|down)\b)[^.!?]){{0,20}}"
_FORWARD = re.compile(rf"\b{_IN},? {_WHILE} {_SOMEBODY}{_EFFORT}", re.IGNORECASE)
_BACKWARD = re.compile(rf"\b(?:as|while|when) you {_EFFORT}{_GAP}\b{_IN}", re.IGNORECASE)
_FORWARD_IN_EFFORT = re.compile(
    rf"\b{_IN}(?:,? and| to|,) (?:to )?{_EFFORT}{_NOT_OUT}"
    rf"|\b{_IN} (?:on the way )?up\b(?! (?:into|through|to|the)\b)",
    re.IGNORECASE,
)
"""Looser pairs, which mean the effort only in an exercise that is one."""

_BACKWARD_IN_EFFORT = re.compile(
    rf"\b{_EFFORT}(?: up)?(?: (?:it|them|(?:your|the|both|each) [\w{{}}]+(?: \w+)?))?"
    rf",? (?:(?:as|while|when) (?:you )?|and |on the )?{_IN}",
    re.IGNORECASE,
)
_OUT_BEFORE = re.compile(rf"\b{_OUT}\b[^.!?]*$", re.IGNORECASE)
_CALLED_IN = re.compile(rf"\b{_IN}{_NOT_OUT}", re.IGNORECASE)


def find(subject: Subject) -> Iterator[Finding]:
    """Lines that pair an effort with breathing in."""
    for exercise in subject.every_exercise:
        if exercise.kind is Kind.BREATHING:
            continue
        for line in exercise_lines(exercise):
            if phrase := _paired(line, effort=is_effort(exercise)):
                message = f"`{phrase}` pairs the effort with breathing in"
                remedy = "Pair it with breathing out, or accept it with the reason."
                yield Finding.in_line(line, message, remedy, phrase)


def _paired(line: Line, *, effort: bool) -> str:
    """The words that pair the two, empty where none do.

    What is called in the part of the effort is said while the patient makes it.
    """
    forward, backward = [_FORWARD], [_BACKWARD]
    if effort:
        forward.append(_FORWARD_IN_EFFORT)
        backward.append(_BACKWARD_IN_EFFORT)
        if line.path.endswith((".calls.out", ".calls.contract")):
            forward.append(_CALLED_IN)
    found = [match.group() for pattern in forward if (match := pattern.search(line.text))]
    for pattern in backward:
        for match in pattern.finditer(line.text):
            if not _OUT_BEFORE.search(line.text[: match.start()]):
                found.append(match.group())
    return next(iter(found), "")


CHECK = Check(
    id="effort-breathing-in",
    severity=Severity.CAUTION,
    says="effort is paired with breathing in",
    find=find,
    english=True,
)
