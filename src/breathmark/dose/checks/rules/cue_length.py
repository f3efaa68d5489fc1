"""A cue has more than eight words.

What: a cue of nine words or more; `{other side}` counts as one.

Why: a cue is heard while moving, between a count and a tone.  Short ones are said in
time and kept in mind.

Source: eight words or fewer (common practice); 40 to 80 % of what is said is forgotten at
once, Kessels 2003, J R Soc Med 96:219-22 (published).

To mend: keep the effect, drop the explanation, or move it to the set-up.

To accept: say why it has to be this long.
"""

from __future__ import annotations

from collections.abc import Iterator

from breathmark.dose.checks.finding import Check, Finding, Subject
from breathmark.dose.checks.lines import lines_of, words_in
from breathmark.problems import Severity

MOST_WORDS = 8


def find(subject: Subject) -> Iterator[Finding]:
    """Cues that are too long."""
    for exercise in subject.every_exercise:
        for line in lines_of(exercise, "cues"):
            number = words_in(line.text)
            if number > MOST_WORDS:
                message = f"this cue has {number} words; {MOST_WORDS} are heard in time"
                yield Finding.in_line(line, message, "Shorten it, or move a part to the set-up.")


CHECK = Check(
    id="cue-length",
    severity=Severity.CAUTION,
    says="a cue has more than eight words",
    find=find,
)
