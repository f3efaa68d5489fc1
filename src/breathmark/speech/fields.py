"""Reads the small YAML files of the speech room: a mapping of texts, each with its place.

Every scalar stays the text that was typed.  Problems are collected and raised together
by :meth:`Fields.settle`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

import yaml

from breathmark.problems import InputProblems, Place, Problem, did_you_mean

_MOST_BYTES = 1_000_000


class Fields:
    """One mapping of a file: its values by key, with their places."""

    def __init__(
        self, node: yaml.MappingNode, file: str, lines: tuple[str, ...], path: str,
        problems: list[Problem],
    ) -> None:  # fmt: skip
        self._node, self._file, self._lines = node, file, lines
        self._path, self._problems = path, problems
        self._values = self._by_key()

    def _by_key(self) -> dict[str, tuple[yaml.Node, yaml.Node]]:
        found: dict[str, tuple[yaml.Node, yaml.Node]] = {}
        for key, value in self._node.value:
            name = key.value if isinstance(key, yaml.ScalarNode) else ""
            if not name:
                self._add("wrong-type", "a key is a word or a phrase", self._spot(key, ""))
            elif name in found:
                self._add("twice", f"`{name}` stands here twice", self._spot(key, name))
            else:
                found[name] = (key, value)
        return found

    def place(self, key: str = "") -> Place:
        """Where ``key``'s value stands; without one, where the mapping does."""
        node = self._values[key][1] if key in self._values else self._node
        return self._spot(node, key)

    def report(self, rule: str, message: str, *, key: str = "", remedy: str = "") -> None:
        """Note a problem at ``key``'s value."""
        self._add(rule, message, self.place(key), remedy)

    def only(self, known: Iterable[str]) -> None:
        """Report every key that is not one of ``known``."""
        valid = tuple(known)
        for name, (key, _) in self._values.items():
            if name not in valid:
                where, near = self._spot(key, name), did_you_mean(name, valid)
                self._add("unknown-key", f"`{name}` means nothing here", where, near)

    def has(self, key: str) -> bool:
        """Whether the key is written."""
        return key in self._values

    def text(self, key: str, *, default: str | None = None) -> str:
        """The text of ``key``; one that is missing without a ``default`` is reported."""
        if key not in self._values:
            if default is None:
                self._add("missing-key", f"`{key}` is missing", self._spot(self._node, key))
            return default or ""
        return self._scalar(self._values[key][1], key)

    def texts(self, key: str) -> tuple[str, ...]:
        """The text or the list of texts of ``key``; empty when it is not written."""
        if key not in self._values:
            return ()
        node = self._values[key][1]
        if isinstance(node, yaml.SequenceNode):
            return tuple(self._scalar(item, key) for item in node.value)
        return (self._scalar(node, key),)

    def mapping(self, key: str) -> Fields | None:
        """The mapping under ``key``, or ``None`` when there is none."""
        if key not in self._values:
            return None
        return self._inner(key, self._values[key][1])

    def mappings(self) -> Iterator[tuple[str, Fields]]:
        """Every key with the mapping under it; other values are reported."""
        for name, (_, value) in self._values.items():
            inner = self._inner(name, value)
            if inner is not None:
                yield name, inner

    def settle(self) -> None:
        """Raise :class:`~breathmark.problems.InputProblems` when there was any problem."""
        if self._problems:
            raise InputProblems(self._problems)

    def _inner(self, key: str, node: yaml.Node) -> Fields | None:
        path = f"{self._path}.{key}" if self._path else key
        if isinstance(node, yaml.MappingNode):
            return Fields(node, self._file, self._lines, path, self._problems)
        self._add("wrong-type", f"`{key}` holds keys of its own", self._spot(node, key))
        return None

    def _scalar(self, node: yaml.Node, key: str) -> str:
        if not isinstance(node, yaml.ScalarNode):
            self._add("wrong-type", f"`{key}` is one text", self._spot(node, key))
            return ""
        text = str(node.value).strip()
        if not text:
            self._add("empty-value", f"`{key}` has no value", self._spot(node, key))
        return text

    def _add(self, rule: str, message: str, place: Place, remedy: str = "") -> None:
        self._problems.append(Problem(rule=rule, message=message, place=place, remedy=remedy))

    def _spot(self, node: yaml.Node, key: str) -> Place:
        path = ".".join(part for part in (self._path, key) if part)
        return _place(self._file, self._lines, node.start_mark, node.end_mark, path)


def read_fields(path: Path) -> Fields:
    """Read a file that holds one mapping.

    Raises :class:`~breathmark.problems.InputProblems` when it cannot be read as one.
    """
    text = _text(path)
    lines = tuple(text.splitlines())
    try:
        node = yaml.compose(text, Loader=yaml.SafeLoader)
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        place = _place(str(path), lines, mark, mark, "")
        message = getattr(error, "problem", None) or "this is not YAML"
        raise _single("not-yaml", str(message), place) from error
    except RecursionError as error:
        raise _single("too-deep", "the file is nested too deeply", _top(path)) from error
    if not isinstance(node, yaml.MappingNode):
        raise _single("wrong-type", "the file holds keys with values", _top(path))
    return Fields(node, str(path), lines, "", [])


def _text(path: Path) -> str:
    try:
        if path.stat().st_size > _MOST_BYTES:
            raise _single("too-big", "the file is larger than a megabyte", _top(path))
        return path.read_bytes().decode("utf-8-sig")
    except OSError as error:
        reason = error.strerror or "unreadable"
        message = f"the file cannot be read: {reason}"
        raise _single("unreadable", message, _top(path)) from error
    except UnicodeDecodeError as error:
        raise _single("encoding", "the file is not UTF-8 text", _top(path)) from error


def _top(path: Path) -> Place:
    return Place(file=str(path), line=1, column=1)


def _single(rule: str, message: str, place: Place) -> InputProblems:
    return InputProblems([Problem(rule=rule, message=message, place=place)])


def _place(
    file: str, lines: tuple[str, ...], start: yaml.Mark | None, end: yaml.Mark | None, path: str
) -> Place:
    if start is None or end is None:
        return Place(file=file, line=1, column=1, path=path)
    line = lines[start.line] if start.line < len(lines) else ""
    width = end.column - start.column if end.line == start.line else len(line) - start.column
    return Place(
        file=file, line=start.line + 1, column=start.column + 1, text=line,
        width=max(1, width), path=path,
    )  # fmt: skip
