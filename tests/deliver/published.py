"""Small results to publish, and what a person then sees."""

from __future__ import annotations

from pathlib import Path

from breathmark.deliver import publish
from breathmark.deliver.publish import publishing


def build(final: Path, **files: str) -> None:
    with publishing(final) as staging:
        for name, text in files.items():
            (staging / name).write_text(text)


def shown(final: Path) -> dict[str, str]:
    """What a person sees in the folder, and what it says."""
    return {
        path.relative_to(final).as_posix(): path.read_text()
        for path in sorted(final.rglob("*"))
        if path.is_file() and path.name != publish.LIST_NAME
    }


def without_exchange(_one: Path, _other: Path) -> bool:
    """A system that cannot exchange two folders in one step."""
    return False
