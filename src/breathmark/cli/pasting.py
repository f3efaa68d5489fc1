"""Paths as they are typed on a command line, so that what is shown can be pasted."""

from __future__ import annotations

import os
import re
import shlex
from pathlib import PurePath

_PLAIN_ON_WINDOWS = re.compile(r"[\w.:/\\-]+")


def as_typed(path: PurePath, *, windows: bool = os.name == "nt") -> str:
    """The path, in quotation marks where the shell needs them.

    >>> as_typed(PurePath("my-clinic/routine.yaml"), windows=False)
    'my-clinic/routine.yaml'
    >>> as_typed(PurePath("my clinic/routine.yaml"), windows=True)
    '"my clinic/routine.yaml"'
    """
    if not windows:
        return shlex.quote(str(path))
    return str(path) if _PLAIN_ON_WINDOWS.fullmatch(str(path)) else f'"{path}"'
