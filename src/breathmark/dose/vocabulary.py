"""The published words as the dose room needs them: regions, equipment words, conditions.

They stand in ``routine/tags.yaml``, which ships with the package.
"""

from __future__ import annotations

import functools
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import yaml

import breathmark.routine
from breathmark.units import parse_duration_ms

VOCABULARY_FILE = Path(breathmark.routine.__file__).parent / "tags.yaml"
"""Where the words are published."""


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


@dataclass(frozen=True, kw_only=True, slots=True)
class Vocabulary:
    """The published words.

    ``region_of`` maps targets to regions; ``equipment`` maps a thing to the words that
    give it away; ``conditions`` maps names to conditions.
    """

    regions: tuple[str, ...]
    region_of: Mapping[str, str]
    equipment: Mapping[str, tuple[str, ...]]
    conditions: Mapping[str, Condition]

    def region(self, target: str) -> str:
        """The region of a target, itself when it names a region, empty when unknown.

        >>> vocabulary().region("gastrocnemius"), vocabulary().region("balance")
        ('ankle and foot', 'balance')
        """
        word = target.lower()
        return self.region_of.get(word, word if word in self.regions else "")


@functools.cache
def vocabulary() -> Vocabulary:
    """The words of the package's own file, read once."""
    content = yaml.load(VOCABULARY_FILE.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)
    return Vocabulary(
        regions=tuple(content["regions"]),
        region_of={target: about["region"] for target, about in content["targets"].items()},
        equipment={thing: tuple(words) for thing, words in content["equipment"].items()},
        conditions={
            name: _condition(name, about) for name, about in content["conditions"].items()
        },
    )


def _condition(name: str, about: Mapping[str, Mapping[str, Mapping[str, str]]]) -> Condition:
    concerns = tuple(
        Concern(
            tag=tag,
            because=why["because"],
            longer_than_ms=parse_duration_ms(why.get("longer than", "0 s")),
        )
        for tag, why in about["consider"].items()
    )
    return Condition(name=name, concerns=concerns, source=" ".join(str(about["source"]).split()))
