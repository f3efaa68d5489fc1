"""A caseload file, YAML or CSV, as entries: one patient each, with what is wrong with it."""

from __future__ import annotations

import hashlib
import json
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from breathmark.deliver.publish import safe_name
from breathmark.problems import InputProblems, Place, Problem
from breathmark.routine.amounts import Limits
from breathmark.routine.compose import compose
from breathmark.routine.nodes import Broken, Fields, Items, Node, Text
from breathmark.routine.reader import Reader, Value
from breathmark.routine.report import Report, Unheard
from breathmark.routine.rules import Rule
from breathmark.routine.source import TABLES, Source, is_file, read_source

WEEKS = Limits(low=1, high=104, timed=False)
"""The week that a patient may be in."""

OWN_KEYS = ("file", "routine", "week")
"""What an entry that names a patient's file may say beside it."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Entry:
    """One patient of a caseload, counted from 1 in the file's order.

    Either ``file`` is the patient's file, and ``routine`` overrules the one it names, or
    ``written`` holds the particulars, inside ``source``.  ``label`` is empty where it
    could not be read.  Entries with the same ``shares`` have their words in common.
    """

    number: int
    place: Place
    label: str = ""
    week: int = 1
    file: Path | None = None
    routine: Path | None = None
    source: Source | None = None
    written: Fields | None = None
    shares: str = ""
    problems: tuple[Problem, ...] = ()

    @property
    def shown(self) -> str:
        """What it is called: its label, else its file's name, else where it stands."""
        file = self.file.name if self.file else f"line {self.place.line}"
        return self.label or file


def read_caseload(path: Path) -> tuple[Entry, ...]:
    """Read a caseload: a table where its name ends in ``.csv`` or ``.tsv``, else a list.

    Raises :class:`~breathmark.problems.InputProblems` for what is wrong with the whole
    file; what is wrong with one entry is kept with it.  Entries of one label would be
    built into one folder, and are refused.
    """
    from breathmark.caseload.table_file import table_nodes

    report = Report()

    def read() -> tuple[Entry, ...]:
        source = read_source(path, report)
        if source is None:
            return ()
        rows = table_nodes(source, report) if is_table(path) else _list_nodes(source, report)
        return tuple(_entry(n, *row, source) for n, row in enumerate(rows, start=1))

    return tuple(_told_apart(report.settle(read)))


def is_table(path: Path) -> bool:
    """Whether a caseload's name says that it is a table."""
    return path.suffix.lower() in TABLES


def _list_nodes(source: Source, report: Report) -> list[tuple[Node, tuple[Problem, ...]]]:
    root = compose(source, report)
    if isinstance(root, Items) and root.items:
        return [(node, ()) for node in root.items]
    if root is None or isinstance(root, Items) or (isinstance(root, Text) and root.empty):
        if not len(report):
            remedy = "Write a patient's file on each line, with `- ` before it."
            report.add(Rule.EMPTY_FILE, "there is nothing in the file", source.place(1, 1), remedy)
    elif not isinstance(root, Broken):
        message = "a caseload is a list of patients, each with `- ` before it"
        remedy = "For one patient alone, use `breathmark make`."
        report.add(Rule.WRONG_TYPE, message, root.spot.place(), remedy)
    return []


def _entry(number: int, node: Node, problems: tuple[Problem, ...], source: Source) -> Entry:
    place = node.spot.place()
    if problems:
        label = _text_of(node, "label") if isinstance(node, Fields) else ""
        return Entry(number=number, place=place, label=label, problems=problems)
    report = Report()
    try:
        return replace(report.settle(lambda: _read(node, source, report)), number=number)
    except InputProblems as found:
        label = _text_of(node, "label") if isinstance(node, Fields) else ""
        file = _text_of(node, "file") if isinstance(node, Fields) else _plain(node)
        named = source.folder / file if isinstance(file, str) and file else None
        return Entry(number=number, place=place, label=label, file=named, problems=found.problems)


