"""One build at a time into one place."""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO

from breathmark.problems import Fault


@contextmanager
def only_one(final: Path) -> Iterator[None]:
    """Hold the lock of ``final``; a Fault when another build holds it.

    The lock is a file beside ``final`` that holds the number of the process.  What
    counts is the system's lock on it, which ends with the process however it ends, so
    that a file left by a killed build never stands in the way.
    """
    path = final.with_name(f".{final.name}.lock")
    shown = final.parent if final.name.startswith(".") else final
    try:
        file = _locked(path)
    except OSError as error:
        raise Fault(
            f"{shown} could not be reserved for writing: {error.strerror or error}",
            remedy="Choose a folder on this computer's own disk that you may write to.",
        ) from error
    if file is None:
        raise Fault(
            f"another build is writing {shown.name} just now",
            remedy="Wait until it has finished, then start again.",
        )
    try:
        yield
    finally:
        _unlocked(file, path)


def _locked(path: Path) -> BinaryIO | None:
    """The lock file, open and locked, or ``None`` when somebody else has it."""
    while True:
        file = path.open("ab")
        if not _try_lock(file):
            file.close()
            return None
        # The build before us may have removed the file between our opening and locking.
        with suppress(FileNotFoundError):
            if os.path.samestat(os.fstat(file.fileno()), path.stat()):
                file.truncate(0)
                file.write(f"{os.getpid()}\n".encode())
                file.flush()
                return file
        file.close()


def _try_lock(file: BinaryIO) -> bool:
    try:
        if sys.platform == "win32":
            import msvcrt

            file.seek(1 << 20)  # a byte far behind the text, so that the text stays readable
            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        if error.errno in {errno.EACCES, errno.EAGAIN, errno.EDEADLK}:
            return False
        raise
    return True


def _unlocked(file: BinaryIO, path: Path) -> None:
    if sys.platform == "win32":  # an open file cannot be removed there
        file.close()
        with suppress(OSError):
            path.unlink()
    else:
        with suppress(OSError):
            path.unlink()
        file.close()
