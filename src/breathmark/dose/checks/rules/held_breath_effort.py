"""A held breath is asked for during an effort.

What: an exercise that tenses a muscle, moves against added resistance or counts
repetitions has a line that asks to hold the breath or to bear down.

Why: this is the Valsalva manoeuvre.  In quadriceps isometrics bearing down took blood
pressure to 163/120 mmHg, breathing out kept it at 148/112.  Nobody stands beside the
patient who could notice.

Source: Phys Ther 1989;69:757-61 (published).

To mend: say `Breathe out as you lift.`

To accept: it may not be accepted.
"""

from __future__ import annotations

from collections.abc import Iterator

from breathmark.dose.checks.asking_breath import asked_phrase
from breathmark.dose.checks.finding import Check, Finding, Subject
from breathmark.dose.checks.lines import exercise_lines
from breathmark.dose.checks.rules.held_breath import is_effort
from breathmark.problems import Severity


def find(subject: Subject) -> Iterator[Finding]:
    """Lines of efforts that ask for a held breath."""
    for exercise in subject.every_exercise:
        if not is_effort(exercise):
            continue
        for line in exercise_lines(exercise):
            if phrase := asked_phrase(line.text):
                message = f"`{phrase}` is asked for during an effort"
                remedy = "Say `Breathe out as you lift.` or the like."
                yield Finding.in_line(line, message, remedy, phrase)


CHECK = Check(
    id="held-breath-effort",
    severity=Severity.ERROR,
    says="a held breath is asked for during an effort",
    find=find,
    english=True,
    acceptable=False,
)
