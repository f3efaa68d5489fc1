"""Values of a record in words, whatever they are, and what differs between two of them."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from typing import Any, Final

from breathmark.deliver.one_line import one_line
from breathmark.units import clock_text

_MOST: Final = 200
"""Letters of a value that are shown."""

_DEEPEST: Final = 20


def shown(value: Any) -> str:
    """A value as a person reads it, on one line; ``nothing`` for what is not there."""
    if value is None or value in ("", [], {}):
        return "nothing"
    if isinstance(value, str):
        text = one_line(value)
    elif isinstance(value, bool):
        text = "yes" if value else "no"
    else:
        text = one_line(json.dumps(value, ensure_ascii=False))
    return text if len(text) <= _MOST else f"{text[: _MOST - 1]}…"


def quoted(value: Any) -> str:
    """A value as :func:`shown` gives it, words in quotation marks."""
    return f"“{shown(value)}”" if isinstance(value, str) and value else shown(value)


def clock(value: Any) -> str:
    """Milliseconds as minutes and seconds; anything else as it is."""
    if isinstance(value, int) and not isinstance(value, bool) and 0 <= value < 10**12:
        return clock_text(value)
    return shown(value)


def was(what: str, before: Any, now: Any) -> str:
    """The sentence that two values differ; both are words already."""
    return f"{what}: {before} before, {now} now."


def as_map(value: Any) -> Mapping[str, Any]:
    """``value`` if it is a mapping, else an empty one."""
    return value if isinstance(value, Mapping) else {}


def as_list(value: Any) -> list[Any]:
    """``value`` if it is a list, else an empty one."""
    return value if isinstance(value, list) else []


def maps(value: Any) -> list[Mapping[str, Any]]:
    """The mappings in a list; none when it is no list."""
    return [one for one in as_list(value) if isinstance(one, Mapping)]


def gained(what: str, before: list[str], now: list[str]) -> Iterator[str]:
    """What a list lost and gained, each once, in its order."""
    yield from (f"{what} gone: {one}" for one in dict.fromkeys(before) if one not in now)
    yield from (f"{what} new: {one}" for one in dict.fromkeys(now) if one not in before)


def changed(what: str, before: Any, now: Any, depth: int = 0) -> Iterator[str]:
    """What differs between two values of any kind, named by where it stands."""
    if before == now:
        return
    if depth < _DEEPEST and isinstance(before, Mapping) and isinstance(now, Mapping):
        for key in [*before, *(key for key in now if key not in before)]:
            yield from changed(f"{what}, {shown(key)}", before.get(key), now.get(key), depth + 1)
    elif isinstance(before, list) and isinstance(now, list):
        one, other = [shown(value) for value in before], [shown(value) for value in now]
        found = list(gained(what, one, other))
        yield from found or [f"{what}: the order or the number changed."]
    else:
        yield was(what, quoted(before), quoted(now))
