"""Meaning for nodes: text, choices, lists, mappings and amounts, each with its field path.

Every method reports what is wrong and returns something harmless, and says nothing
about a value that is reported already.
"""

from __future__ import annotations

import enum
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from breathmark.problems import Place, misspelt
from breathmark.routine.amounts import Limits, MisreadAmountError, read_amount
from breathmark.routine.everyday import choice_meant, in_parts, key_meant, two_meanings
from breathmark.routine.nodes import Broken, Entry, Fields, Items, Node, Style, Text, child_path
from breathmark.routine.report import Report
from breathmark.routine.rules import Rule
from breathmark.routine.syntax import BULLET
from breathmark.routine.tags import published
from breathmark.units import Ranged

MOST_LINE = 600
"""Characters in one spoken line: at 150 words a minute nearly a minute of speech."""

MOST_NAME = 100
"""Characters in a title or a name: it becomes a chapter and a file name."""

_NUMBERED = re.compile(r"(1[.)])\s.*\s2[.)]\s", re.DOTALL)

Choice = TypeVar("Choice", bound=enum.StrEnum)


@dataclass(frozen=True, kw_only=True, slots=True)
class Value:
    """A node and the path of its field."""

    node: Node
    path: str

    @property
    def place(self) -> Place:
        """Where it stands."""
        return self.node.spot.place(self.path)


@dataclass(frozen=True, kw_only=True, slots=True)
class Section:
    """A mapping whose keys are known to be valid; ``get`` gives ``None`` for the others."""

    path: str
    place: Place
    values: Mapping[str, Value]
    meant: frozenset[str] = frozenset()
    """Keys that an unknown one is offered for; they are not told as missing as well."""

    def get(self, key: str) -> Value | None:
        """The value of ``key``, if it is there."""
        return self.values.get(key)


