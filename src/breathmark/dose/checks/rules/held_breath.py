"""A held breath is asked for.

What: a breathing pattern holds the breath in or out, or a line asks for it, be it by a
pause between breathing in and out.  To hold it in an effort is an error of its own,
`held-breath-effort`.

Why: a held breath raises blood pressure and makes some people dizzy; calm breathing
does not need it.

Source: no held breath by default (common practice); longer out than in is what relaxes,
Van Diest 2014, Appl Psychophysiol Biofeedback 39:171-80 (published).

To mend: take the hold out of the pattern and lengthen the breath out; in words, say
`keep breathing`.

To accept: say why the hold is wanted, such as a technique for clearing the chest.
"""

from __future__ import annotations

from collections.abc import Iterator

from breathmark.dose.checks.asking_breath import asked_phrase, paused_phrase
from breathmark.dose.checks.finding import Check, Finding, Subject
from breathmark.dose.checks.lines import exercise_lines, routine_lines
from breathmark.dose.guidance import RESISTANCE_TAG
from breathmark.dose.totals import contraction_ms
from breathmark.problems import Severity
from breathmark.routine.model import BreathingDose, Exercise, Kind


def find(subject: Subject) -> Iterator[Finding]:
    """Patterns with a hold, and lines that ask for one."""
    for exercise in subject.every_exercise:
        dose = exercise.dose
        if isinstance(dose, BreathingDose) and (
            dose.pattern.hold_in_ms or dose.pattern.hold_out_ms
        ):
            yield Finding(
                path=f"{exercise.path}.pattern",
                message="this pattern holds the breath",
                remedy="Take the hold out and lengthen `out`, or accept it with the reason.",
                exercise=exercise,
            )
    if not subject.english:
        return
    lines = [line for one in subject.every_exercise for line in exercise_lines(one)]
    for line in (*routine_lines(subject.routine), *lines):
        effort = line.exercise is not None and is_effort(line.exercise)
        asked = "" if effort else asked_phrase(line.text)
        if phrase := asked or paused_phrase(line.text):
            message = f"`{phrase}` asks for a held breath"
            yield Finding.in_line(line, message, "Say `keep breathing` instead.", phrase)


def is_effort(exercise: Exercise) -> bool:
    """Whether an exercise counts repetitions, has added resistance or tenses a muscle."""
    resisted = RESISTANCE_TAG in exercise.involves
    return exercise.kind is Kind.REPS or resisted or contraction_ms(exercise) > 0


CHECK = Check(
    id="held-breath",
    severity=Severity.CAUTION,
    says="a held breath is asked for",
    find=find,
)
