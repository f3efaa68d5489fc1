"""The starter library as it stands in its files: every value is text, nothing is interpreted."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

import breathmark.routine

ROOM = Path(breathmark.routine.__file__).parent
WORD = re.compile(r"[A-Za-z]+(?:['’-][A-Za-z]+)*")
HOLDS_THAT_WORK = "isometric effort"


def _loaded(path: Path) -> Any:
    return yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)


@dataclass(frozen=True, kw_only=True)
class Entry:
    """One exercise of one file."""

    file: str
    region: str
    data: Mapping[str, Any]

    def __str__(self) -> str:
        return f"{self.name} ({self.file})"

    @property
    def name(self) -> str:
        """Its name."""
        return str(self.data["name"])

    def listed(self, key: str) -> list[str]:
        """A list in the file; a single text is a list of one."""
        value = self.data.get(key, [])
        return [value] if isinstance(value, str) else list(value)

    def said(self, key: str) -> list[str]:
        """The lines under a key, from a mapping those under `say` or of the calls."""
        value = self.data.get(key, [])
        if isinstance(value, Mapping):
            return list(value.values()) if key == "calls" else [value["say"]]
        return [" ".join(line.split()) for line in self.listed(key)]

    @property
    def words(self) -> list[str]:
        """Every line that may be spoken, sides filled in as on the left side."""
        keys = ("name", "setup", "cues", "feel", "breathe", "easier", "harder", "calls")
        lines = [line for key in keys for line in self.said(key)]
        return [line.replace("{other side}", "other").replace("{side}", "first") for line in lines]

    @property
    def spoken_text(self) -> str:
        """The lines as sentences, one after the other; the calls are single words and stay out."""
        lines = self.words[: len(self.words) - len(self.said("calls"))]
        return " ".join(line if line[-1] in ".!?" else f"{line}." for line in lines)

    @property
    def is_isometric(self) -> bool:
        """A hold that is work, not a stretch."""
        return self.data["kind"] == "hold" and HOLDS_THAT_WORK in self.listed("involves")

    @property
    def is_stretch(self) -> bool:
        """A hold that is neither work nor balance."""
        return self.data["kind"] == "hold" and not self.is_isometric and self.region != "balance"


def files() -> dict[str, Mapping[str, Any]]:
    """The files of the library by name."""
    return {path.name: _loaded(path) for path in sorted((ROOM / "starter").glob("*.yaml"))}


def entries() -> tuple[Entry, ...]:
    """All exercises, file by file."""
    return tuple(
        Entry(file=name, region=content["region"], data=data)
        for name, content in files().items()
        for data in content["exercises"]
    )


def vocabulary() -> Mapping[str, Any]:
    """The published words: tags, regions, targets, equipment."""
    content: Mapping[str, Any] = _loaded(ROOM / "tags.yaml")
    return content


def chain(entry: Entry, by_name: Mapping[str, Entry]) -> Iterator[Entry]:
    """What takes an exercise's place, and what takes the place of that; stops at a loop."""
    seen = {entry.name}
    while "instead" in entry.data:
        entry = by_name[entry.data["instead"]]
        yield entry
        if entry.name in seen:
            return
        seen.add(entry.name)
