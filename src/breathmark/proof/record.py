"""The record held against the folder: every file it lists is there, bit for bit.

The record itself must be as it was made, and say what the plan says.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterable, Mapping
from pathlib import Path, PurePosixPath
from typing import Any, Final

from breathmark.deliver.record import DIGEST_KEY, RECORD_NAME, own_digest
from breathmark.proof.check import Check, Finding, finding
from breathmark.proof.record_and_plan import contradictions
from breathmark.proof.words import quoted
from breathmark.script.session import Session
from breathmark.units import counted

MOST_TEXT_BYTES: Final = 32 << 20
"""The largest text file that is read; a day's plan is far smaller."""

_SHA256: Final = re.compile(r"[0-9a-f]{64}")


class TextError(Exception):
    """A text file that cannot be read; the message says why, without the name."""


def read_text(path: Path) -> str:
    """A UTF-8 text file; raises :class:`TextError` when it is not there or none."""
    try:
        if path.stat().st_size > MOST_TEXT_BYTES:
            raise TextError("is far too large to be what its name says")
        return path.read_bytes().decode("utf-8")
    except FileNotFoundError:
        raise TextError("is missing") from None
    except UnicodeDecodeError as error:
        raise TextError(f"cannot be read as UTF-8 text (byte {error.start})") from error
    except OSError as error:
        raise TextError(f"cannot be read ({error.strerror})") from error


def record_finding(
    folder: Path, proved: Iterable[str], session: Session | None = None, dose: Any = None
) -> Finding:
    """Whether ``record.json`` is as it was made, lists the files of ``proved``, all unchanged.

    It must also say what the plan says: its ``session``, and its ``dose`` totals if it has
    them.  A record of an older version, without a check sum of its own, is not failed for
    that; the finding says what is not covered.
    """
    itself = ""
    try:
        record = _record(read_text(folder / RECORD_NAME))
        changed = _change(record)
    except TextError as error:
        problems, count = [f"the record {error}"], 0
    else:
        files = record["files"]
        problems, count = [*changed, *_problems(folder, files)], len(files)
        problems += [f"{name} is not in the record" for name in proved if name not in files]
        if session is not None:
            problems += contradictions(record, session, dose)
        itself = " and itself" if DIGEST_KEY in record else "; itself not covered"
    return finding(
        Check.RECORD,
        RECORD_NAME,
        problems,
        good=f"{counted(count, 'file')} agree with the record, byte for byte",
        measured=f"{counted(count, 'file')}{itself}",
        allowed="unchanged, all",
    )


def _record(text: str) -> Mapping[str, Any]:
    """The record, which has a list of files; raises :class:`TextError` for anything else."""
    try:
        record = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise TextError("is not a whole JSON file") from error
    if not isinstance(record, dict) or not isinstance(record.get("files"), dict):
        raise TextError("has no list of files")
    return record


def _change(record: Mapping[str, Any]) -> list[str]:
    """That the record is not as it was made, where it can be known."""
    try:
        unchanged = DIGEST_KEY not in record or record[DIGEST_KEY] == own_digest(record)
    except RecursionError as error:
        raise TextError("is no record: it is nested too deeply") from error
    return [] if unchanged else ["the record was changed after it was made"]


def _problems(folder: Path, files: Mapping[str, Any]) -> Iterable[str]:
    for name, said in files.items():
        inside = PurePosixPath(name)
        if inside.is_absolute() or ".." in inside.parts or "\\" in name or ":" in name:
            yield f"the record lists {quoted(name)}, which is not in the folder"
        elif problem := _difference(folder / inside, said):
            yield f"{quoted(name)} {problem}"


def _difference(path: Path, said: Any) -> str:
    """How a file differs from what the record says about it; empty when it does not."""
    digest = said.get("sha256") if isinstance(said, dict) else None
    if not isinstance(digest, str) or not _SHA256.fullmatch(digest):
        return "has no check sum in the record"
    try:
        size = path.stat().st_size
        with path.open("rb") as file:
            found = hashlib.file_digest(file, "sha256").hexdigest()
    except OSError as error:
        return f"cannot be read ({error.strerror})"
    except ValueError:  # no file can have such a name
        return "cannot be read (it is no file's name)"
    if size != said.get("bytes"):
        return f"has {size} bytes, not {said.get('bytes')} as recorded"
    return "" if found == digest else "is not the file that was recorded: its check sum differs"
