"""The words are harder than grade 8.

What: the lines of an exercise, or those of the opening, closing and cautions together,
have a Flesch-Kincaid grade above 8.

Why: what is heard once, in effort, has to be plainer than what is read.

Source: patient text at grade 5 to 8, Am Fam Physician 2015;92:118-24 (published); the
formula, Kincaid 1975, Research Branch Report 8-75 (published).

To mend: shorter sentences first, then shorter words: `bend` for `flex`, `raise` for
`elevate`.

To accept: say who this patient is that the words suit.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from breathmark.dose.checks.finding import Check, Finding, Subject
from breathmark.dose.checks.lines import Line, lines_of, routine_lines
from breathmark.problems import Severity
from breathmark.routine.readability import flesch_kincaid_grade

MOST_GRADE = 8.0

_LETTER = re.compile(r"[A-Za-z]")


def find(subject: Subject) -> Iterator[Finding]:
    """Exercises, and the routine's own lines, above the grade."""
    for exercise in subject.every_exercise:
        lines = lines_of(exercise, "setup", "cues", "feel", "breathe", "easier", "helper")
        grade = grade_of(lines)
        if grade > MOST_GRADE:
            yield Finding(
                path=lines[0].path,
                message=f"the words of `{exercise.name}` are at grade {grade:.1f}; 8 is the most",
                remedy="Make the sentences shorter, then the words.",
                exercise=exercise,
            )
    own = [line for line in routine_lines(subject.routine) if line.kind != "title"]
    grade = grade_of(own)
    if grade > MOST_GRADE:
        yield Finding(
            path=own[0].path,
            message=f"opening, closing and cautions are at grade {grade:.1f}; 8 is the most",
            remedy="Make the sentences shorter, then the words.",
        )


def grade_of(lines: Iterable[Line]) -> float:
    """The grade of lines said one after the other; 0 when there are no words to judge."""
    texts = [_sentence(line) for line in lines]
    whole = " ".join(texts)
    return flesch_kincaid_grade(whole) if _LETTER.search(whole) else 0.0


def _sentence(line: Line) -> str:
    text = f"You should feel {line.said}" if line.kind == "feel" else line.said
    return text if text[-1] in ".!?" else f"{text}."


CHECK = Check(
    id="reading-grade",
    severity=Severity.CAUTION,
    says="the words are harder than grade 8",
    find=find,
    english=True,
)
