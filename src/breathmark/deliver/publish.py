"""Putting results where people find them: whole, or not at all.

A build writes into a staging folder beside its final place and is moved there when it
is finished.  Whatever kills it, a reader finds the whole old result or the whole new
one; what a killed build left behind is cleared by the next one into the same place.

============================ ======================================================
beside `NAME/`               what it is
============================ ======================================================
`.NAME.lock`                 held by the running build; the system frees it when the
                             build ends, however it ends
`.NAME.building/`            the result being made
`.NAME.replaced/`            the old result, for a moment, where folders cannot be
                             exchanged in one step
============================ ======================================================

Inside the folder, `.breathmark` lists what the build made, so that a later build
removes its own old files and carries everybody else's over.
"""

from __future__ import annotations

import ctypes
import errno
import hashlib
import os
import shutil
import stat
import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from breathmark.deliver.locking import only_one
from breathmark.disk import WINDOWS, patiently
from breathmark.problems import Fault

LIST_NAME = ".breathmark"
"""The file in a published folder that lists the files a build made, one path a line."""


@contextmanager
def publishing(final_folder: Path) -> Iterator[Path]:
    """A staging folder that becomes ``final_folder`` when the ``with`` block succeeds.

    Files in the old folder that no build of ours made are carried over; a
    :class:`~breathmark.problems.Fault` is raised when such a file is in the way of a new
    one, when another build is writing there, or when the disk refuses.  When the block
    fails, the old folder stays as it was and the staging folder is removed.
    """
    final = Path(os.path.realpath(final_folder))
    with _no_empty_parent(final), _building(final) as staging:
        yield staging


@contextmanager
def _no_empty_parent(final: Path) -> Iterator[None]:
    """Make the folder around; one that is new and stays empty goes, as it is named by a label."""
    with _spoken_faults(final):
        new = not final.parent.exists()
        final.parent.mkdir(parents=True, exist_ok=True)
        if final.exists() and not final.is_dir():
            raise Fault(f"{final} is a file; a folder of that name is needed there")
    try:
        yield
    finally:
        if new:
            with suppress(OSError):  # it holds the result, or another's
                final.parent.rmdir()


@contextmanager
def _building(final: Path) -> Iterator[Path]:
    with only_one(final):
        staging, aside = _beside(final, "building"), _beside(final, "replaced")
        with _spoken_faults(final):
            _recover(final, staging, aside)
            staging.mkdir()
        try:
            with _spoken_faults(final):
                yield staging
                _write_list(staging)
                _carry_over(final, staging)
                _settle(staging)
                _swap(staging, final, aside)
        finally:
            with suppress(OSError):  # what cannot be cleared now is cleared by the next build
                _recover(final, staging, aside)


def emptied(staging: Path) -> None:
    """Take everything out of a staging folder, to make it anew; a Fault when the disk refuses."""
    with _spoken_faults(staging):
        for path in staging.iterdir():
            if path.is_dir():
                shutil.rmtree(path)
            else:
                path.unlink()


def write_text_whole(path: Path, text: str) -> None:
    """Write ``text`` as UTF-8, line ends as they are, whole or not at all."""
    write_bytes_whole(path, text.encode("utf-8"))


def write_new_text(path: Path, text: str) -> bool:
    """The same for a file that is not there yet; ``False`` when it is, and stays as it was."""
    return write_bytes_whole(path, text.encode("utf-8"), only_new=True)


def write_bytes_whole(path: Path, data: bytes, *, only_new: bool = False) -> bool:
    """Write one file, whole or not at all; a Fault when the disk refuses.

    With ``only_new`` a file that is there is left alone.  Returns whether it was written.
    """
    final = Path(os.path.realpath(path))
    with _spoken_faults(final):
        final.parent.mkdir(parents=True, exist_ok=True)
    with only_one(final), _spoken_faults(final):
        if only_new and os.path.lexists(final):
            return False
        part = _beside(final, "building")
        try:
            with part.open("wb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            patiently(lambda: part.replace(final))
        finally:
            part.unlink(missing_ok=True)
    return True


_NO_SUCH_SYNC = (errno.EINVAL, errno.ENOTSUP)
"""What a disk in a network or a stick says when it cannot be asked to hold a folder."""

_SHORT_PATH = 160
"""With what lies in it, a folder's path of this length stays below the 260 of old Windows."""

_MOST_NAME = 60
_RESERVED = {"con", "prn", "aux", "nul"} | {
    f"{port}{n}" for port in ("com", "lpt") for n in range(10)
}
_LETTERS = str.maketrans({"ø": "o", "æ": "ae", "œ": "oe", "ł": "l", "đ": "d", "ð": "d", "þ": "th"})


def safe_name(text: str) -> str:
    """A file or folder name made from a title or label, legal on every usual disk.

    Lower-case ASCII letters, digits and hyphens, 1 to 60 of them; names that Windows
    keeps for devices get a number; text without any such letter, and what is cut off a
    longer name, becomes a check sum, so that two of them stay two.

    >>> safe_name("Hüften & Knöchel: 12 min"), safe_name("R-204"), safe_name("CON")
    ('huften-knochel-12-min', 'r-204', 'con-1')
    """
    plain = unicodedata.normalize("NFKD", text.casefold().translate(_LETTERS)).casefold()
    kept = "".join(char for char in plain if not unicodedata.combining(char))
    words = "".join(char if char.isascii() and char.isalnum() else " " for char in kept).split()
    name = "-".join(words)
    check_sum = hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:8]
    if not name:
        return f"untitled-{check_sum}"
    if len(name) > _MOST_NAME:
        return f"{name[: _MOST_NAME - 9].rstrip('-')}-{check_sum}"
    return f"{name}-1" if name in _RESERVED else name


