"""The text that is handed to the YAML parser, and the way back to the text as typed.

Tabs that indent, and values that lack quotes, are reported and then mended in the
draft, never in the file, so that whatever else is wrong is found in the same run.
Columns of mended lines are translated back.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from breathmark.routine.nodes import Spot
from breathmark.routine.report import Report
from breathmark.routine.rules import Rule
from breathmark.routine.source import Source, without_unseen

_VALUE = re.compile(
    r"""(?P<lead>\s*(?:-\s+)*(?:[^\s'"{}\[\]:#,&*!|>%@`-][^:#{}\[\]"']*:\s+)?)(?P<value>\S.*?)
        (?P<end>\s*(?:\s\#.*)?)""",
    re.VERBOSE,
)


@dataclass(frozen=True, slots=True)
class _Bend:
    """Behind ``column`` (from 0), a draft line is ``by`` characters longer than before."""

    column: int
    by: int


class Draft:
    """The lines for the parser; changing one remembers how its columns moved."""

    def __init__(self, source: Source, *, tab_columns: int) -> None:
        self.source = source
        self.mended: set[int] = set()
        self._tabs: dict[int, int] = {}
        self._lines = [without_unseen(line) for line in source.lines]
        self._bends: dict[int, list[_Bend]] = {}
        self._expand_tabs(tab_columns)

    @property
    def tabbed(self) -> bool:
        """Whether a tab indents a line."""
        return bool(self._tabs)

    @property
    def text(self) -> str:
        """The draft as one text; its line numbers are the file's."""
        return "\n".join(self._lines)

    def line(self, number: int) -> str:
        """A draft line, counted from 1; empty past the end."""
        return self._lines[number - 1] if 0 < number <= len(self._lines) else ""

    def spot(self, line: int, column: int, end: tuple[int, int] | None = None) -> Spot:
        """The spot in the file of a mark in the draft (both counted from 0).

        ``end`` is the mark behind the value; a value of several lines is underlined
        to the end of its first.
        """
        start = self._typed(line, column)
        text = self.source.lines[line].rstrip() if line < len(self.source.lines) else ""
        stop = self._typed(*end) if end and end[0] == line else len(text)
        width = max(1, stop - start)
        return Spot(source=self.source, line=line + 1, column=start + 1, width=width)

    def spot_until(self, spot: Spot, line: int, column: int) -> Spot:
        """The spot, underlined to a mark (counted from 0) or to the end of its line."""
        if line + 1 != spot.line:
            return replace(
                spot, width=len(self.source.lines[spot.line - 1].rstrip()) - spot.column + 1
            )
        return replace(spot, width=self._typed(line, column) - spot.column + 1)

    def report_tabs(self, report: Report) -> None:
        """Report every line that a tab indents."""
        for index, column in self._tabs.items():
            place = self.source.place(index + 1, column + 1)
            remedy = "Indent with spaces, two for each level."
            report.add(Rule.TAB, "a tab indents this line", place, remedy)

    def _expand_tabs(self, columns: int) -> None:
        for index, line in enumerate(self._lines):
            rest = line.lstrip(" \t")
            lead = line[: len(line) - len(rest)]
            if "\t" not in lead:
                continue
            self._lines[index] = lead.replace("\t", " " * columns) + rest
            self._bends[index] = [
                _Bend(at, columns - 1) for at, char in enumerate(lead) if char == "\t"
            ]
            if rest and not rest.startswith("#"):
                self._tabs[index] = lead.index("\t")

    def quote_value(self, number: int) -> bool:
        """Put a line's value into quotes; ``False`` if it was tried or has no value."""
        if number in self.mended:
            return False
        match = _VALUE.fullmatch(self.line(number))
        if match is None:
            return False
        self.mended.add(number)
        quoted = match["value"].replace("'", "’")  # as long as before, unlike ''
        self._lines[number - 1] = f"{match['lead']}'{quoted}'{match['end']}"
        opened = len(match["lead"])
        closed = opened + 1 + len(quoted)
        self._bends.setdefault(number - 1, []).extend([_Bend(opened, 1), _Bend(closed, 1)])
        return True

    def _typed(self, line: int, column: int) -> int:
        for bend in reversed(self._bends.get(line, [])):
            if column > bend.column:
                column = max(bend.column, column - bend.by)
        return column
