"""A caseload as a table (RFC 4180 and what spreadsheets make of it), read into nodes.

Each row becomes what a patient's file would hold, and every value knows the line and
column of its cell, so that problems are shown where they are.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from breathmark.problems import Problem, did_you_mean
from breathmark.routine.nodes import Entry, Fields, Items, Node, Spot, Text
from breathmark.routine.report import Report
from breathmark.routine.rules import Rule
from breathmark.routine.source import Source

COLUMNS: Final = (
    "file", "label", "routine", "greeting", "length", "voice", "hearing", "background",
    "first side", "only side", "extra set", "avoid", "conditions", "pain limit", "cautions",
    "coaching", "helper", "week",
)  # fmt: skip
"""The columns a table may have, in any order."""

_SIDES: Final = {"first side": "first", "only side": "only", "extra set": "extra set"}
_LISTS: Final = {"avoid": ";,", "conditions": ";,", "cautions": ";"}
_NOT_IN_A_TABLE: Final = ("changes", "accept", "weeks", "tags", "sides")
_SEPARATORS: Final = ",;\t"
_TELLS_SEPARATOR: Final = "sep="


@dataclass(frozen=True, kw_only=True, slots=True)
class Cell:
    """A cell's text without blanks around it, and where it begins."""

    text: str
    spot: Spot


Row = tuple[Node, tuple[Problem, ...]]
"""What a row says, and what is wrong with the row itself."""


def table_nodes(source: Source, report: Report) -> list[Row]:
    """The rows under the header; empty ones are left out.

    What is wrong with the table as a whole is reported, and there are no rows then.
    """
    rows = [row for row in _cells(source, report) if any(cell.text for cell in row)]
    if not rows:
        if not len(report):
            remedy = f"The first line names the columns: {', '.join(COLUMNS[1:4])}, …"
            report.add(Rule.EMPTY_FILE, "there is nothing in the table", source.place(1, 1), remedy)
        return []
    if len(rows) > 1 and rows[0][0].text.casefold().startswith(_TELLS_SEPARATOR):
        rows = rows[1:]  # a line that some spreadsheets write first
    header, *body = rows
    columns = _columns(header, report)
    if not body and not len(report):
        remedy = "Each patient has a line under the names of the columns."
        report.add(Rule.EMPTY_FILE, "there is no patient in the table", source.place(1, 1), remedy)
    return [] if len(report) else [_row(cells, columns, source) for cells in body]


def _columns(header: Sequence[Cell], report: Report) -> tuple[Cell | None, ...]:
    """The header's cells with the columns' names; ``None`` over an empty column."""
    found: dict[str, Cell] = {}
    columns: list[Cell | None] = []
    for cell in header:
        name = " ".join(cell.text.replace("_", " ").split()).lower()
        place = cell.spot.place()
        if name in _NOT_IN_A_TABLE:
            message = f"`{name}` does not fit into a table"
            remedy = "Write it in a patient's file, and name that in a column `file`."
            report.add(Rule.UNKNOWN_KEY, message, place, remedy)
        elif name and name not in COLUMNS:
            message = f"a caseload has no column `{cell.text[:40]}`"
            report.add(Rule.UNKNOWN_KEY, message, place, did_you_mean(name[:40], COLUMNS))
        elif name and name in found:
            message = f"the column `{name}` is here twice"
            report.add(Rule.TWICE, message, place, "Keep one of the two.")
        columns.append(Cell(text=name, spot=cell.spot) if name else None)
        found[name] = cell
    if not {"file", "label"} & found.keys() and not len(report):
        message = "the table has neither a column `label` nor a column `file`"
        remedy = "The first line names the columns, for example: label,routine,length,avoid"
        report.add(Rule.MISSING_KEY, message, header[0].spot.place(), remedy)
    return tuple(columns)


