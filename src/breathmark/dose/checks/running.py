"""Running the checks on a routine, and what the author accepted of what they say."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from breathmark.dose.checks.finding import Check, Finding, Subject
from breathmark.dose.checks.registry import all_checks
from breathmark.problems import Problem, Severity, did_you_mean, in_file_order
from breathmark.routine.exercise import folded
from breathmark.routine.model import Accepted, Routine

UNKNOWN_ACCEPT = "accept-unknown"
"""An accepted check that does not exist (a caution)."""
REFUSED_ACCEPT = "accept-refused"
"""An accepted check that may not be accepted (an error)."""
UNUSED_ACCEPT = "accept-unused"
"""An accepted check that found nothing to accept (a note)."""


@dataclass(frozen=True, kw_only=True, slots=True)
class AcceptedProblem:
    """What a check said and the author accepted, with the reason given in the file."""

    problem: Problem
    because: str


@dataclass(frozen=True, kw_only=True, slots=True)
class CheckResult:
    """What the checks said, in file order, and what of it was accepted with a reason."""

    problems: tuple[Problem, ...]
    accepted: tuple[AcceptedProblem, ...] = ()

    @property
    def errors(self) -> tuple[Problem, ...]:
        """The problems that stop a build."""
        return tuple(one for one in self.problems if one.severity is Severity.ERROR)

    def as_data(self) -> list[dict[str, str | int | None]]:
        """Every finding as plain data for the record, accepted ones with their reason.

        Lines are given, files are not: a path may tell more than belongs into a record.
        """
        found = [(problem, None) for problem in self.problems]
        accepted = [(one.problem, one.because) for one in self.accepted]
        return [_data(problem, because) for problem, because in (*found, *accepted)]


def _data(problem: Problem, because: str | None) -> dict[str, str | int | None]:
    return {
        "check": problem.rule,
        "severity": problem.severity.value,
        "message": problem.message,
        "line": problem.place.line,
        "accepted_because": because,
    }


def check_routine(
    routine: Routine,
    *,
    avoid: Sequence[str] = (),
    conditions: Sequence[str] = (),
    session_length_ms: int | None = None,
    sides_decided: bool = False,
) -> CheckResult:
    """Look a routine through as a colleague would.

    ``avoid`` is what the patient must not do: give it once the routine has been changed
    to suit the patient, as anything avoided that is still there is an error then.
    ``conditions`` are names from the published words.  ``session_length_ms`` is the
    planned length; without it the routine's own `length` counts.  ``sides_decided`` says
    that the patient's file asks for one side only, so that unequal sides are meant.
    """
    subject = Subject.of(
        routine,
        avoid=avoid,
        conditions=conditions,
        session_length_ms=session_length_ms,
        sides_decided=sides_decided,
    )
    problems: list[Problem] = []
    accepted: list[AcceptedProblem] = []
    used: set[int] = set()
    for check in all_checks():
        if check.english and not subject.english:
            continue
        for finding in check.find(subject):
            problem = _problem(check, finding, routine)
            index = _acceptance(check, finding, routine.accepted)
            if index is None:
                problems.append(problem)
                continue
            used.add(index)
            because = routine.accepted[index].because
            accepted.append(AcceptedProblem(problem=problem, because=because))
    problems += _acceptance_problems(routine, used)
    return CheckResult(problems=in_file_order(problems), accepted=tuple(dict.fromkeys(accepted)))


def as_fitted(written: CheckResult, planned: CheckResult, *, to: str) -> CheckResult:
    """What is said of a routine whose doses were fitted to a length, ``to`` in words.

    ``written`` is about the doses as they stand in the file.  What only the fitted ones
    bring says so; an entry of `accept` that only they leave without use is not told.
    """
    problems = [
        one if one in written.problems else replace(one, message=f"fitted to {to}: {one.message}")
        for one in planned.problems
        if one.rule != UNUSED_ACCEPT or one in written.problems
    ]
    return replace(planned, problems=tuple(problems))


def _problem(check: Check, finding: Finding, routine: Routine) -> Problem:
    return Problem(
        rule=check.id,
        message=finding.message,
        place=finding.place(routine),
        remedy=finding.remedy,
        severity=check.severity,
    )


def _acceptance(check: Check, finding: Finding, accepted: Sequence[Accepted]) -> int | None:
    """Which entry of `accept` silences a finding; one for its exercise before a general one."""
    if not check.acceptable:
        return None
    about = folded(finding.exercise.name) if finding.exercise else None
    fitting = [
        (one.exercise is None, index)
        for index, one in enumerate(accepted)
        if one.check == check.id and (one.exercise is None or folded(one.exercise) == about)
    ]
    return min(fitting)[1] if fitting else None


def _acceptance_problems(routine: Routine, used: set[int]) -> Iterator[Problem]:
    """What is wrong with the entries of `accept` themselves."""
    known = {check.id: check for check in all_checks()}
    here = {folded(exercise.name) for exercise in (*routine.exercises, *routine.alternatives)}
    for index, one in enumerate(routine.accepted):
        check = known.get(one.check)
        if check is None:
            rule, severity = UNKNOWN_ACCEPT, Severity.CAUTION
            message = f"there is no check `{one.check}` to accept"
            remedy = did_you_mean(one.check, known)
        elif not check.acceptable:
            rule, severity = REFUSED_ACCEPT, Severity.ERROR
            message = f"`{one.check}` guards a patient's safety; it may not be accepted"
            remedy = "Take this entry out and mend what the check finds."
        elif index not in used and not check.of_session and _is_here(one, here):
            rule, severity = UNUSED_ACCEPT, Severity.NOTE
            message = f"`{one.check}` found nothing here that would need accepting"
            remedy = "Take this entry out, or see whether its `exercise` is still the right one."
        else:
            continue
        place = routine.place(f"accept[{index}].check")
        yield Problem(rule=rule, message=message, place=place, remedy=remedy, severity=severity)


def _is_here(accepted: Accepted, here: set[str]) -> bool:
    """Whether an entry is about the whole routine or an exercise that is in this session."""
    return accepted.exercise is None or folded(accepted.exercise) in here
