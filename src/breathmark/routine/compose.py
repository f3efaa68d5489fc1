"""From a source to nodes, one pass over the parser's events."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

import yaml

from breathmark.routine.draft import Draft
from breathmark.routine.everyday_abroad import amount_in_our_words
from breathmark.routine.nodes import (
    Broken,
    Entry,
    Fields,
    Items,
    Node,
    Spot,
    Style,
    Text,
    child_path,
)
from breathmark.routine.report import Report
from breathmark.routine.rules import Rule
from breathmark.routine.source import Source, has_unseen
from breathmark.routine.syntax import explain

MOST_LEVELS = 20
"""How deep lists and mappings may go inside one another."""

_MOST_MENDS = 30
_TAB_COLUMNS = (8, 4, 2)
_STYLES = {"|": Style.ROWS, ">": Style.FOLDED, "'": Style.QUOTED, '"': Style.QUOTED}
_LOST = re.compile(r"\s+(#\w\S*)")
"""What YAML takes for a note and an author may not: a `#` with a word right behind it."""

_DECIMAL = re.compile(r"(\d+),(\d+)( ?[^\W\d]{1,12}\b)?")
"""A number with a decimal comma, and its unit."""

_Loader = type[yaml.CLoader] | type[yaml.Loader]

FAST_LOADER: _Loader = getattr(yaml, "CLoader", yaml.Loader)
"""libyaml's parser where PyYAML was built with it, else PyYAML's own."""


def compose(source: Source, report: Report) -> Node | None:
    """The file's one document as nodes; ``None`` when reading cannot go on.

    Everything wrong with the file as YAML is reported.  Where a mistake has an obvious
    remedy, reading goes on as if it had been applied.
    """
    draft = _draft(source)
    draft.report_tabs(report)
    for _ in range(_MOST_MENDS):
        builder = _Builder(draft, report)
        try:
            return builder.build(yaml.parse(draft.text, Loader=FAST_LOADER))
        except yaml.MarkedYAMLError as error:
            trouble = explain(error, draft)
            if not draft.tabbed or trouble.quote:
                report.add(trouble.rule, trouble.message, trouble.place, trouble.remedy)
            if not (trouble.quote and draft.quote_value(trouble.place.line)):
                return None
        except yaml.YAMLError as error:
            report.add(Rule.NOT_YAML, f"this cannot be read as YAML: {error}", source.place(1, 1))
            return None
    return None


def _draft(source: Source) -> Draft:
    """The draft whose tabs are as wide as the lines between them seem to want."""
    drafts = [Draft(source, tab_columns=columns) for columns in _TAB_COLUMNS]
    for draft in drafts if drafts[0].tabbed else ():
        try:
            for _ in yaml.parse(draft.text, Loader=FAST_LOADER):
                pass
        except yaml.YAMLError:
            continue
        return draft
    return drafts[0]


@dataclass(slots=True)
class _Frame:
    """A list or mapping that is still open; ``key`` waits for its value."""

    spot: Spot
    path: str
    mapping: bool
    flow: bool
    items: list[Node] = field(default_factory=list)
    entries: dict[str, Entry] = field(default_factory=dict)
    key: Text | None = None
    skip: bool = False
    another: bool = False  # a second item began in it without its hyphen: told once, not read

    def next_path(self) -> str:
        if not self.mapping:
            return f"{self.path}[{len(self.items)}]"
        return child_path(self.path, self.key.value) if self.key else self.path

    def closed(self) -> Node:
        if self.mapping:
            return Fields(entries=self.entries, spot=self.spot, flow=self.flow)
        return Items(items=tuple(self.items), spot=self.spot)


class _Builder:
    def __init__(self, draft: Draft, report: Report) -> None:
        self._draft = draft
        self._report = report
        self._open: list[_Frame] = []
        self._root: Node | None = None

    def build(self, events: Iterator[yaml.Event]) -> Node | None:
        documents = 0
        for event in events:
            if isinstance(event, yaml.DocumentStartEvent):
                documents += 1
                if documents > 1:
                    self._report_more(event)
                    return self._root
            elif not self._take(event):
                return None
        return self._root

    def _take(self, event: yaml.Event) -> bool:
        """Take an event in; ``False`` when nesting goes too deep to go on."""
        if isinstance(event, yaml.ScalarEvent):
            self._add(self._text(event))
        elif isinstance(event, yaml.AliasEvent):
            self._add(self._alias(event))
        elif isinstance(event, yaml.CollectionStartEvent):
            return self._start(event)
        elif isinstance(event, yaml.CollectionEndEvent):
            self._close(event)
        return True

    def _close(self, event: yaml.CollectionEndEvent) -> None:
        frame = self._open.pop()
        end = event.end_mark
        if frame.flow and end is not None:
            frame.spot = self._draft.spot_until(frame.spot, end.line, end.column)
        self._add(frame.closed())

    def _start(self, event: yaml.CollectionStartEvent) -> bool:
        spot = self._spot(event)
        path = self._open[-1].next_path() if self._open else ""
        if len(self._open) >= MOST_LEVELS:
            message = f"lists and mappings go deeper than {MOST_LEVELS} levels here"
            self._report.add(Rule.TOO_DEEP, message, spot.place(path))
            return False
        self._check_extras(event, spot, path)
        mapping = isinstance(event, yaml.MappingStartEvent)
        flow = bool(event.flow_style)
        self._open.append(_Frame(spot=spot, path=path, mapping=mapping, flow=flow))
        return True

    def _add(self, node: Node) -> None:
        if not self._open:
            self._root = node
            return
        frame = self._open[-1]
        if not frame.mapping:
            frame.items.append(node)
        elif frame.key is None and not frame.skip:
            self._key(frame, node)
        else:
            self._value(frame, node)

    def _key(self, frame: _Frame, node: Node) -> None:
        if not isinstance(node, Text):
            if not isinstance(node, Broken):
                place = node.spot.place(frame.path)
                self._report.add(Rule.WRONG_TYPE, "a key is a plain word", place)
            frame.skip = True
            return
        if frame.another:
            frame.skip = True
            return
        first = frame.entries.get(node.value)
        path = child_path(frame.path, node.value)
        if node.value == "<<":
            message, remedy = "keys cannot be merged in with `<<`", "Write the keys out."
            self._report.add(Rule.MERGE_KEY, message, node.spot.place(frame.path), remedy)
            frame.skip = True
        elif first is not None:
            shown = f"{first.key.spot.line}, column {first.key.spot.column}"
            message = f"`{_short(node.value)}` is here twice: first on line {shown}"
            remedy = "Keep one of the two."
            if frame.path.endswith("]") and node.value in ("name", "use") and not frame.flow:
                frame.another = True
                remedy = "If another exercise begins here, write `- ` before it, the hyphen in"
                remedy += f" column {max(1, node.spot.column - 2)}."
            self._report.add(Rule.TWICE, message, node.spot.place(path), remedy)
            frame.skip = True
        else:
            frame.key = node

    def _value(self, frame: _Frame, node: Node) -> None:
        if frame.key is not None:
            if isinstance(node, Text) and not node.value and node.style is Style.PLAIN:
                node = Text(value="", spot=frame.key.spot)
            frame.entries[frame.key.value] = Entry(key=frame.key, value=node)
        frame.key, frame.skip = None, False

    def _text(self, event: yaml.ScalarEvent) -> Node:
        spot = self._spot(event)
        path = self._open[-1].next_path() if self._open else ""
        self._check_extras(event, spot, path)
        if has_unseen(event.value):
            message = "an escape stands for a character that cannot be seen"
            self._report.add(Rule.CONTROL_CHARACTER, message, spot.place(path))
            return Broken(spot=spot)
        if not event.style and self._is_split(event, spot, path):
            return Broken(spot=spot)
        if not event.value and not event.style:
            spot = Spot(source=spot.source, line=spot.line, column=max(1, spot.column - 1))
        if event.value and not event.style:
            self._check_lost(event, path)
        return Text(value=event.value, spot=spot, style=_STYLES.get(event.style or "", Style.PLAIN))

    def _is_split(self, event: yaml.ScalarEvent, spot: Spot, path: str) -> bool:
        """Whether a decimal comma ended this value, or began it: in braces YAML parts there.

        The part before the comma is reported, with the whole number.
        """
        start, end = event.start_mark, event.end_mark
        if start is None or end is None or not (self._open and self._open[-1].flow):
            return False
        line = self._draft.line(start.line + 1)
        if start.line != end.line or not event.value:
            return False
        if re.search(r"\d,$", line[: start.column]) and event.value[0].isdigit():
            return True
        number = re.search(r"\d+$", event.value)
        whole = number and _DECIMAL.match(line, start.column + number.start())
        if not number or not whole or whole.end(1) != end.column:
            return False
        message = f"the comma in `{whole[0]}` ends the value, as it does between brackets"
        point = amount_in_our_words(whole[0])
        remedy = f"Write `{point}`." if number[0] == event.value else 'Put it in quotes: "…".'
        self._report.add(Rule.NEEDS_QUOTES, message, spot.place(path), remedy)
        return True

    def _check_lost(self, event: yaml.ScalarEvent, path: str) -> None:
        """Report a text that YAML ends at a `#` where the author may mean the sign."""
        end = event.end_mark
        if end is None:
            return
        spot = self._draft.spot(end.line, end.column)
        place = spot.place(path)
        lost = _LOST.match(place.text, place.column - 1)
        if lost:
            message = f"`{_short(lost[1])}` and what follows it would be taken for a note and lost"
            remedy = 'Put the whole text in quotes: "…". A note has a space behind its `#`.'
            place = spot.source.place(spot.line, lost.start(1) + 1, width=len(lost[1]), path=path)
            self._report.add(Rule.NEEDS_QUOTES, message, place, remedy)

    def _alias(self, event: yaml.AliasEvent) -> Node:
        spot = self._spot(event)
        if not (self._open and self._open[-1].skip):
            path = self._open[-1].next_path() if self._open else ""
            message = f"`*{_short(event.anchor)}` repeats a value from elsewhere"
            remedy = "Write the value out. A text that begins with `*` needs quotes."
            self._report.add(Rule.ALIAS, message, spot.place(path), remedy)
        return Broken(spot=spot)

    def _check_extras(
        self, event: yaml.ScalarEvent | yaml.CollectionStartEvent, spot: Spot, path: str
    ) -> None:
        if event.anchor is not None:
            message = f"`&{_short(event.anchor)}` names a value for repeating it"
            remedy = "Take the name out. A text that begins with `&` needs quotes."
            self._report.add(Rule.ALIAS, message, spot.place(path), remedy)
        if event.tag is not None:
            remedy = "Take the tag out. A text that begins with `!` needs quotes."
            self._report.add(Rule.TAG, "values carry no YAML tags", spot.place(path), remedy)

    def _report_more(self, event: yaml.Event) -> None:
        place = self._spot(event).place()
        message = "a second document begins here; a file holds one"
        self._report.add(Rule.MORE_DOCUMENTS, message, place, "Take out the line `---`.")

    def _spot(self, event: yaml.Event) -> Spot:
        start, end = event.start_mark, event.end_mark
        if start is None or end is None:  # the parsers mark every event
            return Spot(source=self._draft.source, line=1, column=1)
        block = isinstance(event, yaml.CollectionStartEvent) and not event.flow_style
        return self._draft.spot(start.line, start.column, None if block else (end.line, end.column))


def _short(word: str | None) -> str:
    word = word or ""
    return word if len(word) <= 40 else word[:39] + "…"
