"""A file of ours as text: read with care, decoded, and split into lines.

What is wrong with the bytes is reported, and reading goes on with the best guess
wherever there is one, so that the rest of the file is checked in the same run.
"""

from __future__ import annotations

import codecs
import hashlib
import re
import stat
import unicodedata
from dataclasses import dataclass
from pathlib import Path

from breathmark.problems import Place, nearest
from breathmark.routine.report import Report
from breathmark.routine.rules import Rule

MOST_BYTES = 1_000_000
"""The largest file that is read; a long routine has about 20 000."""

TABLES = (".csv", ".tsv")
"""How the names of tables end, in small letters; their cells hold lists with semicolons in them."""

_BREAK = re.compile(r"\r\n|\n|\r")
_UNSEEN = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u200b\u2028-\u202e\u2060\u2066-\u2069\ufeff\ufffe\uffff\ud800-\udfff]"
)
"""Control characters, odd line ends, direction overrides and non-characters."""

_DOCUMENTS = {
    b"PK\x03\x04": "Save it as text: a table as CSV in UTF-8.",
    b"\xd0\xcf\x11\xe0": "Save it as text: a table as CSV in UTF-8.",
    b"{\\rtf": "Save it as plain text; in TextEdit: Format, Make Plain Text.",
}
"""How spreadsheets and documents begin (ZIP, OLE, RTF), and what to do about it."""

_MARKS = (
    (codecs.BOM_UTF32_LE, "utf-32", "UTF-32"),  # before UTF-16, whose mark begins the same
    (codecs.BOM_UTF32_BE, "utf-32", "UTF-32"),
    (codecs.BOM_UTF16_LE, "utf-16", "UTF-16"),
    (codecs.BOM_UTF16_BE, "utf-16", "UTF-16"),
)


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Source:
    """A file's text: its name as given, its folder, its hash, and its lines as typed."""

    name: str
    folder: Path
    sha256: str
    lines: tuple[str, ...]

    def place(self, line: int, column: int, *, width: int = 1, path: str = "") -> Place:
        """The place at ``line`` and ``column``, both counted from 1."""
        text = self.lines[line - 1] if 0 < line <= len(self.lines) else ""
        return Place(file=self.name, line=line, column=column, text=text, width=width, path=path)


def read_source(path: Path, report: Report, *, named_at: Place | None = None) -> Source | None:
    """Read a file, or report why it cannot be read and return ``None``.

    ``named_at`` is where another file names this one; problems with reaching it are
    placed there.
    """
    data = _bytes(path, report, named_at or Place(file=str(path), line=1, column=1))
    if data is None:
        return None
    text = _text(data, str(path), report)
    if text is None:
        return None
    lines = tuple(_BREAK.split(text))
    source = Source(
        name=str(path),
        folder=path.parent,
        sha256=hashlib.sha256(data).hexdigest(),
        lines=lines,
    )
    _report_unseen(source, report)
    return source


def is_file(path: Path) -> bool:
    """Whether there is such a file; ``False`` for a name that cannot be one's."""
    try:
        return path.is_file()
    except OSError:  # a name longer than the system allows
        return False


def without_unseen(line: str) -> str:
    """The line with a space for every no-break space and every unseen character."""
    return _UNSEEN.sub(" ", line).replace("\xa0", " ")


def has_unseen(text: str) -> bool:
    """Whether the text holds a control character (it may come from an escape)."""
    return _UNSEEN.search(text) is not None


