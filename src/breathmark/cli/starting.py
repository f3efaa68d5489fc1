"""``breathmark new``: a folder to start from."""

from __future__ import annotations

from pathlib import Path

from breathmark import routine
from breathmark.problems import Fault, UsageProblem

_STARTING = Path(routine.__file__).parent / "starting" / "routine.yaml"


def start_folder(folder: Path) -> Path:
    """Write the starting routine into ``folder`` and return its path.

    Nothing is ever overwritten: :class:`UsageProblem` when the file is there already.
    """
    path = folder / "routine.yaml"
    if folder.exists() and not folder.is_dir():
        raise UsageProblem(f"{folder} is a file. Name a folder.")
    if path.exists():
        raise UsageProblem(f"{path} is there already; it was left as it is. Name another folder.")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(_STARTING.read_text(encoding="utf-8"))
    except OSError as error:
        raise Fault(f"{path} cannot be written: {error.strerror}") from error
    return path
