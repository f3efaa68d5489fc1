"""A cue holds more than one thought.

What: a cue has two sentences, a semicolon, or two commands joined by `and`, `then` or
`but`.

Why: in the middle of an exercise one instruction can be acted on; the second pushes out
the first.

Source: one or two instructions at a time, Selic 2011, BMC Fam Pract 12:141 (published);
one thought a cue, common practice.

To mend: make two cues of it, the more important one first.

To accept: say why they belong together, such as a rhythm that is said as one.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from breathmark.dose.checks.finding import Check, Finding, Subject
from breathmark.dose.checks.lines import lines_of
from breathmark.problems import Severity

_COMMANDS = (
    "avoid bend breathe bring circle clench come count curl don't drag draw drive drop "
    "exhale feel fold go grip grow hold imagine inhale keep kick lean leave let lift look "
    "lower make march move open pause place point press pull push put raise reach relax "
    "release repeat rest return rise rock roll rotate set shift shrug sink sit slide soften "
    "spread squeeze stand start stay step stop straighten stretch swing take tap think "
    "tighten tilt tip try tuck turn twist use walk"
)
_TWO = (
    re.compile(r"[.!?]\s+\S"),
    re.compile(r"[;:]|\s[–—-]\s"),
    re.compile(
        rf"(?:\band then|\band|\bthen|\bbut|,)\s+(?:slowly |gently |softly )?"
        rf"(?:{_COMMANDS.replace(' ', '|')})\b",
        re.IGNORECASE,
    ),
)


def find(subject: Subject) -> Iterator[Finding]:
    """Cues with a second thought, marked where it begins."""
    for exercise in subject.every_exercise:
        for line in lines_of(exercise, "cues"):
            matches = [match for match in (one.search(line.text) for one in _TWO) if match]
            if matches:
                yield Finding.in_line(
                    line,
                    "this cue holds more than one thought",
                    "Make two cues of it, the more important one first.",
                    matches[0].group().strip(" ,"),
                )


CHECK = Check(
    id="cue-one-thought",
    severity=Severity.CAUTION,
    says="a cue holds more than one thought",
    find=find,
    english=True,
)
