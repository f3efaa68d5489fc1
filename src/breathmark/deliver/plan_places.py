"""Where a field of a JSON file stands: from a path to line and column, for errors."""

from __future__ import annotations

import json

from breathmark.problems import Place

Path = tuple[str | int, ...]
"""Keys and list indexes from the top of a JSON file: ``("events", 3, "text")``."""

_DECODER = json.JSONDecoder()
_SPACE = " \t\n\r"


def place_at(text: str, file: str, offset: int, width: int = 1, path: str = "") -> Place:
    """The place of the character at ``offset`` (from 0) of ``text``."""
    start = text.rfind("\n", 0, offset) + 1
    stop = text.find("\n", offset)
    return Place(
        file=file,
        line=text.count("\n", 0, offset) + 1,
        column=offset - start + 1,
        text=text[start : stop if stop >= 0 else len(text)],
        width=width,
        path=path,
    )


def place_of(text: str, file: str, path: Path) -> Place:
    """The place of the value at ``path`` of valid JSON ``text``.

    A path that leads nowhere gives the place of the nearest value around it, and
    text that is no JSON gives its first character.

    >>> place_of('{"a": [1, {"b": 2}]}', "x.json", ("a", 1, "b")).column
    17
    """
    try:
        at, width = _found(text, path)
    except (ValueError, IndexError, RecursionError):
        at, width = 0, 1
    return place_at(text, file, at, width, shown_path(path))


def shown_path(path: Path) -> str:
    """A path as people write it.

    >>> shown_path(("events", 3, "text"))
    'events[3].text'
    """
    steps = (f"[{step}]" if isinstance(step, int) else f".{step}" for step in path)
    return "".join(steps).lstrip(".")


def _found(text: str, path: Path) -> tuple[int, int]:
    at = _past_space(text, 0)
    for step in path:
        inside = _child(text, at, step)
        if inside is None:
            break
        at = inside
    end = _DECODER.raw_decode(text, at)[1]
    return at, 1 if text[at] in "{[" else end - at


def _child(text: str, at: int, step: str | int) -> int | None:
    """Where the value of ``step`` starts inside the object or list that starts at ``at``."""
    if text[at] not in "{[":
        return None
    keyed, index = text[at] == "{", 0
    at = _past_space(text, at + 1)
    while text[at] not in "}]":
        key: str | int = index
        if keyed:
            key, at = _DECODER.raw_decode(text, at)
            at = _past_space(text, _past_space(text, at) + 1)
        if key == step:
            return at
        at = _past_space(text, _DECODER.raw_decode(text, at)[1])
        if text[at] == ",":
            at = _past_space(text, at + 1)
        index += 1
    return None


def _past_space(text: str, at: int) -> int:
    while text[at] in _SPACE:
        at += 1
    return at
