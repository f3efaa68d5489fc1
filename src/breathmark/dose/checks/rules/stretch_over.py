"""A target is stretched for longer than brings more.

What: a target gets more than 4 min of stretch a session, or more than 10 min a week, on
one side.

Why: gains level off there; the time may be better spent, and a shorter routine is kept
up more easily.

Source: Ingram 2025, Sports Med, 10.1007/s40279-024-02143-9 (second-hand).

To mend: take a set or a day away.  A hold that is an effort needs
`involves: [isometric effort]`.

To accept: say what the longer dose is for, such as a contracture.
"""

from __future__ import annotations

from collections.abc import Iterator

from breathmark.dose.checks.efforts import unless_effort
from breathmark.dose.checks.finding import Check, Finding, Subject
from breathmark.dose.guidance import STRETCH_SESSION_MOST, STRETCH_WEEK_MOST, Guide, Verdict
from breathmark.dose.totals import Amounts, TargetDose, targets_of
from breathmark.problems import Severity
from breathmark.routine.model import Exercise
from breathmark.units import duration_text


def find(subject: Subject) -> Iterator[Finding]:
    """Targets over the guidance, shown at the last exercise that stretches them."""
    for target in subject.totals.targets:
        most = max(target.left, target.right, key=lambda amounts: amounts.stretch_ms)
        over = _over(most, subject.totals.week(most))
        if over is None:
            continue
        exercise = _last_stretch(subject, target)
        yield Finding(
            path=f"{exercise.path}.sets",
            message=f"{target.target} gets {over}",
            remedy="Take a set or a day away, or accept it with the reason."
            + unless_effort(exercise),
            exercise=exercise,
        )


def _over(session: Amounts, week: Amounts | None) -> str | None:
    if STRETCH_SESSION_MOST.verdict(session.stretch_ms) is Verdict.OVER:
        return _told(STRETCH_SESSION_MOST, session.stretch_ms)
    if week is not None and STRETCH_WEEK_MOST.verdict(week.stretch_ms) is Verdict.OVER:
        return _told(STRETCH_WEEK_MOST, week.stretch_ms)
    return None


def _told(guide: Guide, measured_ms: int) -> str:
    return f"{duration_text(measured_ms)} of {guide.of}; {guide.says}"


def _last_stretch(subject: Subject, target: TargetDose) -> Exercise:
    wanted = target.target.casefold()
    return [
        one.exercise
        for one in subject.totals.exercises
        if wanted in (name.casefold() for name in targets_of(one.exercise))
        and (one.left.stretch_ms or one.right.stretch_ms)
    ][-1]


CHECK = Check(
    id="stretch-over",
    severity=Severity.NOTE,
    says="a target is stretched for longer than brings more",
    find=find,
)
