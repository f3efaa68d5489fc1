"""A file's YAML as nodes that know where they stand; every scalar stays the text it was.

Built from the parser's events rather than from its finished tree: aliases are
refused as they are met, so a file cannot grow in memory, and nesting is counted
instead of recursed into.
"""

from __future__ import annotations

import enum
from collections.abc import Mapping
from dataclasses import dataclass

from breathmark.problems import Place
from breathmark.routine.source import Source


class Style(enum.StrEnum):
    """How a text was written, as far as it matters: in line, as rows (`|`), or folded (`>`)."""

    PLAIN = "plain"
    QUOTED = "quoted"
    ROWS = "rows"
    FOLDED = "folded"


@dataclass(frozen=True, kw_only=True, slots=True)
class Spot:
    """Where a node stands: line and column from 1, and how many characters to underline."""

    source: Source
    line: int
    column: int
    width: int = 1

    def place(self, path: str = "") -> Place:
        """The spot as a place with the field's path."""
        return self.source.place(self.line, self.column, width=self.width, path=path)


@dataclass(frozen=True, kw_only=True, slots=True)
class Text:
    """A scalar, exactly as typed; never a number, a date or a truth value."""

    value: str
    spot: Spot
    style: Style = Style.PLAIN

    @property
    def empty(self) -> bool:
        """Whether there is nothing but blanks."""
        return not self.value.strip()

    def spot_at(self, offset: int) -> Spot:
        """Where the character at ``offset`` of the value stands in the file.

        Folding and quoting move characters but keep their order, so the character is
        found as the n-th of its sort; written as an escape it is not, and the spot
        is then the text's own.
        """
        wanted = self.value[offset]
        count = self.value.count(wanted, 0, offset)
        header = self.style in (Style.ROWS, Style.FOLDED)
        start = 0 if header else self.spot.column - 1
        for number in range(self.spot.line + header, len(self.spot.source.lines) + 1):
            line = self.spot.source.lines[number - 1]
            here = line.count(wanted, start)
            if count >= here:
                count, start = count - here, 0
                continue
            for _ in range(count + 1):
                start = line.index(wanted, start) + 1
            return Spot(source=self.spot.source, line=number, column=start)
        return self.spot


@dataclass(frozen=True, kw_only=True, slots=True)
class Items:
    """A list."""

    items: tuple[Node, ...]
    spot: Spot


@dataclass(frozen=True, kw_only=True, slots=True)
class Entry:
    """A key and its value."""

    key: Text
    value: Node


@dataclass(frozen=True, kw_only=True, slots=True)
class Fields:
    """A mapping, its entries by key in the order written; ``flow`` if it is in braces."""

    entries: Mapping[str, Entry]
    spot: Spot
    flow: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Broken:
    """A value whose problem is reported already; reading it says nothing more."""

    spot: Spot


Node = Text | Items | Fields | Broken


def child_path(path: str, key: str) -> str:
    """The path of a key inside ``path``: ``exercises[2]`` and ``hold`` give its field path."""
    return f"{path}.{key}" if path else key
