"""Two threads within a budget: all is done, never too much at once, faults come through."""

from __future__ import annotations

import threading
import time

import pytest

from breathmark.speech.engines.budget import Job, spread


def jobs(*costs: float) -> list[Job[float]]:
    """A job for each cost, its work the cost itself."""
    return [Job(index=index, cost=cost, work=cost) for index, cost in enumerate(costs)]


def test_everything_is_done_once() -> None:
    """Whatever the order, each index comes with its result."""
    done = dict(spread(jobs(3, 1, 2, 5, 1, 4), lambda cost: cost * 2, most=6))
    assert done == {0: 6, 1: 2, 2: 4, 3: 10, 4: 2, 5: 8}


def test_nothing_to_do_is_done_at_once() -> None:
    """No job, no thread that waits for ever."""
    assert list(spread([], str, most=1)) == []


def test_the_budget_holds() -> None:
    """Costs in the making never exceed it, but for a job larger than it, done by itself."""
    running: list[float] = []
    seen: list[tuple[float, int]] = []
    lock = threading.Lock()

    def do(cost: float) -> None:
        with lock:
            running.append(cost)
            seen.append((sum(running), len(running)))
        time.sleep(0.002)
        with lock:
            running.remove(cost)

    list(spread(jobs(9, 4, 4, 3, 3, 2, 2, 1, 1, 1, 1), do, most=5))
    assert all(total <= 5 or (total == 9 and count == 1) for total, count in seen)
    assert any(count == 2 for _, count in seen)


def test_a_fault_is_raised_and_stops_the_rest() -> None:
    """What a thread raises arrives here, and jobs not begun are left."""
    begun: list[float] = []

    def do(cost: float) -> float:
        begun.append(cost)
        if len(begun) == 2:
            raise RuntimeError("broken")
        time.sleep(0.01)
        return cost

    with pytest.raises(RuntimeError, match="broken"):
        list(spread(jobs(*[1.0] * 50), do, most=2))
    assert len(begun) < 6


def test_a_reader_that_stops_early_leaves_no_thread() -> None:
    """Closing the iteration ends both threads."""
    before = threading.active_count()
    iteration = spread(jobs(*[1.0] * 50), lambda _: time.sleep(0.001), most=2)
    next(iteration)
    iteration.close()  # type: ignore[attr-defined]
    assert threading.active_count() == before
