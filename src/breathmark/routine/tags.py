"""The published words that exercises are described with, and those that files declare.

``tags.yaml`` holds them: tags (what an exercise may involve), targets (what doses are
added up for) and equipment, each with its meaning in plain words.
"""

from __future__ import annotations

import functools
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType

_FILE = Path(__file__).with_name("tags.yaml")

Pairs = tuple[tuple[str, str], ...]
"""Names with what they mean, in the order written."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Target:
    """A muscle or ability: its region, and the words a patient knows it by.

    ``region`` is empty for one that a file declares.
    """

    region: str
    plain: str


@dataclass(frozen=True, kw_only=True, slots=True)
class KnownWords:
    """The words that may be used: the published ones and those a file declares.

    ``tags`` gives each tag its meaning; ``equipment`` gives each piece the words that
    name it in a set-up.
    """

    tags: Mapping[str, str]
    targets: Mapping[str, Target]
    equipment: Mapping[str, tuple[str, ...]]
    regions: tuple[str, ...]
    conditions: tuple[str, ...] = ()

    def tag(self, written: str) -> str | None:
        """The tag as it is spelled in its list, capitals and blanks ignored."""
        return _spelled(written, self.tags)

    def target(self, written: str) -> str | None:
        """The target as it is spelled in its list, capitals and blanks ignored."""
        return _spelled(written, self.targets)

    def with_own(self, tags: Pairs = (), targets: Pairs = ()) -> KnownWords:
        """These words and a file's own; a word that is there already keeps its meaning."""
        declared = {name: Target(region="", plain=plain) for name, plain in targets}
        return replace(
            self,
            tags=MappingProxyType(dict(tags) | dict(self.tags)),
            targets=MappingProxyType(declared | dict(self.targets)),
        )


@functools.cache
def published() -> KnownWords:
    """The words that come with Breathmark.

    >>> published().tags["standing"]
    "The feet carry the body's weight."
    >>> published().targets["soleus"].plain
    'lower calf'
    """
    import yaml

    raw = yaml.load(_FILE.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)
    targets = {name: Target(**about) for name, about in raw["targets"].items()}
    return KnownWords(
        tags=MappingProxyType(raw["tags"]),
        targets=MappingProxyType(targets),
        equipment=MappingProxyType({name: tuple(says) for name, says in raw["equipment"].items()}),
        regions=tuple(raw["regions"]),
        conditions=tuple(raw["conditions"]),
    )


def same_word(one: str, other: str) -> bool:
    """Whether two spellings are the same word, capitals and blanks ignored."""
    return _folded(one) == _folded(other)


def _spelled(written: str, words: Iterable[str]) -> str | None:
    wanted = _folded(written)
    return next((word for word in words if _folded(word) == wanted), None)


def _folded(word: str) -> str:
    return " ".join(word.split()).casefold()
