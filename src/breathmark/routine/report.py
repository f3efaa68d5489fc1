"""Collects the problems of a reading, so that all of them can be shown at once."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from breathmark.problems import InputProblems, Place, Problem, Severity, in_file_order
from breathmark.routine.rules import Rule

MOST_SHOWN = 100
"""Problems listed at once; a note says how many more there are."""

MOST_KEPT = 300
"""Problems after which reading stops: the file is probably no routine at all."""

Read = TypeVar("Read")


class TooManyProblemsError(Exception):
    """Reading need not go on; never leaves :meth:`Report.settle`."""


class Report:
    """The problems found so far; the same at the same spot counts once."""

    def __init__(self) -> None:
        self._found: dict[tuple[Rule, str, int, int, str], Problem] = {}

    def __len__(self) -> int:
        return len(self._found)

    def add(self, rule: Rule, message: str, place: Place, remedy: str = "") -> None:
        """Note a problem and go on.

        Raises :class:`TooManyProblemsError` when :data:`MOST_KEPT` are reached.
        """
        message, remedy = _printable(message), _printable(remedy)
        key = (rule, place.file, place.line, place.column, message)
        problem = Problem(rule=rule, message=message, place=place, remedy=remedy)
        self._found.setdefault(key, problem)
        if len(self._found) >= MOST_KEPT:
            raise TooManyProblemsError

    def settle(self, read: Callable[[], Read]) -> Read:
        """Run ``read`` and return what it read, or raise all that was found.

        Raises :class:`~breathmark.problems.InputProblems`.
        """
        try:
            result = read()
        except TooManyProblemsError:
            raise InputProblems(self.shown()) from None
        if self._found:
            raise InputProblems(self.shown())
        return result

    def shown(self) -> tuple[Problem, ...]:
        """The first :data:`MOST_SHOWN` problems in file order, and a note about the others."""
        found = in_file_order(self._found.values())
        listed, rest = found[:MOST_SHOWN], found[MOST_SHOWN:]
        if not rest:
            return listed
        least = "at least " if len(found) >= MOST_KEPT else ""
        note = Problem(
            rule=Rule.MORE_PROBLEMS,
            message=f"from here on {least}{len(rest)} more problems are not listed",
            place=rest[0].place,
            remedy="Mend those above and check again.",
            severity=Severity.NOTE,
        )
        return (*listed, note)


class Unheard(Report):
    """Takes no note of anything: for a glance at a file that is read in full later."""

    def add(self, rule: Rule, message: str, place: Place, remedy: str = "") -> None:
        """Let it pass."""


def _printable(text: str) -> str:
    """The text on one line, with a sign for every character that a terminal cannot show."""
    return "".join(char if char.isprintable() else "\ufffd" for char in " ".join(text.split()))
