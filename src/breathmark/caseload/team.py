"""Processes that build side by side, each one patient at a time.

They are started afresh (the same on every system), end when the process that started
them ends, however it ends, and are replaced when one of them dies on its work.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import threading
from collections.abc import Callable, Generator, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from multiprocessing import resource_tracker
from multiprocessing.connection import Connection, wait
from types import FrameType
from typing import TYPE_CHECKING, NoReturn

from breathmark.caseload.building import Workshop
from breathmark.caseload.entries import Entry
from breathmark.caseload.outcome import Outcome, Result
from breathmark.orders import Order

if TYPE_CHECKING:
    from multiprocessing.context import SpawnProcess

MOST_JOBS = 60
"""Windows waits for no more than 63 of them at once."""

_PATIENCE_S = 10.0
_STOPS = (signal.SIGINT, signal.SIGTERM)


def cores() -> int:
    """How many processes may run at once on this machine."""
    if hasattr(os, "sched_getaffinity"):
        return min(len(os.sched_getaffinity(0)), MOST_JOBS)
    return min(os.cpu_count() or 1, MOST_JOBS)


def build_all(entries: Sequence[Entry], order: Order, jobs: int) -> Generator[Outcome, None, None]:
    """Build every entry in up to ``jobs`` processes; outcomes as they come.

    Closing the iterator, an interrupt, or a termination signal (raised here as
    ``KeyboardInterrupt``) ends the processes; each result folder is then whole, old or
    new.
    """
    turns = _Turns(entries)
    team: list[_Hand] = []
    stops = _Stops()
    with stops.heard():
        try:
            while turns.waiting or any(hand.entry for hand in team):
                _hand_out(turns, team, jobs, lambda: _start(order, team, stops))
                yield from _collect(turns, team)
        finally:
            for hand in team:
                hand.process.terminate()
            for hand in team:
                hand.process.join(_PATIENCE_S)
                hand.process.kill()


@dataclass(slots=True)
class _Hand:
    """A process, our end of the line to it, and what it is doing."""

    process: SpawnProcess
    line: Connection
    entry: Entry | None = None


class _Turns:
    """Who is next.

    Of the entries that share their words one goes first, until it is done: it leaves the
    words in the store, and the others need not say them again.
    """

    def __init__(self, entries: Sequence[Entry]) -> None:
        self.waiting = list(entries)
        self._said: set[str] = set()
        self._leading: set[str] = set()

    def take(self) -> Entry | None:
        """The next entry, or ``None`` while all must wait for another."""
        for at, entry in enumerate(self.waiting):
            if entry.shares in self._said or entry.shares not in self._leading:
                self._leading.add(entry.shares)
                return self.waiting.pop(at)
        return None

    def done(self, entry: Entry, outcome: Outcome) -> None:
        """Open the way for the entries that share their words with this one."""
        self._leading.discard(entry.shares)
        if outcome.result is not Result.REFUSED:
            self._said.add(entry.shares)


def _hand_out(turns: _Turns, team: list[_Hand], jobs: int, start: Callable[[], _Hand]) -> None:
    """Give everybody something to do, and take on more hands where there is more."""
    while True:
        idle = next((hand for hand in team if hand.entry is None), None)
        if idle is None and len(team) >= jobs:
            return
        entry = turns.take()
        if entry is None:
            return
        idle = idle or start()
        idle.entry = entry
        with suppress(OSError):  # it has died while idle, which is noticed when it is waited for
            idle.line.send(entry)


def _collect(turns: _Turns, team: list[_Hand]) -> Iterator[Outcome]:
    """Wait for one outcome or more; who died on its work leaves the team."""
    ready = wait([hand.line for hand in team if hand.entry is not None])
    for hand in [hand for hand in team if hand.line in ready]:
        entry = hand.entry
        if entry is None:
            continue
        try:
            outcome: Outcome = hand.line.recv()
        except (EOFError, ConnectionError):
            outcome = _died(entry, hand)
            team.remove(hand)
        hand.entry = None
        turns.done(entry, outcome)
        yield outcome


def _died(entry: Entry, hand: _Hand) -> Outcome:
    hand.process.join(_PATIENCE_S)
    text = (
        f"the process that was building it ended by itself (status {hand.process.exitcode}); "
        "is there enough memory? Fewer `--jobs` need less"
    )
    return Outcome(
        number=entry.number, shown=entry.shown, result=Result.REFUSED, why=(text,), details=text
    )


def _start(order: Order, team: list[_Hand], stops: _Stops) -> _Hand:
    context = multiprocessing.get_context("spawn")
    ours, theirs = context.Pipe()
    process = context.Process(target=_work, args=(theirs, order), daemon=True)
    hand = _Hand(process=process, line=ours)
    with stops.held():
        process.start()
        team.append(hand)
    theirs.close()
    return hand


def _work(line: Connection, order: Order) -> None:
    """What a process does: build what comes along the line until there is no more."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the one who started us says when to stop
    signal.signal(signal.SIGTERM, _leave)
    if sys.platform != "win32":
        signal.pthread_sigmask(signal.SIG_UNBLOCK, _STOPS)
    threading.Thread(target=_end_with_parent, daemon=True).start()
    workshop = Workshop(order)
    while True:
        try:
            entry: Entry = line.recv()
        except EOFError:
            return
        line.send(workshop.build(entry))


def _leave(number: int, _frame: FrameType | None) -> NoReturn:
    """End in good order: what was being written is cleared on the way out."""
    signal.signal(signal.SIGTERM, signal.SIG_IGN)
    raise SystemExit(128 + number)


def _end_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


class _Stops:
    """Makes an interrupt of a termination signal, too; either can be made to wait.

    Signals are the main thread's; in another one nothing is changed.
    """

    def __init__(self) -> None:
        self._holding = self._held = False

    def __call__(self, _number: int, _frame: FrameType | None) -> None:
        """Handle a signal."""
        if not self._holding:
            raise KeyboardInterrupt
        self._held = True

    @contextmanager
    def heard(self) -> Iterator[None]:
        """Handle the signals in the ``with`` block."""
        if threading.current_thread() is not threading.main_thread():
            yield
            return
        before = [(number, signal.signal(number, self)) for number in _STOPS]
        try:
            yield
        finally:
            for number, handler in before:
                signal.signal(number, handler)

    @contextmanager
    def held(self) -> Iterator[None]:
        """Let them wait while a process is started, so that it is started wholly.

        The process begins with the signals blocked: none meets it before it is ready.
        """
        self._holding = True
        try:
            with _blocked():
                yield
        finally:
            self._holding = False
        if self._held:
            raise KeyboardInterrupt


@contextmanager
def _blocked() -> Iterator[None]:
    if sys.platform == "win32":  # where a process is ended without being asked
        yield
        return
    resource_tracker.ensure_running()  # it would let the signals through when it starts
    before = signal.pthread_sigmask(signal.SIG_BLOCK, _STOPS)
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
