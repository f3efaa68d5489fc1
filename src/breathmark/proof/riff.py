"""The chunks of a WAV file, read without the part that writes them.

Source: Microsoft and IBM, "Multimedia Programming Interface and Data Specifications
1.0" (1991).
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from breathmark.proof.decode import UnreadableError

_MOST_BYTES: Final = 16 << 20  # of a chunk that is not sound


@dataclass(frozen=True, kw_only=True, slots=True)
class Chunk:
    """A chunk: its four letters, its list type if it is a list, and its content.

    The content of the chunk of samples (``data``) is left out.
    """

    name: str
    kind: str
    body: bytes


def chunks(path: Path) -> list[Chunk]:
    """The chunks of a WAV file in order; raises :class:`UnreadableError` when it is none."""
    found = []
    try:
        with path.open("rb") as file:
            head = file.read(12)
            if head[:4] != b"RIFF" or head[8:] != b"WAVE":
                raise UnreadableError("it does not begin like a WAV file")
            while len(header := file.read(8)) == 8:
                name, size = header[:4].decode("latin-1"), int.from_bytes(header[4:], "little")
                skipped = name == "data" or size > _MOST_BYTES
                body = b"" if skipped else file.read(size)
                file.seek(size % 2 + (size if skipped else 0), 1)
                found.append(_chunk(name, body))
    except OSError as error:
        raise UnreadableError(f"it cannot be read ({error.strerror})") from error
    return found


def parts(body: bytes) -> Iterator[tuple[str, bytes]]:
    """The small chunks inside a list: their four letters and their content."""
    at = 0
    while at + 8 <= len(body):
        size = int.from_bytes(body[at + 4 : at + 8], "little")
        yield body[at : at + 4].decode("latin-1"), body[at + 8 : at + 8 + size]
        at += 8 + size + size % 2


def cue_points(found: list[Chunk]) -> list[tuple[int, str]]:
    """The cue points in play order: the sample, and the label (empty where there is none)."""
    points: list[tuple[int, int]] = []
    labels: dict[int, str] = {}
    for chunk in found:
        if chunk.name == "cue ":
            count = len(chunk.body[4:]) // 24
            entries = struct.iter_unpack("<II4sIII", chunk.body[4 : 4 + 24 * count])
            points += [(entry[5], entry[0]) for entry in entries]
        elif chunk.kind == "adtl":
            for name, body in parts(chunk.body):
                if name == "labl":
                    number = int.from_bytes(body[:4], "little")
                    labels[number] = text(body[4:])
    return [(sample, labels.get(number, "")) for sample, number in sorted(points)]


def text(body: bytes) -> str:
    """A text that ends in a zero byte."""
    return body.split(b"\0", 1)[0].decode("utf-8", "replace")


def _chunk(name: str, body: bytes) -> Chunk:
    if name != "LIST":
        return Chunk(name=name, kind="", body=body)
    return Chunk(name=name, kind=body[:4].decode("latin-1"), body=body[4:])
