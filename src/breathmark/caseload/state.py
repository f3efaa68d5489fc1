"""What was built from what, so that a stopped caseload can be taken up again.

Beside the results, a hidden folder holds a small file for each label: hashes of what its
recording was built from and of the record that came out, and where that lies.  It is
written before the result is put in place, and believed only when the record it speaks
of is there with all its files: whatever is killed whenever, nothing whole is built
twice, and nothing half is taken for whole.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from breathmark.deliver.publish import LIST_NAME, safe_name
from breathmark.deliver.record import RECORD_NAME
from breathmark.disk import patiently
from breathmark.problems import Fault

STATE_FOLDER = ".breathmark-caseload"
"""In the output folder; it may be removed at any time, and everything is built again."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Remembered:
    """What is known of the recording of a label: hashes, its folder below the output, its mail."""

    label: str
    inputs: str
    record: str
    folder: str
    length_ms: int
    mail: str


@dataclass(frozen=True, slots=True)
class Memory:
    """The state beside the results in ``output``."""

    output: Path

    def remember(self, one: Remembered) -> None:
        """Keep it, whole or not at all; a :class:`Fault` when the disk refuses."""
        path = self._path(one.label)
        part = path.with_name(f"{path.name}.{os.getpid()}.part")
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            part.write_text(json.dumps(asdict(one), indent=1) + "\n", encoding="utf-8")
            patiently(lambda: part.replace(path))
        except OSError as error:
            with suppress(OSError):
                part.unlink(missing_ok=True)
            raise Fault(
                f"{path} could not be written: {error.strerror or error}",
                remedy="Is the disk full, or the folder read-only?",
            ) from error

    def whole(self, label: str, inputs: str) -> Remembered | None:
        """What was built for a label from the same inputs, if all of it is still there."""
        one = self._recalled(label)
        if one is None or one.inputs != inputs:
            return None
        return one if _is_whole(self.output / one.folder, one.record) else None

    def _path(self, label: str) -> Path:
        return self.output / STATE_FOLDER / f"{safe_name(label)}.json"

    def _recalled(self, label: str) -> Remembered | None:
        try:
            raw = json.loads(self._path(label).read_text(encoding="utf-8"))
            one = Remembered(**raw)
        except (OSError, ValueError, TypeError, RecursionError):  # not there, or not as we write it
            return None
        texts = (one.label, one.inputs, one.record, one.folder, one.mail)
        inside = not Path(one.folder).is_absolute() and ".." not in Path(one.folder).parts
        right = all(isinstance(text, str) for text in texts) and isinstance(one.length_ms, int)
        return one if right and inside and one.label == label else None


def hash_of(*parts: str) -> str:
    """One hash over all parts, their borders included."""
    text = json.dumps(parts)
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def record_hash(folder: Path) -> str:
    """The hash of the record in a result folder."""
    return hashlib.sha256((folder / RECORD_NAME).read_bytes()).hexdigest()


def _is_whole(folder: Path, record: str) -> bool:
    """Whether the record is the one that is meant, every file as it says, and none gone."""
    try:
        if record_hash(folder) != record:
            return False
        files: Mapping[str, Any] = json.loads((folder / RECORD_NAME).read_bytes())["files"]
        listed = (folder / LIST_NAME).read_text(encoding="utf-8").splitlines()
        there = all((folder / name).is_file() for name in listed)
        return there and all(
            _is_same(folder / name, about["sha256"]) for name, about in files.items()
        )
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return False


def _is_same(path: Path, sha256: str) -> bool:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest() == sha256
