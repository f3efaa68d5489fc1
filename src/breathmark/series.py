"""A series: a recording for each week in which something changes, one album in all."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from breathmark.pipeline import Made, Order, Planned, Progress, make, plan, read_case, unheard
from breathmark.problems import Fault, InputProblems, Problem
from breathmark.routine.tailoring import week_starts
from breathmark.script.reach import OUT_OF_REACH


@dataclass(frozen=True, kw_only=True, slots=True)
class Series:
    """The recordings of a series, the earliest week first."""

    weeks: tuple[Made, ...]

    @property
    def planned(self) -> tuple[Planned, ...]:
        """The plans."""
        return tuple(one.planned for one in self.weeks)


def weeks_of(order: Order) -> tuple[int, ...]:
    """The weeks in which something changes: 1, and where the blocks of `weeks` begin.

    Raises :class:`InputProblems` for what is wrong in the files.
    """
    case = read_case(order.source, order.patient)
    return week_starts(case.routine, case.patient)


def plan_series(order: Order, progress: Progress = unheard) -> tuple[Planned, ...]:
    """Plan every week; the order's own week says nothing.

    Raises as :func:`breathmark.pipeline.plan` does, with the week in each message.
    """
    planned = []
    for week in weeks_of(order):
        with _in_words(week):
            planned.append(plan(_in_week(order, week), progress))
    return tuple(planned)


def make_series(
    order: Order, progress: Progress = unheard, *, made: Callable[[Made], None] | None = None
) -> Series:
    """Make every week's recording, the earliest first; the order's own week says nothing.

    ``made`` is told each recording when it is in place.  Raises as
    :func:`breathmark.pipeline.make` does, with the week in each message: the weeks
    before it stay, the later ones are not made.
    """
    weeks: list[Made] = []
    for week in weeks_of(order):
        with _in_words(week):
            weeks.append(make(_in_week(order, week), progress))
        if made is not None:
            made(weeks[-1])
    return Series(weeks=tuple(weeks))


def _in_week(order: Order, week: int) -> Order:
    return dataclasses.replace(order, week=week)


@contextmanager
def _in_words(week: int) -> Iterator[None]:
    """Say of everything that goes wrong in which week it did."""
    try:
        yield
    except InputProblems as found:
        raise InputProblems(_with_week(one, week) for one in found.problems) from found
    except Fault as fault:
        raise Fault(f"in week {week}: {fault.message}", remedy=fault.remedy) from fault


def _with_week(problem: Problem, week: int) -> Problem:
    remedy = problem.remedy
    if problem.rule == OUT_OF_REACH and week > 1:
        remedy += (
            f"\n    The amounts are those of week {week}: written under `from: {week}`, "
            "they leave the other weeks as they are."
        )
    return dataclasses.replace(problem, message=f"in week {week}: {problem.message}", remedy=remedy)
