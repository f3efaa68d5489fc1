"""What disks and systems do now and then, and what then helps."""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from pathlib import Path
from typing import Final, TypeVar

from breathmark.problems import Fault

WINDOWS: Final = os.name == "nt"

_WAITS_S: Final = (0.05, 0.1, 0.2, 0.4, 0.8)

Done = TypeVar("Done")


def patiently(act: Callable[[], Done]) -> Done:
    """Move or remove a file; on Windows once more, and again, where it is refused.

    Virus scanners, indexers and what keeps a folder like another open a new file for a
    moment, and as long as it is open Windows lets nobody move it.  Raises what ``act``
    raises at last.
    """
    for wait_s in _WAITS_S if WINDOWS else ():
        try:
            return act()
        except PermissionError:
            time.sleep(wait_s)
    return act()


def make_folder(folder: Path) -> None:
    """Make a folder, and those it lies in, unless it is there; a Fault when the disk refuses."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise Fault(
            f"{folder} cannot be made: {error.strerror or error}",
            remedy="Name a folder that you may write to.",
        ) from error
