"""What became of each patient of a caseload, and the table of it."""

from __future__ import annotations

import csv
import enum
import io
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from breathmark.problems import Problem
from breathmark.units import clock_text

TABLE_NAME = "caseload.csv"
"""The table's name in the output folder."""

HEADER = ("label", "result", "why", "length", "mail", "folder")


class Result(enum.StrEnum):
    """What became of an entry."""

    BUILT = "built"
    THERE = "already there"
    REFUSED = "refused"


@dataclass(frozen=True, kw_only=True, slots=True)
class Outcome:
    """An entry's end: the recording's folder and length, or what was wrong.

    ``mail`` is how the recording goes by mail: at which bit rate, or that it is too large.
    ``shown`` is the label, or what stands for it; ``why`` is one line for each thing
    that was wrong, with its place, and ``details`` the same as a person reads it.
    """

    number: int
    shown: str
    result: Result
    folder: Path | None = None
    length_ms: int | None = None
    mail: str = ""
    why: tuple[str, ...] = ()
    details: str = ""

    def row(self, output: Path) -> tuple[str, ...]:
        """The outcome as cells under :data:`HEADER`; the folder as seen from ``output``."""
        length = "" if self.length_ms is None else clock_text(self.length_ms)
        folder = "" if self.folder is None else self.folder.relative_to(output).as_posix()
        return self.shown, self.result.value, "; ".join(self.why), length, self.mail, folder


def refused(number: int, shown: str, problems: Iterable[Problem]) -> Outcome:
    """The outcome of an entry whose files are wrong."""
    problems = tuple(problems)
    return Outcome(
        number=number,
        shown=shown,
        result=Result.REFUSED,
        why=tuple(f"{one.place.shown()}: {one.message}" for one in problems),
        details="\n".join(one.shown() for one in problems),
    )


def table_csv(outcomes: Iterable[Outcome], output: Path) -> str:
    """The outcomes as a table that spreadsheets open (RFC 4180; with a byte order mark)."""
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(HEADER)
    writer.writerows(one.row(output) for one in outcomes)
    return "\ufeff" + text.getvalue()
