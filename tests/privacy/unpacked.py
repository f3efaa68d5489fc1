"""Everything that is inside files, however packed, so that a word can be looked for."""

from __future__ import annotations

import base64
import binascii
import email
import gzip
import io
import re
import zipfile
import zlib
from collections.abc import Iterator
from email.policy import default
from pathlib import Path

import pypdf

_BASE64 = re.compile(rb"(?:[A-Za-z0-9+/]{4}\s?){8,}[A-Za-z0-9+/]{0,3}={0,2}")
_PNG = b"\x89PNG\r\n\x1a\n"
_DEEPEST = 6


def inside(name: str, data: bytes, depth: int = 0) -> Iterator[tuple[str, bytes]]:
    """The bytes of a file, and of everything in it: archives, pages, mail, data in text.

    Each comes with where it was found.
    """
    yield name, data
    if depth == _DEEPEST:
        return
    for part, found in _parts(name, data):
        yield from inside(f"{name} > {part}", found, depth + 1)


def _parts(name: str, data: bytes) -> Iterator[tuple[str, bytes]]:
    if data.startswith(b"%PDF"):
        yield from _pdf(data)
    elif data.startswith(b"PK\x03\x04"):
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            for entry in archive.infolist():
                yield f"name of {entry.filename}", entry.filename.encode()
                yield entry.filename, archive.read(entry)
    elif data.startswith(b"\x1f\x8b"):
        yield "gzip", gzip.decompress(data)
    elif data.startswith(_PNG):
        yield from _png(data)
    elif name.endswith(".eml"):
        yield from _mail(data)
    elif _is_text(data):
        yield from _base64(data)


def _pdf(data: bytes) -> Iterator[tuple[str, bytes]]:
    reader = pypdf.PdfReader(io.BytesIO(data))
    yield "about", repr(dict(reader.metadata or {})).encode()
    for number, page in enumerate(reader.pages, 1):
        yield f"words of page {number}", page.extract_text().encode()
    for number in range(1, int(str(reader.trailer["/Size"]))):
        found = reader.get_object(number)
        if isinstance(found, pypdf.generic.StreamObject):
            yield f"stream {number}", found.get_data()
        elif found is not None:
            yield f"object {number}", repr(found).encode()


def _png(data: bytes) -> Iterator[tuple[str, bytes]]:
    at = len(_PNG)
    while at < len(data):
        size, kind = int.from_bytes(data[at : at + 4]), data[at + 4 : at + 8]
        body = data[at + 8 : at + 8 + size]
        at += 12 + size
        if kind in {b"zTXt", b"iTXt"}:
            packed = body[body.index(b"\0") + 2 :]
            yield kind.decode(), _inflated(packed) or packed


def _inflated(data: bytes) -> bytes:
    try:
        return zlib.decompress(data)
    except zlib.error:
        return b""


def _mail(data: bytes) -> Iterator[tuple[str, bytes]]:
    message = email.message_from_bytes(data, policy=default)
    for number, part in enumerate(message.walk()):
        heads = "\n".join(f"{name}: {text}" for name, text in part.items())
        yield f"headers of part {number}", heads.encode("utf-8", "surrogateescape")
        payload = part.get_payload(decode=True)
        if isinstance(payload, bytes):
            yield part.get_filename() or f"part {number}", payload


def _is_text(data: bytes) -> bool:
    return b"\0" not in data[:4000]


def _base64(data: bytes) -> Iterator[tuple[str, bytes]]:
    for number, match in enumerate(_BASE64.finditer(data), 1):
        run = b"".join(match.group().split()).rstrip(b"=")
        run = run[: len(run) // 4 * 4] if len(run) % 4 == 1 else run + b"=" * (-len(run) % 4)
        try:
            yield f"base64 {number}", base64.b64decode(run, validate=True)
        except binascii.Error:
            continue


def count(word: str, data: bytes) -> int:
    """How often a word of plain letters stands in bytes: UTF-8, UTF-16, in any case."""
    lower = data.lower()
    forms = (word.lower().encode(form) for form in ("utf-8", "utf-16-le", "utf-16-be"))
    return sum(lower.count(form) for form in forms)


def places(word: str, folder: Path) -> dict[str, int]:
    """Where a word stands below a folder: in which file, in what of it, in which name."""
    found: dict[str, int] = {}
    for path in sorted(folder.rglob("*")):
        name = path.relative_to(folder).as_posix()
        if count(word, path.name.encode()):
            found[f"name of {name}"] = 1
        if path.is_file():
            for where, data in inside(name, path.read_bytes()):
                if number := count(word, data):
                    found[where] = number
    return found
