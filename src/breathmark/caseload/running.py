"""A caseload from its file to the table of what became of each patient."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from breathmark.caseload.entries import read_caseload
from breathmark.caseload.outcome import TABLE_NAME, Outcome, Result, refused, table_csv
from breathmark.caseload.state import STATE_FOLDER
from breathmark.caseload.team import build_all, cores
from breathmark.deliver.locking import only_one
from breathmark.deliver.publish import write_text_whole
from breathmark.disk import make_folder
from breathmark.orders import Order
from breathmark.pipeline import require_formats
from breathmark.problems import Fault, UsageProblem
from breathmark.speech.profiles import load_profile, voice_folders

Told = Callable[[Outcome, int, int], None]
"""Told each outcome as it comes, how many there are by now, and of how many."""


class TableLostError(Fault):
    """The table of the outcomes could not be written; the recordings lie where they belong."""

    def __init__(self, outcomes: tuple[Outcome, ...], why: Fault) -> None:
        self.outcomes = outcomes
        in_place = "What was built is in place; started again, this writes the table alone."
        super().__init__(why.message, remedy=f"{why.remedy}\n    {in_place}")


def build_caseload(order: Order, told: Told, *, jobs: int | None = None) -> tuple[Outcome, ...]:
    """Build the caseload in ``order.source`` in ``jobs`` processes (``None``: all cores).

    What is wrong with one patient is that patient's outcome.  The outcomes come in the
    file's order and are written as a table into the output folder.  Raises
    :class:`InputProblems` for a file that is wrong as a whole, :class:`UsageProblem`
    for what the command asked for, :class:`Fault` when the table of the last time is open
    in another program or another caseload is being built into the same folder, and
    :class:`TableLostError` when the table cannot be written at the end.
    """
    require_formats(order.formats)
    file = order.source
    if order.voice is not None:
        load_profile(order.voice, voice_folders(order.voices))
    order = dataclasses.replace(order, output=order.output.absolute())
    table = order.output / TABLE_NAME
    if table.exists() and file.exists() and table.samefile(file):
        raise UsageProblem(
            f"the table of results would overwrite {file}. Name another folder with --output."
        )
    entries = read_caseload(file)
    make_folder(order.output)
    _require_free(table)
    outcomes: list[Outcome] = []

    def note(outcome: Outcome) -> None:
        outcomes.append(outcome)
        told(outcome, len(outcomes), len(entries))

    with only_one(order.output / STATE_FOLDER):
        for entry in entries:
            if entry.problems:
                note(refused(entry.number, entry.shown, entry.problems))
        sound = [entry for entry in entries if not entry.problems]
        with closing(build_all(sound, order, jobs or cores())) as coming:
            for outcome in coming:
                note(outcome)
        outcomes.sort(key=lambda outcome: outcome.number)
        try:
            write_text_whole(table, table_csv(outcomes, order.output))
        except Fault as why:
            raise TableLostError(tuple(outcomes), why) from why
    return tuple(outcomes)


def all_built(outcomes: tuple[Outcome, ...]) -> bool:
    """Whether every patient has a recording now."""
    return all(outcome.result is not Result.REFUSED for outcome in outcomes)


def _require_free(table: Path) -> None:
    """See before hours of work that the table can be replaced: spreadsheets lock theirs."""
    try:
        with table.open("r+b"):
            pass
    except FileNotFoundError:
        return
    except OSError as error:
        raise Fault(
            f"{table} cannot be replaced: {error.strerror or error}",
            remedy="Close it in the program where it is open, or name another --output.",
        ) from error
