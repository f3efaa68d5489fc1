"""Dose totals shown: as a plain text table, and as data for the plan and the record.

The table has only characters that exist in the usual Windows code page, too.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from typing import Any

from breathmark.dose.guidance import Comparison, Verdict, compared
from breathmark.dose.totals import Amounts, DoseTotals, TargetDose
from breathmark.routine.model import Side
from breathmark.units import clock_text, duration_text

LEAST_WIDTH = 60
"""A smaller width is taken as this one."""

_COLUMNS = {
    "stretch_ms": "Stretch",
    "contraction_ms": "Contraction",
    "balance_ms": "Balance",
    "repetitions": "Repetitions",
    "sets": "Sets",
    "work_ms": "Work",
}
_GAP = "  "


def dose_text(totals: DoseTotals, *, width: int = 100) -> str:
    """The totals for the session and the week, and how they lie beside the guidance.

    No line is wider than ``width`` (60 or more) unless a target's own name is.  Where
    both sides get the same they share a row, and amounts are for each of them.
    """
    width = max(LEAST_WIDTH, width)
    parts = [_table("Dose in a session, for each side", _rows(totals, sessions=1), width)]
    if totals.sessions_a_week is None:
        parts.append("Dose in a week: unknown, as `frequency` does not say how many days.")
    else:
        often = f", {totals.times_a_day} sessions on each" if totals.times_a_day > 1 else ""
        head = f"Dose in a week of {totals.days_a_week} days{often}, for each side"
        parts.append(_table(head, _rows(totals, sessions=totals.sessions_a_week), width))
    parts.append(_time(totals))
    parts += _guidance(compared(totals), width)
    return "\n\n".join(parts) + "\n"


def as_data(totals: DoseTotals) -> dict[str, Any]:
    """The totals as plain data for JSON: times in whole milliseconds, ``None`` if unknown."""
    return {
        "days_a_week": totals.days_a_week,
        "times_a_day": totals.times_a_day,
        "work_ms": totals.work_ms,
        "rest_ms": totals.rest_ms,
        "targets": [
            {
                "target": one.target,
                "region": one.region,
                "left": _side_data(totals, one.left),
                "right": _side_data(totals, one.right),
            }
            for one in totals.targets
        ],
        "guidance": [_comparison_data(one) for one in compared(totals)],
    }


def _side_data(totals: DoseTotals, amounts: Amounts) -> dict[str, Any]:
    week = totals.week(amounts)
    return {"session": _amounts_data(amounts), "week": _amounts_data(week) if week else None}


def _amounts_data(amounts: Amounts) -> dict[str, int]:
    return {name: getattr(amounts, name) for name in _COLUMNS}


def _comparison_data(one: Comparison) -> dict[str, Any]:
    return {
        "guide": one.guide.id,
        "of": one.of,
        "side": one.side.value if one.side else None,
        "measured": one.measured,
        "unit": one.guide.unit.value,
        "low": one.guide.low,
        "high": one.guide.high,
        "verdict": one.verdict.value,
        "source": one.guide.source.cite,
        "mark": one.guide.source.mark.value,
        "words": one.shown(),
    }


def _rows(totals: DoseTotals, *, sessions: int) -> list[tuple[str, str, Amounts]]:
    """Target, side, and amounts of each row."""
    return [
        (target.target, side, amounts.times(sessions))
        for target in totals.targets
        for side, amounts in _sides(target)
    ]


def _sides(target: TargetDose) -> Iterator[tuple[str, Amounts]]:
    if target.equal:
        yield "each", target.left
        return
    for side in Side:
        yield side.value, target.of(side)


def _table(head: str, rows: Sequence[tuple[str, str, Amounts]], width: int) -> str:
    """Rows of cells under their names; columns in which nothing stands are left out."""
    names = [name for name in _COLUMNS if any(getattr(row[2], name) for row in rows)]
    cells = [["Target", "Side", *(_COLUMNS[name] for name in names)]]
    for target, side, amounts in rows:
        cells.append([target, side, *(_cell(name, getattr(amounts, name)) for name in names)])
    wide = [max(len(row[column]) for row in cells) for column in range(len(cells[0]))]
    lines = [_line(row, wide) for row in cells]
    long = min(width, max(len(line) for line in (head, *lines)))
    return "\n".join([head, "=" * long, lines[0], "-" * long, *lines[1:]])


def _line(cells: Sequence[str], wide: Sequence[int]) -> str:
    words = [f"{cell:<{width}}" for cell, width in zip(cells[:2], wide[:2], strict=True)]
    numbers = [f"{cell:>{width}}" for cell, width in zip(cells[2:], wide[2:], strict=True)]
    return _GAP.join([*words, *numbers]).rstrip()


def _cell(name: str, amount: int) -> str:
    if not amount:
        return "-"
    return duration_text(amount) if name.endswith("_ms") else str(amount)


def _time(totals: DoseTotals) -> str:
    text = f"Work in a session: {clock_text(totals.work_ms)}"
    if totals.rest_ms is None:
        return f"{text}."
    return f"{text}, everything else (rests, set-ups, talking): {clock_text(totals.rest_ms)}."


def _guidance(comparisons: Sequence[Comparison], width: int) -> Iterator[str]:
    """What lies outside the guidance in full, what lies inside as a count."""
    if not comparisons:
        return
    outside = [one for one in comparisons if one.verdict is not Verdict.INSIDE]
    inside = len(comparisons) - len(outside)
    lines = [
        textwrap.fill(one.shown(), width, initial_indent="- ", subsequent_indent="  ")
        for one in outside
    ]
    lines.append(f"- {inside} of {len(comparisons)} amounts lie inside the guidance.")
    yield "\n".join(["Beside published guidance", "=" * min(width, 25), *lines])
