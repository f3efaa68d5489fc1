"""The search for a word finds it however it is packed."""

from __future__ import annotations

import base64
import gzip
import io
import struct
import zipfile
import zlib
from email.message import EmailMessage
from email.policy import SMTP
from pathlib import Path

import pytest
from reportlab.pdfgen import canvas

from breathmark.deliver.audio import FORMATS, Chapter, Recording, Tags, open_writer
from tests.deliver.sound_files import clicks
from tests.privacy.unpacked import places

WORD = "Quixolantha"


def zipped(data: bytes, name: str = "inner.bin") -> bytes:
    """A deflated archive with one member."""
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(name, data)
    return file.getvalue()


def page(text: str, title: str = "") -> bytes:
    """A PDF of one page, its stream packed."""
    file = io.BytesIO()
    sheet = canvas.Canvas(file, pageCompression=1)
    sheet.setTitle(title)
    sheet.drawString(50, 50, text)
    sheet.save()
    return file.getvalue()


def mail(text: str = "", subject: str = "", file: bytes = b"", name: str = "a.bin") -> bytes:
    """A message with an attachment."""
    message = EmailMessage(policy=SMTP)
    message["Subject"] = subject
    message.set_content(text, cte="base64")
    message.add_attachment(file, maintype="application", subtype="octet-stream", filename=name)
    return message.as_bytes()


def picture(kind: bytes, text: bytes) -> bytes:
    """A PNG with a text chunk."""
    body = b"Comment\0\0" + text
    return b"\x89PNG\r\n\x1a\n" + struct.pack(">I", len(body)) + kind + body + bytes(4)


PACKED = {
    "plain.txt": WORD.encode(),
    "case.txt": WORD.upper().encode(),
    "wide.bin": b"\x00\x01" + WORD.encode("utf-16-le"),
    "big.bin": b"\x00\x01" + WORD.encode("utf-16-be"),
    "a.zip": zipped(WORD.encode()),
    "named.zip": zipped(b"", name=f"{WORD}.txt"),
    "deep.zip": zipped(zipped(gzip.compress(WORD.encode()))),
    "a.gz": gzip.compress(WORD.encode()),
    "a.pdf": page(f"Good morning, {WORD}."),
    "title.pdf": page("", title=WORD),
    "text.eml": mail(text=f"Dear {WORD}"),
    "subject.eml": mail(subject=f"Für {WORD} ✓"),
    "name.eml": mail(name=f"{WORD}-ü.bin"),
    "attached.eml": mail(file=zipped(page(WORD))),
    "data.html": b"<audio src='data:x;base64,"
    + base64.b64encode(b"\0" * 40 + WORD.encode())
    + b"'>",
    "z.png": picture(b"zTXt", zlib.compress(WORD.encode())),
}


@pytest.mark.parametrize("name", PACKED)
def test_it_is_found(tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_bytes(PACKED[name])
    assert places(WORD, tmp_path)


@pytest.mark.parametrize("format_name", FORMATS)
@pytest.mark.parametrize("where", ["title", "chapter", "lyrics"])
def test_it_is_found_in_what_a_recording_says(tmp_path: Path, format_name: str, where: str) -> None:
    """In any tag of any format, among other letters that need more than one byte."""
    if (format_name, where) == ("wav", "lyrics"):
        pytest.skip("WAV has no field for words")
    word = f"ü {WORD} ✓"
    plan = Recording(
        rate_hz=24_000,
        length=24_000,
        chapters=(Chapter(title=word if where == "chapter" else "x", start=0, length=24_000),),
        tags=Tags(title=word if where == "title" else "x"),
        lyrics=word if where == "lyrics" else "",
    )
    with open_writer(format_name, tmp_path / f"a.{format_name}", plan) as writer:
        writer.add(clicks(24_000))
    assert places(WORD, tmp_path)


def test_it_is_found_in_names(tmp_path: Path) -> None:
    (tmp_path / f"x-{WORD.lower()}").mkdir()
    assert places(WORD, tmp_path) == {f"name of x-{WORD.lower()}": 1}


def test_nothing_is_found_where_nothing_is(tmp_path: Path) -> None:
    """The same kinds of files without the word."""
    for name, data in {"a.zip": zipped(b"x"), "a.pdf": page("x"), "a.eml": mail("x")}.items():
        (tmp_path / name).write_bytes(data)
    assert places(WORD, tmp_path) == {}
