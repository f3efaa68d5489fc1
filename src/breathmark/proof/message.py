"""The recording that goes by mail: what the patient gets, so it is proved like the others."""

from __future__ import annotations

import email
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

from breathmark.deliver.message import FILE_NAME
from breathmark.proof.check import Check, Finding, finding

Prove = Callable[[Path], list[Finding]]
"""Finds what is to be found about a recording."""


def message_findings(folder: Path, recordings: Sequence[Path], prove: Prove) -> list[Finding]:
    """What is checked on the message of a result ``folder``; nothing where there is none.

    A recording that is none of ``recordings`` byte for byte, because mail had no room for it
    or wanted an MP3, is given to ``prove``.  Whatever is wrong becomes a finding.
    """
    path = folder / FILE_NAME
    if not path.exists():
        return []
    try:
        return _findings(path, recordings, prove)
    except OSError as error:
        return [_finding([f"the message cannot be proved ({error.strerror})"], "")]


def _findings(path: Path, recordings: Sequence[Path], prove: Prove) -> list[Finding]:
    data = _attached(path)
    if data is None:
        return [_finding([], "no recording")]
    files = [one for one in recordings if one.suffix == ".mp3" and one.is_file()]
    if any(one.read_bytes() == data for one in files):
        return [_finding([], "the recording of this folder")]
    with TemporaryDirectory() as aside:
        copy = Path(aside, "message.mp3")
        copy.write_bytes(data)
        found = prove(copy)
    own = _finding([], "a recording of its own")
    return [own, *(replace(one, file=FILE_NAME) for one in found)]


def _attached(path: Path) -> bytes | None:
    """The first recording attached to a message; ``None`` where there is none."""
    with path.open("rb") as file:
        message = email.message_from_binary_file(file)
    for part in message.walk():
        if part.get_content_maintype() == "audio":
            data = part.get_payload(decode=True)
            return data if isinstance(data, bytes) else b""
    return None


def _finding(problems: list[str], carried: str) -> Finding:
    return finding(
        Check.MESSAGE,
        FILE_NAME,
        problems,
        good=f"the message carries {carried}",
        measured=carried,
        allowed="a proved one, or none",
    )