def _read(node: Node, source: Source, report: Report) -> Entry:
    reader = Reader(report, source.folder)
    if isinstance(node, Fields) and "file" not in node.entries:
        return _written(reader, node, source)
    value = Value(node=node, path="")
    week, routine = 1, None
    if isinstance(node, Fields):
        section = reader.section(
            value,
            "an entry with a `file`",
            valid=OWN_KEYS,
            elsewhere=dict.fromkeys(node.entries, "the patient's file"),
        )
        value = section.values.get("file", value) if section else value
        week = _week(reader, section.get("week") if section else None)
        named = reader.text(section.get("routine")) if section else ""
        routine = source.folder / named if named else None
    name = reader.text(value)
    if not name:
        return Entry(number=0, place=value.place)
    if not is_file(source.folder / name):
        read_source(source.folder / name, reader.report, named_at=value.place)
        return Entry(number=0, place=value.place)  # with its problem
    label, its_routine, heard = _glance(source.folder / name)
    return Entry(
        number=0,
        place=value.place,
        label=label,
        week=week,
        file=source.folder / name,
        routine=routine,
        shares=f"{routine or its_routine}\n{heard}",
    )


def _written(reader: Reader, node: Fields, source: Source) -> Entry:
    entries = {key: entry for key, entry in node.entries.items() if key != "week"}
    written = replace(node, entries=entries)
    week = node.entries.get("week")
    label = _text_of(node, "label")
    routine = source.folder / _text_of(node, "routine")
    return Entry(
        number=0,
        place=node.entries["label"].value.spot.place() if label else node.spot.place(),
        label=label,
        week=_week(reader, Value(node=week.value, path="week") if week else None),
        source=replace(source, sha256=_hash_of(written)),
        written=written,
        shares=f"{routine}\n{_heard(node)}",
    )


def _week(reader: Reader, value: Value | None) -> int:
    amount = reader.amount(value, WEEKS, exact=True)
    return amount.usual if amount else 1


def _glance(path: Path) -> tuple[str, str, str]:
    """Label, routine and :func:`_heard` of a patient's file; what is wrong is said later."""
    report = Unheard()
    source = read_source(path, report)
    root = compose(source, report) if source else None
    if not isinstance(root, Fields):
        return "", "", ""
    routine = _text_of(root, "routine")
    return _text_of(root, "label"), str(path.parent / routine), _heard(root)


def _heard(node: Fields) -> str:
    """What decides how the lines of a routine are spoken."""
    return f"{_text_of(node, 'voice')}\n{_text_of(node, 'hearing')}"


def _text_of(node: Fields, key: str) -> str:
    entry = node.entries.get(key)
    text = entry.value.value if entry and isinstance(entry.value, Text) else ""
    return " ".join(text.split())


def _hash_of(node: Node) -> str:
    """One hash over what is written, wherever in the file it stands."""
    return hashlib.sha256(json.dumps(_plain(node)).encode("utf-8", "surrogatepass")).hexdigest()


def _plain(node: Node) -> object:
    if isinstance(node, Fields):
        return {key: _plain(entry.value) for key, entry in node.entries.items()}
    if isinstance(node, Items):
        return [_plain(item) for item in node.items]
    return node.value if isinstance(node, Text) else None


def _told_apart(entries: Iterable[Entry]) -> Iterator[Entry]:
    """The entries; those whose label another has, too, with that as their problem."""
    entries = tuple(entries)
    same: dict[str, list[Entry]] = defaultdict(list)
    for entry in entries:
        if entry.label:
            same[safe_name(entry.label)].append(entry)
    for entry in entries:
        others = [one for one in same[safe_name(entry.label)] if one is not entry]
        if not entry.label or not others:
            yield entry
            continue
        shown = ", ".join(one.place.shown() for one in others[:3])
        message = f"the label `{entry.label}` stands at {shown}, too"
        other = next((one.label for one in others if one.label != entry.label), "")
        if other:
            message = f"`{entry.label}` and `{other}` ({shown}) would be built into one folder"
        problem = Problem(
            rule=Rule.SAME_LABEL,
            message=message,
            place=entry.place,
            remedy="Every patient needs a label of their own; neither of them was built.",
        )
        yield replace(entry, problems=(*entry.problems, problem))
