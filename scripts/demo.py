"""Make the demo recording: ``python3 scripts/demo.py``.

Makes ``.venv/`` at the repository's top when it is not there, then runs
``breathmark make`` on the demo routine.  What follows on the command line goes to
``make`` as it stands, for example ``--format mp3,flac``; the exit status is its.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import _environment as environment

DEMO = environment.TOP / "src" / "breathmark" / "routine" / "demo" / "steady-on-your-feet.yaml"


def main(arguments: list[str]) -> int:
    """Make the environment and the recording; return the exit status of ``make``."""
    environment.require_python()
    environment.ready()
    output = _near(environment.TOP / "output")
    command = [str(environment.program("breathmark")), "make", _near(DEMO), "--output", output]
    try:
        status = subprocess.call([*command, *arguments])
    except KeyboardInterrupt:
        return 130
    return 128 - status if status < 0 else status


def _near(path: Path) -> str:
    """``path`` as one would type it from here: relative where that is shorter."""
    try:
        relative = os.path.relpath(path)
    except ValueError:  # another drive, on Windows
        return str(path)
    return min(relative, str(path), key=len)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
