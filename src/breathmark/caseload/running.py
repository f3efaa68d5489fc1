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
from breathmark.orders import Order
from breathmark.pipeline import require_formats
from breathmark.problems import Fault, UsageProblem
from breathmark.speech.profiles import load_profile, voice_folders

Told = Callable[[Outcome, int, int], None]
"""Told each outcome as it comes, how many there are by now, and of how many."""


def build_caseload(order: Order, told: Told, *, jobs: int | None = None) -> tuple[Outcome, ...]:
    """Build the caseload in ``order.source`` in ``jobs`` processes (``None``: all cores).

    What is wrong with one patient is that patient's outcome.  The outcomes come in the
    file's order and are written as a table into the output folder.  Raises
    :class:`InputProblems` for a file that is wrong as a whole, :class:`UsageProblem`
    for what the command asked for, and :class:`Fault` when the table cannot be written
    or another caseload is being built into the same folder.
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
    _require_folder(order.output)
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
        write_text_whole(table, table_csv(outcomes, order.output))
    return tuple(outcomes)


def all_built(outcomes: tuple[Outcome, ...]) -> bool:
    """Whether every patient has a recording now."""
    return all(outcome.result is not Result.REFUSED for outcome in outcomes)


def _require_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise Fault(
            f"{folder} cannot be made: {error.strerror or error}",
            remedy="Name a folder that you may write to.",
        ) from error
