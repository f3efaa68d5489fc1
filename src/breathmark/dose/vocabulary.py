"""What the dose room asks of the published words: a target's region, and conditions."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any

import breathmark.routine
from breathmark.routine.tags import published
from breathmark.units import parse_duration_ms

_FILE = Path(breathmark.routine.__file__).with_name("tags.yaml")


@dataclass(frozen=True, kw_only=True, slots=True)
class Concern:
    """A tag to think about twice, why, and from which single effort on (0 ms: always)."""

    tag: str
    because: str
    longer_than_ms: int = 0


@dataclass(frozen=True, kw_only=True, slots=True)
class Condition:
    """A condition, what to consider with it, and the source of that with its mark."""

    name: str
    concerns: tuple[Concern, ...]
    source: str


def region_of(target: str) -> str:
    """The region of a target, itself when it names a region, empty when unknown.

    >>> region_of("gastrocnemius"), region_of("balance"), region_of("left ear")
    ('ankle and foot', 'balance', '')
    """
    words = published()
    name = words.target(target)
    if name is not None:
        return words.targets[name].region
    word = target.casefold()
    return word if word in words.regions else ""


@functools.cache
def conditions() -> Mapping[str, Condition]:
    """The conditions there are words of caution for, by name, as published.

    >>> sorted(conditions())[:2]
    ['high blood pressure', 'hip replacement']
    """
    import yaml

    raw = yaml.load(_FILE.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)
    return MappingProxyType(
        {name: _condition(name, about) for name, about in raw["conditions"].items()}
    )


def _condition(name: str, about: Mapping[str, Any]) -> Condition:
    concerns = tuple(
        Concern(
            tag=tag,
            because=why["because"],
            longer_than_ms=parse_duration_ms(why.get("longer than", "0 s")),
        )
        for tag, why in about["consider"].items()
    )
    return Condition(name=name, concerns=concerns, source=" ".join(about["source"].split()))