def _beside(final: Path, role: str) -> Path:
    return final.with_name(f".{final.name}.{role}")


@contextmanager
def _spoken_faults(final: Path) -> Iterator[None]:
    """Say in plain words what the disk refused."""
    try:
        yield
    except BrokenPipeError:  # no disk's, but of somebody who listened to our progress
        raise
    except OSError as error:
        reason = error.strerror or str(error)
        remedy = "Is it open in another program, the disk full, or the folder read-only?"
        if WINDOWS and len(str(final)) > _SHORT_PATH:
            remedy += " Windows may take no longer path: name a shorter --output."
        raise Fault(f"{final} could not be written: {reason}", remedy=remedy) from error


def _recover(final: Path, staging: Path, aside: Path) -> None:
    """Finish or undo what a killed build left: see the table at the top."""
    if aside.exists():
        if final.exists():
            _clear(aside)
        else:
            patiently(lambda: aside.rename(final))
    if staging.exists():
        _clear(staging)


def _clear(folder: Path) -> None:
    """Remove a folder, even with read-only files in it, which Windows keeps."""
    for at, _, files in os.walk(folder) if WINDOWS else ():
        for name in files:
            Path(at, name).chmod(stat.S_IWRITE)
    patiently(lambda: shutil.rmtree(folder))


def _files(folder: Path) -> list[str]:
    """Every file and symbolic link below ``folder``, as sorted relative posix paths."""
    found = []
    for at, folders, files in os.walk(folder):
        links = [name for name in folders if Path(at, name).is_symlink()]
        found += [Path(at, name).relative_to(folder).as_posix() for name in files + links]
    return sorted(found)


def _write_list(staging: Path) -> None:
    names = [name for name in _files(staging) if name != LIST_NAME]
    (staging / LIST_NAME).write_bytes("".join(f"{name}\n" for name in names).encode())


def _listed(folder: Path) -> set[str]:
    try:
        text = (folder / LIST_NAME).read_bytes().decode("utf-8", "replace")
    except FileNotFoundError:
        return set()
    return {*text.split("\n"), LIST_NAME}


def _carry_over(final: Path, staging: Path) -> None:
    """Bring the files that no build made from the old folder into the new one."""
    ours = _listed(final)
    for name in _files(final):
        if name in ours:
            continue
        target = staging / name
        blocked = any(above.is_file() for above in target.parents if above != staging)
        if blocked or os.path.lexists(target):
            raise Fault(
                f"{final / name} was not made by Breathmark and is in the way of a new file",
                remedy="Move it out of the folder or rename it, then build again.",
            )
        target.parent.mkdir(parents=True, exist_ok=True)
        try:
            os.link(final / name, target, follow_symlinks=False)
        except OSError:  # no hard links on this disk
            shutil.copy2(final / name, target, follow_symlinks=False)


def _settle(folder: Path) -> None:
    """Have the disk hold every byte before the folder takes the old one's place."""
    if WINDOWS:  # which wants write access for it, and orders renames differently
        return
    for at, _, files in os.walk(folder):
        for path in (Path(at), *(Path(at, name) for name in files)):
            if not path.is_symlink():
                handle = os.open(path, os.O_RDONLY)
                try:
                    os.fsync(handle)
                except OSError as error:
                    if error.errno not in _NO_SUCH_SYNC:
                        raise
                finally:
                    os.close(handle)


def _swap(staging: Path, final: Path, aside: Path) -> None:
    if not final.exists():
        patiently(lambda: staging.rename(final))
    elif not _exchange(staging, final):
        patiently(lambda: final.rename(aside))
        try:
            patiently(lambda: staging.rename(final))
        except OSError:
            patiently(lambda: aside.rename(final))
            raise


def _exchange(one: Path, other: Path) -> bool:
    """Exchange two folders in one step where the system can; ``False`` where it cannot.

    Linux: renameat2(2) with RENAME_EXCHANGE (2), relative to AT_FDCWD (-100).
    """
    try:
        rename = ctypes.CDLL(None, use_errno=True).renameat2
    except (AttributeError, TypeError):  # not Linux, or glibc before 2.28; TypeError on Windows
        return False
    if rename(-100, os.fsencode(one), -100, os.fsencode(other), 2) == 0:
        return True
    number = ctypes.get_errno()
    if number in {errno.ENOSYS, errno.EINVAL, errno.ENOTSUP}:
        return False
    raise OSError(number, os.strerror(number))
