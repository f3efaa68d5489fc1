"""Shared exercises as text: a table of many, or one whole, to be pasted into a routine."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path

from breathmark.cli.exercises import NOTHING, Shared, Sought, what_lacks, words_of_shelf
from breathmark.problems import Place
from breathmark.routine.exercise import folded
from breathmark.routine.library import Library
from breathmark.routine.tags import same_word
from breathmark.script.dose_words import dose_text

_HEADS = ("exercise", "position", "dose", "needs")
_ELSEWHERE = "other"


def table_text(found: Sequence[Shared], of: int, *, width: int) -> str:
    """The exercises, one at least, as a table for each region, and how many there are."""
    rows = [_cells(one) for one in found]
    wide = [
        max(len(text) for text in column)
        for column in zip(_HEADS[:3], *(row[:3] for row in rows), strict=True)
    ]
    wide[0] = min(wide[0], width // 3)
    wide[2] = min(wide[2], (width - sum(wide[:2]) - 6) * 3 // 5)
    groups: dict[str, list[tuple[str, ...]]] = {}
    for one, row in zip(found, rows, strict=True):
        groups.setdefault(one.regions[0] if one.regions else _ELSEWHERE, []).append(row)
    lines = []
    for region, members in groups.items():
        title = region[:1].upper() + region[1:]
        lines += ["", title, "-" * width]
        lines += [line for row in members for line in _row(row, wide, width)]
    example = found[0].exercise.name
    lines += ["", f"{len(found)} of {of} exercises. One of them in full, to paste or to `use`:"]
    lines += [f'  breathmark exercises "{example}"']
    return "\n".join(lines[1:])


def none_text(exercises: Sequence[Shared], sought: Sought) -> str:
    """That nothing is found, and what to ask for instead."""
    more, number = what_lacks(exercises, sought)
    none = f"None of the {len(exercises)} exercises"
    if not more:
        return f"{none} is like that. Ask for less."
    if sought.regions or sought.positions or sought.targets or sought.avoid:
        none = f"{none} is like that and"
    have = ", ".join(word for word in sought.equipment or () if not same_word(word, NOTHING))
    asked = f"needs only: {have}" if have else "needs nothing at all"
    options = " ".join(f'--equipment "{piece}"' for piece in more)
    there = f"there {'is' if number == 1 else 'are'} {number}"
    return f"{none} {asked}. Name all that is at hand:\nwith {options} as well, {there}."


def _cells(one: Shared) -> tuple[str, str, str, str]:
    exercise = one.exercise
    position = exercise.position.value if exercise.position else ""
    needs = ", ".join(exercise.equipment) or NOTHING
    return exercise.name, position, dose_text(exercise), needs


def _row(row: Sequence[str], wide: Sequence[int], width: int) -> Iterator[str]:
    """A row of the table; what is too wide goes on under itself."""
    columns = [*wide, width - sum(wide) - 6]
    wrapped = [textwrap.wrap(cell, size) or [""] for cell, size in zip(row, columns, strict=True)]
    for at in range(max(map(len, wrapped))):
        cells = [part[at] if at < len(part) else "" for part in wrapped]
        line = [cell.ljust(size) for cell, size in zip(cells, columns, strict=True)]
        yield "  ".join(line).rstrip()


def whole_text(one: Shared, exercises: Iterable[Shared]) -> str:
    """One exercise as its author wrote it, with what to write to have it in a routine."""
    name, library = one.exercise.name, one.library
    where = Path(library.file).name if one.own else "the starter library"
    lines = [f"# From {where}. In a routine, this is enough:", "#"]
    if one.own:
        lines += [f"# library: [{library.file}]"]
    lines += [
        "# exercises:",
        f"#   - use: {name}",
        "#",
        "# What you write beside `use` replaces what stands here. Or take it whole:",
        "",
        "exercises:",
        *_as_written(one),
    ]
    return "\n".join([*lines, *_instead(one, exercises)])


def _instead(one: Shared, exercises: Iterable[Shared]) -> Iterator[str]:
    """Where its replacement comes from, if it names one."""
    named = one.exercise.instead
    if named and any(folded(other.exercise.name) == folded(named) for other in exercises):
        yield ""
        yield f"# Its replacement comes from the library by itself: {named}"


def _as_written(one: Shared) -> list[str]:
    """The lines of its file, set in by two; made anew where it is written in braces."""
    lines = Path(one.library.file).read_text(encoding="utf-8-sig").splitlines()
    start = one.library.places[one.exercise.path].line - 1
    later = [place.line - 1 for place in _items(one.library) if place.line - 1 > start]
    part = lines[start : min(later, default=len(lines))]
    while part and (not part[-1].strip() or part[-1].lstrip().startswith("#")):
        part.pop()
    text = textwrap.dedent("\n".join(part))
    written = _raw(one)
    if _read_again(text) == [written]:
        return textwrap.indent(text, "  ").splitlines()
    import yaml

    made = yaml.safe_dump([written], sort_keys=False, allow_unicode=True, width=90)
    return textwrap.indent(made, "  ").splitlines()


def _items(library: Library) -> Iterator[Place]:
    for exercise in library.exercises:
        yield library.places[exercise.path]


def _raw(one: Shared) -> object:
    """The exercise as plain data, every value the text that was typed."""
    import yaml

    text = Path(one.library.file).read_text(encoding="utf-8-sig")
    items = yaml.load(text, yaml.BaseLoader)["exercises"]
    named = one.exercise.path[len("exercises[") : -1]
    return items[int(named)]


def _read_again(text: str) -> object:
    import yaml

    try:
        return yaml.load(text, yaml.BaseLoader)
    except yaml.YAMLError:
        return None


def tags_text(exercises: Sequence[Shared], *, width: int) -> str:
    """What an exercise may involve, for `involves`, `avoid` and `--avoid`."""
    known = words_of_shelf(exercises)
    return _meanings("What an exercise may involve (`involves`, `avoid`)", known.tags, width)


def targets_text(exercises: Sequence[Shared], *, width: int) -> str:
    """What an exercise may be for, in the words a patient knows, region by region."""
    known = words_of_shelf(exercises)
    parts = []
    for region in (*known.regions, ""):
        targets = {
            name: target.plain for name, target in known.targets.items() if target.region == region
        }
        if targets:
            title = region or "your own"
            parts.append(_meanings(title[:1].upper() + title[1:], targets, width))
    return "\n\n".join(parts)


def _meanings(title: str, meanings: Mapping[str, str], width: int) -> str:
    wide = max(map(len, meanings)) + 2
    lines = [
        textwrap.fill(
            f"{word.ljust(wide)}{meaning}",
            width,
            subsequent_indent=" " * wide,
            break_on_hyphens=False,
        )
        for word, meaning in meanings.items()
    ]
    return "\n".join([title, "-" * width, *lines])