def _row(cells: Sequence[Cell], columns: Sequence[Cell | None], source: Source) -> Row:
    report = Report()
    entries: dict[str, Entry] = {}
    sides: dict[str, Entry] = {}
    for at, cell in enumerate(cells):
        column = columns[at] if at < len(columns) else None
        if not cell.text:
            continue
        if column is None:
            message = "this cell stands in a column without a name"
            remedy = "A text that holds the separator needs quotation marks around it."
            report.add(Rule.TOO_MANY, message, cell.spot.place(), remedy)
            continue
        where = sides if column.text in _SIDES else entries
        key = Text(value=_SIDES.get(column.text, column.text), spot=cell.spot)
        where[key.value] = Entry(key=key, value=_value(column.text, cell))
    if sides:
        spot = next(iter(sides.values())).key.spot
        node = Fields(entries=sides, spot=spot)
        entries["sides"] = Entry(key=Text(value="sides", spot=spot), value=node)
    first = next(cell.spot for cell in cells if cell.text)
    return Fields(entries=entries, spot=Spot(source=source, line=first.line, column=1)), tuple(
        report.shown()
    )


def _value(column: str, cell: Cell) -> Node:
    """A cell's text, or the parts of a list, each with its own place."""
    if column not in _LISTS:
        return Text(value=cell.text, spot=cell.spot)
    parts: list[Node] = []
    at = 0
    for part in _split(cell.text, _LISTS[column]):
        lead = len(part) - len(part.lstrip())
        if part.strip():
            spot = _moved(cell.spot, at + lead, len(part.strip()))
            parts.append(Text(value=part.strip(), spot=spot))
        at += len(part) + 1
    return Items(items=tuple(parts), spot=cell.spot)


def _split(text: str, separators: str) -> list[str]:
    for other in separators[1:]:
        text = text.replace(other, separators[0])
    return text.split(separators[0])


def _moved(spot: Spot, by: int, width: int) -> Spot:
    """A part of a cell; of a quoted one too, as long as it stays on its line."""
    line = spot.source.lines[spot.line - 1]
    column = min(spot.column + by, max(1, len(line)))
    return Spot(source=spot.source, line=spot.line, column=column, width=width)


def _cells(source: Source, report: Report) -> Iterator[tuple[Cell, ...]]:
    """Every row's cells; a table that cannot be read as one is reported."""
    lines = [f"{line}\n" for line in source.lines]
    table = csv.reader(lines, delimiter=_separator(source), skipinitialspace=True, strict=True)
    while True:
        start = table.line_num
        try:
            row = next(table)
        except StopIteration:
            return
        except csv.Error as error:
            message = f"the table cannot be read from here on: {error}"
            remedy = "Quotation marks stand around a whole cell; one inside it is doubled."
            place = source.place(min(start + 1, len(lines)), 1)
            report.add(Rule.NOT_A_TABLE, message, place, remedy)
            return
        yield tuple(_placed(row, "".join(lines[start : table.line_num]), start, source))


def _placed(row: Sequence[str], raw: str, start: int, source: Source) -> Iterator[Cell]:
    """The cells of a row with their places, found by walking along the row as typed."""
    at = 0
    for text in row:
        while raw[at : at + 1] == " ":
            at += 1
        quoted = raw[at : at + 1] == '"'
        length = len(text) + text.count('"') + 2 if quoted else len(text)
        lead = quoted + len(text) - len(text.lstrip())
        before = raw[: at + lead].split("\n")
        stripped = text.strip()
        width = max(1, len(stripped.split("\n")[0]))
        spot = Spot(
            source=source, line=start + len(before), column=len(before[-1]) + 1, width=width
        )
        yield Cell(text=stripped, spot=spot)
        at += length + 1


def _separator(source: Source) -> str:
    """What stands between the cells of the first line: the sign that is there most often.

    Spreadsheets write semicolons or tabs where the comma is the decimal sign.
    """
    header = next((line for line in source.lines if line.strip()), "")
    return max(_SEPARATORS, key=header.count)
