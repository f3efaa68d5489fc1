"""Shared exercises: library files, the starter library, and `use` in a routine."""

from __future__ import annotations

import functools
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from breathmark.problems import Place, nearest
from breathmark.routine.compose import compose
from breathmark.routine.doses import ALL_DOSE_KEYS, DOSE_KEYS, PAIRED
from breathmark.routine.exercise import EXERCISE_KEYS, NO_SIDES, folded, read_exercise
from breathmark.routine.model import Exercise, Kind, Sides
from breathmark.routine.nodes import Broken, Entry, Fields, Items, Text
from breathmark.routine.reader import MOST_NAME, Reader, Section, Value, short
from breathmark.routine.report import Report
from breathmark.routine.rules import Rule
from breathmark.routine.source import read_source
from breathmark.routine.tags import Pairs
from breathmark.routine.tags_reading import know_declared

STARTER_FOLDER = Path(__file__).parent / "starter"
"""The library files that ship with the package."""

MOST_SHARED = 1_000
"""Exercises in one library file."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Library:
    """A library file as read: its exercises, and where each of their fields stands."""

    file: str
    title: str
    language: str
    region: str
    exercises: tuple[Exercise, ...]
    tags: Pairs = ()
    targets: Pairs = ()
    places: Mapping[str, Place] = field(default_factory=dict, compare=False, repr=False)

    def find(self, name: str) -> Exercise | None:
        """The exercise of that name, capitals ignored."""
        return find_exercise(self.exercises, name)


def find_exercise(exercises: Iterable[Exercise], name: str) -> Exercise | None:
    """The first exercise of that name, capitals ignored."""
    wanted = folded(name)
    return next((one for one in exercises if folded(one.name) == wanted), None)


def read_library(path: Path) -> Library:
    """Read a library file and check every exercise in it.

    Raises :class:`~breathmark.problems.InputProblems` with all problems of the file.
    """
    report = Report()
    return report.settle(lambda: _library(path, report, Shelves(report)))


def starter_library() -> tuple[Exercise, ...]:
    """All exercises of the starter library, checked, in the order of its files."""
    report = Report()
    shelves = Shelves(report)

    def read() -> tuple[Exercise, ...]:
        libraries = [_library(path, report, shelves) for path in _starter_files(STARTER_FOLDER)]
        return tuple(one for library in libraries for one in library.exercises)

    return report.settle(read)


class Shelves:
    """The shared exercises a routine can use: its own libraries first, then the starter's.

    The starter library is opened only when the others do not have what is asked for.
    ``tags`` and ``targets`` are the words that the own libraries declare.
    """

    def __init__(self, report: Report) -> None:
        self._report = report
        self.tags: Pairs = ()
        self.targets: Pairs = ()
        self._own: dict[str, Fields] = {}

    def add(self, path: Path, named_at: Place) -> None:
        """Read a library file that a routine names at a place; its problems are reported."""
        opened = _open(path, self._report, named_at)
        if opened is None:
            return
        reader, exercises, header = opened
        tags, targets = know_declared(reader, header.get("tags"), header.get("targets"))
        self.tags, self.targets = self.tags + tags, self.targets + targets
        for value in exercises:
            read_exercise(reader, value)
        for name, node in _named(exercises).items():
            self._own.setdefault(name, node)

    def find(self, name: str) -> Fields | None:
        """The mapping of the exercise of that name."""
        wanted = folded(name)
        return self._own.get(wanted) or _starters_in(STARTER_FOLDER).get(wanted)

    def near(self, name: str) -> str:
        """A remedy that names the exercise most like ``name``."""
        nodes = (*self._own.values(), *_starters_in(STARTER_FOLDER).values())
        names = [_name(node) for node in nodes]
        close = nearest(name[:MOST_NAME], names)
        return f"Did you mean `{close}`?" if close else "No shared exercise has a name like it."


def with_shared(reader: Reader, value: Value, shelves: Shelves) -> Value:
    """An exercise's value with what its `use` brings in; keys beside `use` come first.

    An exercise that does not exist is reported; what it would bring stays broken, so
    that nothing else is said about it.
    """
    node = value.node
    if not isinstance(node, Fields) or "use" not in node.entries:
        return value
    own = {key: entry for key, entry in node.entries.items() if key != "use"}
    use = Value(node=node.entries["use"].value, path=f"{value.path}.use")
    reader.places[use.path] = use.place
    name = reader.text(use, most=MOST_NAME)
    shared = shelves.find(name) if name else None
    if shared is None:
        if name:
            message = f"no library has an exercise `{short(name)}`"
            reader.wrong(use, Rule.UNKNOWN_EXERCISE, message, shelves.near(name))
        inherited = _stand_in(node.entries["use"], name)
    else:
        inherited = _still_fitting(shared, own)
    return Value(node=Fields(entries=inherited | own, spot=node.spot), path=value.path)


def point_to_uses(places: dict[str, Place]) -> None:
    """Let what came from the starter library stand where a routine uses it.

    Nobody mends a file of the package: what is wrong with such an exercise in this
    routine is mended beside its `use`.
    """
    folder = str(STARTER_FOLDER)
    for path, place in places.items():
        use = places.get(_exercise_in(path) + ".use")
        if use is not None and place.file.startswith(folder):
            places[path] = use


def _exercise_in(path: str) -> str:
    """The exercise that a field belongs to: ``exercises[0]`` of ``exercises[0].cues[1]``."""
    return path[: path.find("]") + 1]


def _stand_in(use: Entry, name: str) -> dict[str, Entry]:
    spot = use.value.spot
    broken = Broken(spot=spot)
    named = Text(value=name, spot=spot) if name else broken
    return {
        "name": Entry(key=use.key, value=named),
        "kind": Entry(key=use.key, value=broken),
    }


def _still_fitting(shared: Fields, own: Mapping[str, Entry]) -> dict[str, Entry]:
    """The shared entries without those that the overriding keys leave without meaning."""
    kind = _word(own, "kind") or _word(shared.entries, "kind")
    sides = _word(own, "sides") or _word(shared.entries, "sides")
    dropped: set[str] = {name for pair in PAIRED if pair & own.keys() for name in pair}
    if "kind" in own and kind in list(Kind):
        dropped |= set(ALL_DOSE_KEYS) - set(DOSE_KEYS[Kind(kind)])
    if kind in NO_SIDES:
        dropped |= {"sides", "change sides", "first side"}
    elif "sides" in own and sides != Sides.EACH:
        dropped |= (
            {"change sides"} if sides == Sides.ALTERNATING else {"change sides", "first side"}
        )
    return {key: entry for key, entry in shared.entries.items() if key not in dropped}


def _word(entries: Mapping[str, Entry], key: str) -> str:
    node = entries[key].value if key in entries else None
    return node.value.strip().lower() if isinstance(node, Text) else ""


@functools.cache
def _starters_in(folder: Path) -> Mapping[str, Fields]:
    """The mapping of each starter exercise by its folded name, read once in a process.

    Raises :class:`~breathmark.problems.InputProblems` where the package is damaged.
    """
    report = Report()

    def read() -> dict[str, Fields]:
        opened = [_open(path, report, None) for path in _starter_files(folder)]
        return {name: node for one in opened if one for name, node in _named(one[1]).items()}

    return report.settle(read)


def _starter_files(folder: Path) -> list[Path]:
    return sorted(folder.glob("*.yaml"))


def _library(path: Path, report: Report, shelves: Shelves) -> Library:
    opened = _open(path, report, None)
    if opened is None:
        return Library(file=str(path), title="", language="", region="", exercises=())
    reader, values, header = opened
    tags, targets = know_declared(reader, header.get("tags"), header.get("targets"))
    read = [read_exercise(reader, value) for value in values]
    exercises = tuple(one for one in read if one is not None)
    known = {folded(one.name) for one in exercises}
    for one in exercises:
        if one.instead and folded(one.instead) not in known and not shelves.find(one.instead):
            place = reader.places[f"{one.path}.instead"]
            message = f"there is no exercise `{short(one.instead)}`"
            report.add(Rule.UNKNOWN_EXERCISE, message, place, shelves.near(one.instead))
    return Library(
        file=str(path),
        title=reader.text(header.get("title")),
        language=reader.text(header.get("language")),
        region=reader.text(header.get("region")),
        exercises=exercises,
        tags=tags,
        targets=targets,
        places=reader.places,
    )


def _open(
    path: Path, report: Report, named_at: Place | None
) -> tuple[Reader, tuple[Value, ...], Section] | None:
    """A library's exercises as values, not read yet, with its header."""
    source = read_source(path, report, named_at=named_at)
    root = compose(source, report) if source else None
    if source is None or root is None:
        return None
    reader = Reader(report, source.folder)
    top = Value(node=root, path="")
    section = reader.section(
        top,
        "a library",
        valid=("title", "language", "region", "tags", "targets", "exercises"),
        required=("exercises",),
        elsewhere=dict.fromkeys(EXERCISE_KEYS, "an exercise, indented under `exercises`"),
    )
    if section is None:
        return None
    values = exercise_values(reader, section.get("exercises"), MOST_SHARED)
    report_same_names(reader, values)
    return reader, values, section


