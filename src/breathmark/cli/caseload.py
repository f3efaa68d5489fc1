"""``breathmark caseload``: progress, and the table at the end."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from breathmark.caseload.outcome import HEADER, TABLE_NAME, Outcome, Result

if TYPE_CHECKING:
    from breathmark.caseload.running import Told

_MOST_WHY = 60
_WHY = HEADER.index("why")


@contextmanager
def counting(*, quiet: bool) -> Iterator[Told]:
    """Shows how far it is: a bar on a terminal, else a line for each patient."""
    if quiet:
        yield lambda _outcome, _done, _total: None
    elif sys.stderr.isatty():
        with _bar() as told:
            yield told
    else:
        yield _say


def _say(outcome: Outcome, done: int, total: int) -> None:
    typer.echo(f"{done} of {total}  {outcome.shown}: {outcome.result.value}", err=True)


@contextmanager
def _bar() -> Iterator[Told]:
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn

    columns = (
        TextColumn("Patients"),
        BarColumn(),
        MofNCompleteColumn(),
        TimeElapsedColumn(),
        TextColumn("{task.description}", markup=False),
    )
    with Progress(*columns, console=Console(stderr=True), transient=True) as shown:
        task = shown.add_task("", total=None)

        def told(outcome: Outcome, done: int, total: int) -> None:
            description = f"{outcome.shown}: {outcome.result.value}"
            shown.update(task, completed=done, total=total, description=description)

        yield told


def caseload_text(outcomes: Sequence[Outcome], output: Path) -> str:
    """What was wrong, in full, then the table, the count and where the table lies."""
    return f"{outcomes_text(outcomes, output)}\nTable: {output / TABLE_NAME}"


def outcomes_text(outcomes: Sequence[Outcome], output: Path) -> str:
    """The same without where the table lies."""
    rows = [HEADER, *(outcome.row(output.absolute()) for outcome in outcomes)]
    cells = [_shortened(row) for row in rows]
    keep = [at for at in range(len(HEADER)) if any(row[at] for row in cells[1:])]
    wide = {at: max(len(row[at]) for row in cells) for at in keep}
    lines = ["  ".join(row[at].ljust(wide[at]) for at in keep).rstrip() for row in cells]
    lines.insert(1, "-" * max(map(len, lines)))
    parts = [problems_text(outcomes), "\n".join(lines), _count(outcomes)]
    return "\n\n".join([part for part in parts if part])


def problems_text(outcomes: Sequence[Outcome]) -> str:
    """What was wrong with whom, in full; empty if nothing was."""
    refused = [outcome for outcome in outcomes if outcome.result is Result.REFUSED]
    return "\n\n".join(f"{one.shown} was not built:\n{one.details}" for one in refused)


def _shortened(row: Sequence[str]) -> list[str]:
    cells = list(row)
    if len(cells[_WHY]) > _MOST_WHY:
        cells[_WHY] = f"{cells[_WHY][: _MOST_WHY - 1]}…"
    return cells


def _count(outcomes: Sequence[Outcome]) -> str:
    counts = [
        f"{sum(one.result is result for one in outcomes)} {result.value}" for result in Result
    ]
    return ", ".join(counts) + "."