class Reader:
    """What one reading shares: the report, the places of all fields, the home folder.

    ``known`` holds the words for what exercises involve; a file may declare more.
    """

    def __init__(self, report: Report, home: Path) -> None:
        self.report = report
        self.home = home
        self.places: dict[str, Place] = {}
        self.known = published()

    def wrong(self, value: Value, rule: Rule, message: str, remedy: str = "") -> None:
        """Report a problem at a value, unless that is broken already."""
        if not isinstance(value.node, Broken):
            self.report.add(rule, message, value.place, remedy)

    def text(self, value: Value | None, *, most: int = MOST_LINE) -> str:
        """A text on one line, blanks tidied; empty when there is none."""
        if value is None:
            return ""
        if not isinstance(value.node, Text):
            self.wrong_type(value, "a text")
            return ""
        tidy = " ".join(value.node.value.split())
        if not tidy:
            self.wrong(value, Rule.EMPTY_VALUE, "there is nothing here")
        self.check_length(value, tidy, most)
        return tidy

    def check_length(self, value: Value, text: str, most: int) -> None:
        """Report a text that is longer than ``most`` characters."""
        if len(text) > most:
            message = f"this text has {len(text)} characters; at most {most} fit here"
            self.wrong(value, Rule.TOO_LONG, message, "Shorten it, or make several lines of it.")

    def choice(self, value: Value | None, choices: type[Choice]) -> Choice | None:
        """One of the words of ``choices``, in capitals or not."""
        text = self.text(value, most=MOST_LINE)
        if value is None or not text:
            return None
        if text.lower() in [str(choice) for choice in choices]:
            return choices(text.lower())
        message = f"`{short(text)}` is not one of the words for this"
        valid = [str(choice) for choice in choices]
        close = choice_meant(text, valid) or misspelt(text[:MOST_NAME], valid)
        meant = f"Did you mean `{close}`? " if close else ""
        remedy = two_meanings(text) or f"{meant}Valid here: {', '.join(valid)}."
        self.wrong(value, Rule.NOT_A_CHOICE, message, remedy)
        return None

    def yes(self, value: Value | None) -> bool:
        """``yes`` or ``no``; no when it is not there."""
        text = self.text(value)
        if value is None or not text or text.lower() in {"yes", "no"}:
            return text.lower() == "yes"
        message = f"`{short(text)}` is neither yes nor no"
        meant = choice_meant(text, ("yes", "no"))
        remedy = f"Write `{meant}`." if meant else "Write `yes` or `no`."
        self.wrong(value, Rule.NOT_A_CHOICE, message, remedy)
        return False

    def amount(self, value: Value | None, limits: Limits, *, exact: bool = False) -> Ranged | None:
        """An amount within its limits, or ``None``."""
        text = self.text(value)
        if value is None or not text:
            return None
        try:
            return read_amount(text, limits, exact=exact)
        except MisreadAmountError as error:
            self.wrong(value, error.rule, str(error), error.remedy)
            return None

    def items(self, value: Value | None) -> tuple[Value, ...]:
        """The items of a list; anything else counts as a list of one."""
        if value is None or isinstance(value.node, Broken):
            return ()
        if not isinstance(value.node, Items):
            self._refuse_bullets(value)
            return (value,)
        items = tuple(
            Value(node=node, path=f"{value.path}[{index}]")
            for index, node in enumerate(value.node.items)
        )
        self.places.update((item.path, item.place) for item in items)
        return items

    def _refuse_bullets(self, value: Value) -> None:
        """Report items that a bullet, or a hyphen without its space, makes one text of."""
        node = value.node
        if not isinstance(node, Text) or node.style is not Style.PLAIN:
            return
        found = BULLET.match(node.value) or _NUMBERED.match(node.value)
        if found:
            message = f"`{found[1]}` begins no item of a list"
            remedy = "Begin each item on a line of its own, with a hyphen and a space: `- `."
            self.wrong(value, Rule.INDENTATION, message, remedy)

    def texts(self, value: Value | None, *, most: int = MOST_NAME) -> tuple[str, ...]:
        """A list of texts, or one text."""
        texts = (self.text(item, most=most) for item in self.items(value))
        return tuple(text for text in texts if text)

    def section(
        self,
        value: Value,
        what: str,
        *,
        valid: Iterable[str],
        required: Iterable[str] = (),
        elsewhere: Mapping[str, str] | None = None,
    ) -> Section | None:
        """A mapping with all its keys checked; ``None`` when it is no mapping.

        ``what`` names it in messages, with its article.  ``elsewhere`` says of keys
        that belong to another place where that is.
        """
        if not isinstance(value.node, Fields):
            self.wrong_type(value, what)
            return None
        self.places[value.path] = value.place
        keys = tuple(valid)
        values: dict[str, Value] = {}
        offered: set[str] = set()
        for key, entry in value.node.entries.items():
            path = child_path(value.path, key)
            if key in keys:
                values[key] = self._filled(Value(node=entry.value, path=path), key)
            else:
                where = (elsewhere or {}).get(key) or (elsewhere or {}).get(key.lower())
                offered.add(self._unknown(entry, path, what, keys, where))
        section = Section(
            path=value.path, place=value.place, values=values, meant=frozenset(offered)
        )
        for key in required:
            if key not in values:
                self.missing(section, key, what)
        return section

    def missing(self, section: Section, key: str, what: str, remedy: str = "") -> None:
        """Report that ``what`` lacks a key, unless another is told as a slip for it."""
        if key in section.meant:
            return
        message = f"{what} needs `{key}`, which is missing"
        self.report.add(Rule.MISSING_KEY, message, section.place, remedy)

    def _filled(self, value: Value, key: str) -> Value:
        self.places[value.path] = value.place
        if not isinstance(value.node, Text) or not value.node.empty:
            return value
        message = f"`{key}` has no value"
        self.wrong(value, Rule.EMPTY_VALUE, message, "Write one, or take the key out.")
        return Value(node=Broken(spot=value.node.spot), path=value.path)

    def _unknown(
        self, entry: Entry, path: str, what: str, keys: tuple[str, ...], where: str | None
    ) -> str:
        """Report an unknown key; the key that is offered for it, empty where none is."""
        key = entry.key.value
        before, colon, _ = key.partition(":")
        close = misspelt(key[:MOST_NAME], keys)
        meant = "" if where else key_meant(key, keys) or close or ""
        remedy = f"Did you mean `{meant}`?" if meant else f"Valid here: {', '.join(keys)}."
        remedy = f"It belongs to {where}." if where else remedy
        if colon and before in keys:
            meant, remedy = before, f"Put a space behind the colon of `{before}:`."
        message = f"{what} has no key `{short(key)}`"
        self.report.add(Rule.UNKNOWN_KEY, message, entry.key.spot.place(path), remedy)
        return meant

    def wrong_type(self, value: Value, wanted: str) -> None:
        """Report a value that is of another shape than ``wanted``."""
        node = value.node
        found = {Text: "a text", Items: "a list", Fields: "a mapping"}.get(type(node), "")
        remedy = ""
        if isinstance(node, Fields) and wanted == "a text":
            remedy = 'A text that holds a colon, or begins with a brace, needs quotes: "…".'
        elif isinstance(node, Text):
            remedy = in_parts(value.path.rpartition(".")[2], node.value)
        self.wrong(value, Rule.WRONG_TYPE, f"this is {found}; {wanted} belongs here", remedy)


def short(text: str, most: int = 40) -> str:
    """A text cut for a message."""
    return text if len(text) <= most else text[: most - 1] + "…"