def exercise_values(reader: Reader, value: Value | None, most: int) -> tuple[Value, ...]:
    """The items of a list of exercises, at most ``most`` of them."""
    if value is None:
        return ()
    if isinstance(value.node, Text):
        reader.wrong_type(value, "a list of exercises")
        return ()
    values = reader.items(value)
    if isinstance(value.node, Items) and not values:
        message = "there is no exercise in the list"
        reader.wrong(value, Rule.EMPTY_VALUE, message, "Write at least one.")
    if len(values) > most:
        message = f"these are {len(values)} exercises; at most {most} are read"
        reader.wrong(value, Rule.TOO_MANY, message)
    return values[:most]


def report_same_names(reader: Reader, values: Iterable[Value]) -> None:
    """Report every exercise whose name another has already, capitals ignored."""
    first: dict[str, Place] = {}
    for value in values:
        if not isinstance(value.node, Fields):
            continue
        entry = value.node.entries.get("name")
        name = folded(_name(value.node))
        if entry is None or not name:
            continue
        inherited = entry.value.spot.source is not value.node.spot.source
        spot = value.node.spot if inherited else entry.value.spot
        place = spot.place(f"{value.path}.name")
        if name in first:
            message = f"`{short(_name(value.node))}` is the name of another exercise already"
            remedy = f"The first is at {first[name].shown()}; give this one a name of its own."
            reader.report.add(Rule.SAME_NAME, message, place, remedy)
        first.setdefault(name, place)


def _named(values: Iterable[Value]) -> dict[str, Fields]:
    nodes = [value.node for value in values if isinstance(value.node, Fields)]
    return {folded(_name(node)): node for node in reversed(nodes) if _name(node)}


def _name(node: Fields) -> str:
    entry = node.entries.get("name")
    text = entry.value.value if entry and isinstance(entry.value, Text) else ""
    return " ".join(text.split())