def _bytes(path: Path, report: Report, place: Place) -> bytes | None:
    shown = path.name or str(path)
    try:
        status = path.stat()
        if not stat.S_ISREG(status.st_mode):
            what = "a folder" if stat.S_ISDIR(status.st_mode) else "not a plain file"
            report.add(Rule.NOT_A_FILE, f"`{shown}` is {what}", place, "Name a text file.")
            return None
        if status.st_size > MOST_BYTES:
            _report_size(shown, status.st_size, report, place)
            return None
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except (FileNotFoundError, NotADirectoryError):
        report.add(Rule.MISSING_FILE, f"there is no file `{shown}`", place, near(path))
        return None
    except (OSError, ValueError) as error:  # ValueError: a NUL in the name
        reason = getattr(error, "strerror", None) or "the name cannot be a file's name"
        report.add(Rule.UNREADABLE, f"`{shown}` cannot be read: {reason}", place)
        return None
    if len(data) > MOST_BYTES:
        _report_size(shown, len(data), report, place)
        return None
    return data


def _report_size(shown: str, size: int, report: Report, place: Place) -> None:
    message = f"`{shown}` has {size / 1e6:,.1f} million bytes; a routine has at most 1 million"
    report.add(Rule.TOO_BIG, message, place, "Is it the right file?")


def near(path: Path) -> str:
    """A remedy that names the file most like the one that is not there."""
    try:
        names = sorted(entry.name for entry in path.parent.iterdir())[:500]
    except (OSError, ValueError):
        return "Its folder is not there either."
    for name in names:
        if name != path.name and _composed(name) == _composed(path.name):
            return f"The letters of `{name}` are put together in another way: rename that file."
    close = nearest(path.name, names)
    return f"Did you mean `{close}`?" if close else ""


def _composed(name: str) -> str:
    """A name with each letter in one piece; macOS hands files on with their dots apart."""
    return unicodedata.normalize("NFC", name)


def _text(data: bytes, name: str, report: Report) -> str | None:
    top = Place(file=name, line=1, column=1)
    remedy = "Save it as UTF-8 (in the editor: Save as, encoding UTF-8)."
    if name.lower().endswith(TABLES):
        remedy = "Save it as UTF-8 (in the spreadsheet: Save as, CSV UTF-8)."
    for begins, as_text in _DOCUMENTS.items():
        if data.startswith(begins):
            message = "this is a spreadsheet or another document, not a text file"
            report.add(Rule.ENCODING, message, top, as_text)
            return None
    encoding, shown = _wide_encoding(data)
    if encoding:
        report.add(Rule.ENCODING, f"the file is saved as {shown}, not UTF-8", top, remedy)
        return data.decode(encoding, errors="replace").removeprefix("\ufeff")
    try:
        return data.decode("utf-8").removeprefix("\ufeff")
    except UnicodeDecodeError as error:
        if b"\0" in data:
            report.add(Rule.ENCODING, "this is not a text file", top, "Is it the right file?")
            return None
        text = data.decode("utf-8", errors="replace")
        before = _BREAK.split(data[: error.start].decode("utf-8").removeprefix("\ufeff"))
        place = Place(
            file=name,
            line=len(before),
            column=len(before[-1]) + 1,
            text=_BREAK.split(text.removeprefix("\ufeff"))[len(before) - 1],
        )
        message = f"the byte 0x{data[error.start]:02X} is not UTF-8 text"
        report.add(Rule.ENCODING, message, place, remedy)
        return text.removeprefix("\ufeff")


def _wide_encoding(data: bytes) -> tuple[str, str]:
    for mark, encoding, shown in _MARKS:
        if data.startswith(mark):
            return encoding, shown
    some = data[:2000]
    if len(some) >= 4 and some[1::2].count(0) > len(some) * 0.4:
        return "utf-16-le", "UTF-16"
    if len(some) >= 4 and some[0::2].count(0) > len(some) * 0.4:
        return "utf-16-be", "UTF-16"
    return "", ""


def _report_unseen(source: Source, report: Report) -> None:
    for number, line in enumerate(source.lines, start=1):
        for match in _UNSEEN.finditer(line):
            code = f"U+{ord(match.group()):04X}"
            report.add(
                Rule.CONTROL_CHARACTER,
                f"a character that cannot be seen ({code}) stands here",
                source.place(number, match.start() + 1),
                "Delete it and type the text anew.",
            )
