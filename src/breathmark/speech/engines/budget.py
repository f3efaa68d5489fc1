"""Two threads share work whose memory is bounded.

One takes the largest job that is left and the other the smallest, so that what is in
the making at once is about the same all the time; they meet in the middle.
"""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Generic, TypeVar

Work = TypeVar("Work")
Result = TypeVar("Result")

THREADS = 2


@dataclass(frozen=True, kw_only=True, slots=True)
class Job(Generic[Work]):
    """One thing to do: its index, and its cost in the unit of the budget."""

    index: int
    cost: float
    work: Work


class _Bench(Generic[Work]):
    """The jobs that wait, smallest first, and the cost of those that are being done."""

    def __init__(self, jobs: Sequence[Job[Work]], most: float) -> None:
        self._waiting = sorted(jobs, key=lambda job: (job.cost, -job.index))
        self._most = most
        self._running: list[float] = []
        self._changed = threading.Condition()

    def take(self, *, largest: bool) -> Job[Work] | None:
        """The next job from one end that fits beside the other's; ``None`` when all are taken."""
        with self._changed:
            while self._waiting:
                job = self._fitting(largest)
                if job is not None:
                    self._waiting.remove(job)
                    self._running.append(job.cost)
                    return job
                self._changed.wait()
        return None

    def _fitting(self, largest: bool) -> Job[Work] | None:
        jobs = list(reversed(self._waiting)) if largest else self._waiting
        if not self._running:
            return jobs[0]
        room = self._most - sum(self._running)
        return next((job for job in jobs if job.cost <= room), None)

    def give_back(self, cost: float) -> None:
        with self._changed:
            self._running.remove(cost)
            self._changed.notify_all()

    def stop(self) -> None:
        with self._changed:
            self._waiting.clear()
            self._changed.notify_all()


def spread(
    jobs: Sequence[Job[Work]], do: Callable[[Work], Result], *, most: float
) -> Iterator[tuple[int, Result]]:
    """Do every job on two threads, yielding index and result as they are done.

    The costs of jobs done at the same time add up to no more than ``most``, except
    that a job which is larger alone is done by itself.  What ``do`` raises is raised
    here; jobs not begun are then left.
    """
    bench = _Bench(jobs, most)
    done: queue.Queue[tuple[int, Result] | None] = queue.Queue()

    def work(largest: bool) -> None:
        try:
            while (job := bench.take(largest=largest)) is not None:
                try:
                    done.put((job.index, do(job.work)))
                finally:
                    bench.give_back(job.cost)
        except BaseException:
            bench.stop()
            raise
        finally:
            done.put(None)

    with ThreadPoolExecutor(THREADS) as threads:
        ends = [threads.submit(work, largest) for largest in (True, False)]
        try:
            for _ in ends:
                yield from iter(done.get, None)  # until one of the two has ended
        finally:
            bench.stop()
        for end in ends:
            end.result()
