"""Fitting a session to a length: which exercises, which doses.

One stated objective, in this order: keep every exercise that is not optional (always),
keep as many optional ones as fit, keep the doses near their usual (the least sum of
deviations), share what must give fairly (the least largest deviation), keep the rests
near their usual.  Each step is a small mixed-integer program, solved to proven
optimality by HiGHS and then held fixed for the next.

Times are in samples; the solver works in seconds, in which its tolerance of a millionth
is far less than a sample, and the solution is checked again in whole samples.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from breathmark.dose.room import Room

_Row = NDArray[np.float64]
_INF = float("inf")
_SLACK = 1e-3  # deviations are whole numbers; for the last goal it is a millisecond
_INFEASIBLE = 2  # scipy.optimize.milp: "Problem is infeasible"


@dataclass(frozen=True, kw_only=True, slots=True)
class Way:
    """One way of doing one exercise: after which other one, with which dose.

    ``exercise`` and ``after`` are indices (``after`` of -1 is the opening); ``option``
    numbers the doses of the exercise; ``room`` is what its whole chapter may last.
    """

    exercise: int
    after: int
    option: int
    deviation: int
    room: Room


@dataclass(frozen=True, kw_only=True, slots=True)
class Task:
    """A fit to make: ``optional`` tells for each exercise whether it may be left out.

    ``around`` is the opening and the closing together; ``length`` is the promise.
    """

    length: int
    rate_hz: int
    optional: tuple[bool, ...]
    around: Room
    ways: tuple[Way, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Score:
    """The objective, in the order in which it counts: smaller is better, field by field."""

    left_out: int
    deviation: int
    largest: int
    off_usual: int

    def key(self) -> tuple[int, int, int, int]:
        """The fields in their order, for comparing."""
        return self.left_out, self.deviation, self.largest, self.off_usual


@dataclass(frozen=True, kw_only=True, slots=True)
class Fit:
    """The chosen way of every exercise that is kept, in order, and its score."""

    ways: tuple[Way, ...]
    score: Score


def score(task: Task, ways: Sequence[Way]) -> Score | None:
    """The score of a choice, or ``None`` when it cannot last exactly ``task.length``."""
    total = task.around
    for way in ways:
        total += way.room
    if task.length not in total:
        return None
    return Score(
        left_out=len(task.optional) - len(ways),
        deviation=sum(way.deviation for way in ways),
        largest=max((way.deviation for way in ways), default=0),
        off_usual=abs(task.length - total.usual),
    )


def fit(task: Task) -> Fit | None:
    """The best choice by the stated objective; ``None`` when nothing fits.

    Nothing is better than to keep every exercise: that is tried first, in a smaller program.
    """
    everything = _kept_whole(task)
    found = _Program(everything).solved() if _may_last(everything) else None
    if found is None and any(task.optional) and _may_last(task):
        return _Program(task).solved()
    return found


def possible(task: Task) -> bool:
    """Whether any choice lasts exactly the promised length; quicker than :func:`fit`."""
    return _may_last(task) and _Program(task).feasible()


def _kept_whole(task: Task) -> Task:
    """The same task with no exercise left out: each comes right after the one before it."""
    ways = tuple(way for way in task.ways if way.after == way.exercise - 1)
    return replace(task, ways=ways, optional=(False,) * len(task.optional))


def _may_last(task: Task) -> bool:
    """Whether the length lies between the shortest and the longest ways added up."""
    low = high = 0
    for index, optional in enumerate(task.optional):
        own = [way.room for way in task.ways if way.exercise == index]
        if not own and not optional:
            return False
        low += 0 if optional else min(one.low for one in own)
        high += max((one.high for one in own), default=0)
    return task.around.low + low <= task.length <= task.around.high + high


def bounds(task: Task) -> tuple[int, int]:
    """The shortest and the longest session of any choice, in samples."""
    program = _Program(task)
    return program.extreme("low"), program.extreme("high")


class _Program:
    """The mixed-integer program: one binary for each way, then two continuous helpers.

    The helpers are the largest deviation and the distance from the usual length.
    """

    def __init__(self, task: Task) -> None:
        self._task = task
        self._ways = task.ways
        self._exercise = np.array([way.exercise for way in task.ways], dtype=int)
        self._after = np.array([way.after for way in task.ways], dtype=int)
        self._deviation = np.array([way.deviation for way in task.ways], dtype=float)
        self._rows: list[tuple[_Row, float, float]] = []
        self._each_exercise_once()
        self._what_lies_between_is_left_out()

    def solved(self) -> Fit | None:
        """Solve for each part of the objective in turn."""
        self._lasts()
        goals = [self._row(self._deviation), self._row(largest=1), self._row(off=1)]
        if any(self._task.optional):
            goals.insert(0, self._row(-np.ones(len(self._ways))))
        chosen: tuple[Way, ...] = ()
        for goal in goals:
            values = self._minimised(goal)
            if values is None:
                return None
            chosen = self._chosen(values)
            self._rows.append((goal, -_INF, round(float(goal @ values), 6) + _SLACK))
        result = score(self._task, chosen)
        if result is None:
            raise ArithmeticError("the solver's choice does not last the promised length")
        return Fit(ways=chosen, score=result)

    def feasible(self) -> bool:
        """Whether any choice lasts exactly the promised length."""
        self._lasts()
        return self._minimised(self._row()) is not None

    def extreme(self, bound: str) -> int:
        """The least sum of ``low``, or the greatest sum of ``high``, of any choice."""
        sign = 1 if bound == "low" else -1
        values = self._minimised(self._lengths(bound) * sign)
        if values is None:
            raise ArithmeticError("no order of these exercises is possible")
        total = self._task.around
        for way in self._chosen(values):
            total += way.room
        return total.low if bound == "low" else total.high

    def _row(
        self, ways: NDArray[np.float64] | float = 0.0, *, largest: float = 0, off: float = 0
    ) -> _Row:
        """Coefficients for the ways, the largest deviation and the distance from usual."""
        row = np.zeros(len(self._ways) + 2)
        row[: len(self._ways)] = ways
        row[-2:] = largest, off
        return row

    def _lengths(self, bound: str) -> _Row:
        rate = self._task.rate_hz
        return self._row(np.array([getattr(way.room, bound) / rate for way in self._ways]))

    def _each_exercise_once(self) -> None:
        self._rows.append((self._row(1.0), 1, _INF))  # a session without any is none
        for index, may_be_left_out in enumerate(self._task.optional):
            own = self._exercise == index
            self._rows.append((self._row(own.astype(float)), 0 if may_be_left_out else 1, 1))
            largest = self._row(np.where(own, -self._deviation, 0), largest=1)
            self._rows.append((largest, 0, _INF))

    def _what_lies_between_is_left_out(self) -> None:
        """A way that comes after another exercise needs that one, and none in between."""
        for index, before in sorted({(way.exercise, way.after) for way in self._ways}):
            follows = (self._exercise == index) & (self._after == before)
            if before >= 0:
                needed = follows.astype(float) - (self._exercise == before)
                self._rows.append((self._row(needed), -_INF, 0))
            for between in range(before + 1, index):
                excluded = follows.astype(float) + (self._exercise == between)
                self._rows.append((self._row(excluded), -_INF, 1))

    def _lasts(self) -> None:
        """The promise lies between the shortest and the longest of the choice."""
        task = self._task
        low, usual, high = (
            (task.length - part) / task.rate_hz
            for part in (task.around.low, task.around.usual, task.around.high)
        )
        lengths = self._lengths("usual")
        self._rows.append((self._lengths("low"), -_INF, low))
        self._rows.append((self._lengths("high"), high, _INF))
        self._rows.append((lengths - self._row(off=1), -_INF, usual))
        self._rows.append((lengths + self._row(off=1), usual, _INF))

    def _minimised(self, goal: _Row) -> _Row | None:
        from scipy.optimize import Bounds, LinearConstraint, milp

        binaries = len(self._ways)
        rows, low, high = zip(*self._rows, strict=True)
        result = milp(
            goal,
            integrality=self._row(1.0).astype(int),
            bounds=Bounds(np.zeros(binaries + 2), np.append(np.ones(binaries), [np.inf, np.inf])),
            constraints=LinearConstraint(np.array(rows), low, high),
            options={"mip_rel_gap": 0.0},
        )
        if result.status == _INFEASIBLE:
            return None
        if result.status != 0:
            raise ArithmeticError(f"the solver stopped without a proof: {result.message}")
        return np.asarray(result.x, dtype=float)

    def _chosen(self, values: _Row) -> tuple[Way, ...]:
        kept = [way for way, value in zip(self._ways, values, strict=False) if value > 0.5]
        return tuple(sorted(kept, key=lambda way: way.exercise))
