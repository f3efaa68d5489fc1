"""The store of finished clips: what was spoken once is never synthesised again.

A clip's name is the hash of everything that decides its sound, so an entry is right
or absent; it never goes stale.  Several builds may share one folder: an entry is
written beside its place and moved there whole.  An entry that is damaged is noticed
by its hash, removed and counts as missing.
"""

from __future__ import annotations

import hashlib
import os
import secrets
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from breathmark.disk import patiently
from breathmark.problems import Fault

FOLDER_VARIABLE = "BREATHMARK_STORE"
"""The environment variable that names another folder for the store."""

MOST_BYTES = 1 << 30
"""What the store may hold; :meth:`ClipStore.sweep` removes the longest unused beyond it."""

_CLIP, _NOTE = b"BRMCLIP1", b"BRMNOTE1"
_DIGEST = 32
_HEAD = 8 + 8 + _DIGEST  # what it is, how long the payload is, its hash
_PART = ".part"
_ABANDONED_S = 3600


@dataclass(frozen=True, slots=True)
class ClipStore:
    """Finished clips and small notes under ``folder``, by key.

    A key is a hexadecimal hash, as :func:`key_of` makes it.  The folder is made when
    the first entry is written.
    """

    folder: Path

    def get(self, key: str) -> NDArray[np.int16] | None:
        """The clip of ``key`` (mono samples), or ``None`` when it is not there or damaged."""
        payload = self._read(self._path(key), _CLIP)
        return None if payload is None else np.frombuffer(payload, dtype="<i2").astype(np.int16)

    def put(self, key: str, clip: NDArray[np.int16]) -> None:
        """Keep a clip (one-dimensional samples); the entry appears whole or not at all.

        Raises :class:`~breathmark.problems.Fault` when the folder cannot be written.
        """
        self._write(self._path(key), _CLIP, np.ascontiguousarray(clip, dtype="<i2").tobytes())

    def recall(self, key: str) -> str | None:
        """The note kept under ``key`` by :meth:`note`, or ``None``."""
        payload = self._read(self._path(key), _NOTE)
        return None if payload is None else payload.decode("utf-8", errors="replace")

    def note(self, key: str, text: str) -> None:
        """Keep a short text, such as a measured setting.  Raises as :meth:`put` does."""
        self._write(self._path(key), _NOTE, text.encode("utf-8"))

    def sweep(self, *, most_bytes: int = MOST_BYTES) -> None:
        """Clear what interrupted builds left, and the longest unused entries when it is full.

        A temporary file goes when it is older than an hour or its process has ended.
        Nothing is raised: a file that another build removes first is as good as gone.
        """
        for path in self._files():
            if path.name.endswith(_PART) and _is_abandoned(path):
                _remove(path)
        entries = sorted(self._sizes(), reverse=True)
        held = 0
        for _, size, path in entries:
            held += size
            if held > most_bytes:
                _remove(path)

    def _path(self, key: str) -> Path:
        return self.folder / key[:2] / key

    def _files(self) -> Iterator[Path]:
        try:
            yield from [path for path in self.folder.glob("??/*") if path.is_file()]
        except OSError:
            return

    def _sizes(self) -> Iterator[tuple[float, int, Path]]:
        for path in self._files():
            try:
                status = path.stat()
            except OSError:
                continue
            if not path.name.endswith(_PART):
                yield status.st_mtime, status.st_size, path

    def _read(self, path: Path, what: bytes) -> bytes | None:
        try:
            data = path.read_bytes()
        except OSError:
            return None
        payload = _payload(data, what)
        if payload is None:
            _remove(path)
        elif time.time() - _modified(path) > _ABANDONED_S:
            _mark_used(path)
        return payload

    def _write(self, path: Path, what: bytes, payload: bytes) -> None:
        head = what + len(payload).to_bytes(8, "little") + hashlib.sha256(payload).digest()
        part = path.with_name(f".{path.name}.{os.getpid()}.{secrets.token_hex(4)}{_PART}")
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            part.write_bytes(head + payload)
            patiently(lambda: part.replace(path))
        except OSError as error:
            _remove(part)
            if path.exists():  # another build put it there and, on Windows, holds it open
                return
            raise self._fault(error) from error

    def _fault(self, error: OSError) -> Fault:
        return Fault(
            f"the store of spoken clips in {self.folder} cannot be written: "
            f"{error.strerror or error}",
            remedy=f"Make room there or name another folder in {FOLDER_VARIABLE}.",
        )


def key_of(*parts: str) -> str:
    """The key of an entry: one hash over all ``parts``, their borders included.

    >>> key_of("a", "bc") == key_of("ab", "c")
    False
    """
    digest = hashlib.sha256()
    for part in parts:
        data = part.encode("utf-8", errors="surrogatepass")
        digest.update(len(data).to_bytes(8, "little") + data)
    return digest.hexdigest()


def default_store_folder() -> Path:
    """The folder for clips: :data:`FOLDER_VARIABLE`, else the user's cache folder.

    Linux follows the XDG base directory specification; macOS and Windows their own
    customs (``Library/Caches``, ``LOCALAPPDATA``).  Raises
    :class:`~breathmark.problems.Fault` where the system tells no home folder.
    """
    chosen = os.environ.get(FOLDER_VARIABLE)
    try:
        return Path(chosen).expanduser() if chosen else _caches() / "breathmark" / "clips"
    except RuntimeError as error:
        raise Fault(
            "there is no place for the store of spoken clips: the system tells no home folder",
            remedy=f"Name a folder that you may write to in {FOLDER_VARIABLE}.",
        ) from error


def _caches() -> Path:
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Caches"
    return Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache")


def _payload(data: bytes, what: bytes) -> bytes | None:
    head, payload = data[:_HEAD], data[_HEAD:]
    if head[:8] != what or int.from_bytes(head[8:16], "little") != len(payload):
        return None
    return payload if hashlib.sha256(payload).digest() == head[16:] else None


def _is_abandoned(path: Path) -> bool:
    if time.time() - _modified(path) > _ABANDONED_S:
        return True
    process = path.name.rsplit(".", 3)[-3]
    return process.isdigit() and _has_ended(int(process))


def _has_ended(process: int) -> bool:
    if sys.platform == "win32":  # there, signal 0 would end the process: go by age alone
        return False
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return True
    except OSError:
        return False
    return False


def _modified(path: Path) -> float:
    try:
        return path.stat().st_mtime
    except OSError:
        return time.time()


def _mark_used(path: Path) -> None:
    try:
        os.utime(path)
    except OSError:
        return


def _remove(path: Path) -> None:
    try:
        path.unlink(missing_ok=True)
    except OSError:
        return
