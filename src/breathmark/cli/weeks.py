"""How the dose rises from week to week, as text."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from breathmark.dose.totals import NOTHING, Amounts
from breathmark.problems import BreathmarkError, Problem
from breathmark.routine.exercise import folded
from breathmark.routine.model import Side
from breathmark.script.dose_words import dose_text
from breathmark.units import clock_text, duration_text, milliseconds

if TYPE_CHECKING:
    from breathmark.pipeline import Made, Order, Planned, Progress
    from breathmark.series import Series

_AMOUNTS = {
    "stretch_ms": "stretch",
    "contraction_ms": "contraction",
    "balance_ms": "balance",
    "repetitions": "repetitions",
    "sets": "sets",
}
_COUNTED = tuple(_AMOUNTS)[:-1]
"""What a dose is told by, but for sets; where there is none of them, by its work."""
_NOT_THERE = "not in this week"


def rise_text(planned: Sequence[Planned], *, width: int) -> str:
    """The doses of a series: each exercise's as it changes, and totals for each target.

    Under them stands what each week says and does differently from the one before it.
    """
    head = f"How the dose rises: {planned[0].case.album}"
    parts = [
        f"{head}\n{'=' * width}",
        "\n".join(_lengths(planned)),
        "\n".join(_exercises(planned)),
        "\n\n".join(_totals(planned, width)),
        "\n".join(_changes(planned, width)),
        "\n".join(_remarks(planned)),
    ]
    return "\n\n".join(part for part in parts if part)


def _lengths(planned: Sequence[Planned]) -> Iterator[str]:
    for one in planned:
        length = clock_text(milliseconds(one.session.length, one.session.rate_hz))
        frequency = one.case.routine.frequency
        yield f"Week {one.case.week:<3} {length}" + (f", {frequency}" if frequency else "")


def _exercises(planned: Sequence[Planned]) -> Iterator[str]:
    """Under each exercise, the weeks in which its dose becomes another."""
    named = {
        folded(exercise.name): exercise.name
        for one in planned
        for exercise in one.case.routine.exercises
    }
    for key, name in named.items():
        yield name
        before = ""
        for one in planned:
            exercises = one.case.routine.exercises
            doses = [dose_text(exercise) for exercise in exercises if folded(exercise.name) == key]
            dose = " and ".join(doses) or _NOT_THERE
            if dose != before and not (dose == _NOT_THERE and not before):
                yield f"  from week {one.case.week:<3} {dose}"
                before = dose


def _totals(planned: Sequence[Planned], width: int) -> Iterator[str]:
    """A table of the totals in a session, a column for each week, in as many as needed."""
    rows = list(_total_rows(planned))
    if not rows:
        return
    weeks = [f"Week {one.case.week}" for one in planned]
    wide = [max(len(row[0][at]) for row in rows) for at in range(3)]
    cell = max(len(text) for row in (*(row[1] for row in rows), weeks) for text in row)
    most = max(1, (width - sum(wide) - 4) // (cell + 2))
    for start in range(0, len(weeks), most):
        shown = weeks[start : start + most]
        lines = [_line(("", "", ""), shown, wide, cell)]
        lines += [_line(row[0], row[1][start : start + most], wide, cell) for row in rows]
        title = "In a session, for each side"
        yield "\n".join([title, "-" * max(map(len, lines)), *lines])


def _line(words: Sequence[str], cells: Sequence[str], wide: Sequence[int], cell: int) -> str:
    left = [word.ljust(width) for word, width in zip(words, wide, strict=True)]
    return "  ".join([*left, *(text.rjust(cell) for text in cells)]).rstrip()


def _total_rows(planned: Sequence[Planned]) -> Iterator[tuple[tuple[str, str, str], list[str]]]:
    """Target, side and what is counted, with its amount in each week."""
    targets = dict.fromkeys(target.target for one in planned for target in one.totals.targets)
    for target in targets:
        sides = {side: [_amounts(one, target, side) for one in planned] for side in Side}
        equal = sides[Side.LEFT] == sides[Side.RIGHT]
        for side, amounts in list(sides.items())[:1] if equal else sides.items():
            counted = any(getattr(one, name) for one in amounts for name in _COUNTED)
            for name, word in (_AMOUNTS if counted else {"work_ms": "work", **_AMOUNTS}).items():
                counts = [getattr(one, name) for one in amounts]
                if any(counts):
                    cells = [_cell(name, count) for count in counts]
                    yield (target, "" if equal else side.value, word), cells


def _amounts(planned: Planned, target: str, side: Side) -> Amounts:
    found = planned.totals.target(target)
    return found.of(side) if found else NOTHING


def _cell(name: str, amount: int) -> str:
    if not amount:
        return "-"
    return duration_text(amount) if name.endswith("_ms") else str(amount)


def _changes(planned: Sequence[Planned], width: int) -> Iterator[str]:
    before: set[str] = set()
    for one in planned:
        sentences = [change.sentence for change in one.case.changes]
        sentences += [note for note in one.session.notes if note not in sentences]
        new = [sentence for sentence in sentences if sentence not in before]
        before |= set(sentences)
        if new:
            yield f"Week {one.case.week}"
        for sentence in new:
            yield textwrap.fill(sentence, width, initial_indent="- ", subsequent_indent="  ")


def _remarks(planned: Sequence[Planned]) -> Iterator[str]:
    """What a colleague would remark, each once, with the first week it is true of."""
    seen: set[Problem] = set()
    for one in planned:
        for problem in one.case.checked.problems:
            if problem not in seen:
                seen.add(problem)
                yield f"From week {one.case.week}: {problem.shown()}"


def series_text(series: Series, *, width: int) -> str:
    """The doses, the proof in short, and where the recordings lie."""
    lines = [f"  {made.folder}" for made in series.weeks]
    checks = sum(len(made.report.findings) for made in series.weeks)
    proof = f"All {checks} checks of the finished files passed."
    folders = f"Folders\n{'=' * width}"
    return "\n".join([rise_text(series.planned, width=width), "", proof, "", folders, *lines])


def made_in_turn(order: Order, progress: Progress, *, quiet: bool) -> Series:
    """Make a series; when a week fails, say which recordings there are already."""
    from breathmark.series import make_series

    there: list[Path] = []

    def made(one: Made) -> None:
        there.append(one.folder)
        if not quiet:
            typer.echo(f"Week {one.planned.case.week}: {one.folder}", err=True)

    try:
        return make_series(order, progress, made=made)
    except BreathmarkError:
        if there:
            typer.echo("Made before that: " + ", ".join(map(str, there)), err=True)
        raise
