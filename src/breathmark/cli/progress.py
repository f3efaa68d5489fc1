"""Progress on long work: a bar on a terminal, a line for each stage elsewhere."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from breathmark.pipeline import Progress

_DOING = {
    "speaking": "Speaking the lines",
    "writing": "Writing the recording",
    "proving": "Proving it against the plan",
    "writing again": "Writing it with lower peaks",
    "proving again": "Proving it once more",
}
"""What is said of each stage; those that are rarely needed are shown when they come."""

_USUAL = ("speaking", "writing", "proving")


@contextmanager
def listening(*, quiet: bool) -> Iterator[Progress]:
    """A progress for the ``with`` block, shown on standard error; none when ``quiet``."""
    if quiet:
        yield lambda _stage, _done, _total: None
    elif sys.stderr.isatty():
        with _bars() as progress:
            yield progress
    else:
        yield _Lines()


class _Lines:
    """Says each stage once, for output that goes into a file."""

    def __init__(self) -> None:
        self._said = ""

    def __call__(self, stage: str, _done: int, _total: int, /) -> None:
        if stage != self._said:
            self._said = stage
            typer.echo(f"{_DOING.get(stage, stage)} …", err=True)


@contextmanager
def _bars() -> Iterator[Progress]:
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    columns = (TextColumn("{task.description:<28}"), BarColumn(), TimeElapsedColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as shown:
        tasks = {
            stage: shown.add_task(text, start=False, visible=stage in _USUAL)
            for stage, text in _DOING.items()
        }

        def progress(stage: str, done: int, total: int) -> None:
            shown.start_task(tasks[stage])
            shown.update(tasks[stage], completed=done, total=total, visible=True)

        yield progress
