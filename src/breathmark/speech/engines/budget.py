"""Two threads share work whose memory is bounded: the largest job that still fits goes next."""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable, Iterator, Sequence
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

    def take(self) -> Job[Work] | None:
        """The largest job that fits beside those running, waiting for room; ``None`` at the end."""
        with self._changed:
            while self._waiting:
                job = self._fitting()
                if job is not None:
                    self._waiting.remove(job)
                    self._running.append(job.cost)
                    return job
                self._changed.wait()
        return None

    def _fitting(self) -> Job[Work] | None:
        if not self._running:
            return self._waiting[-1]
        room = self._most - sum(self._running)
        return next((job for job in reversed(self._waiting) if job.cost <= room), None)

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
    done: queue.Queue[tuple[int, Result] | Exception] = queue.Queue()

    def work() -> None:
        while (job := bench.take()) is not None:
            try:
                done.put((job.index, do(job.work)))
            except Exception as error:  # noqa: BLE001 - raised again by the one who waits
                done.put(error)
            finally:
                bench.give_back(job.cost)

    threads = [threading.Thread(target=work, daemon=True) for _ in range(min(THREADS, len(jobs)))]
    for thread in threads:
        thread.start()
    try:
        for _ in jobs:
            result = done.get()
            if isinstance(result, Exception):
                raise result
            yield result
    finally:
        bench.stop()
        for thread in threads:
            thread.join()
