"""``breathmark new``: a folder to start from."""

from __future__ import annotations

from pathlib import Path

from breathmark import routine
from breathmark.deliver.publish import write_new_text
from breathmark.problems import UsageProblem

_HOME = Path(routine.__file__).parent
_FIRST = "routine.yaml"


def start_folder(folder: Path) -> tuple[Path, ...]:
    """Write a routine, a patient's file and the pages that explain them; the routine first.

    Nothing is ever overwritten: :class:`UsageProblem` when a routine is there already;
    any other file that is there is left as it is.
    """
    path = folder / _FIRST
    if folder.exists() and not folder.is_dir():
        raise UsageProblem(f"{folder} is a file. Name a folder.")
    if path.exists():
        raise UsageProblem(f"{path} is there already; it was left as it is. Name another folder.")
    sources = [*(_HOME / "starting").glob("*.yaml"), *(_HOME / "guide").glob("*.md")]
    written = []
    for source in sorted(
        sources, key=lambda one: (one.name != _FIRST, one.suffix != ".yaml", one.name)
    ):
        if write_new_text(folder / source.name, source.read_text(encoding="utf-8")):
            written.append(folder / source.name)
    return tuple(written)
