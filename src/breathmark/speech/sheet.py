"""The sheet of lines that a clinician reads aloud, one breath to a row.

A line of a session is read in pieces: sentence by sentence, and a long sentence at its
commas.  A piece is recorded once, whichever lines need it.  The sheet is plain text with
a number before each piece, so that it can be printed, and read back when the recording
comes in.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from string import ascii_lowercase

from breathmark.problems import UsageProblem

MOST_WORDS = 14
"""Words in one breath: about five seconds at 150 words a minute (our own choice)."""

_SENTENCE_END = re.compile(r"(?<=[.!?…])\s+")
_OTHERWISE = "What is not recorded is said by: "  # a line of the head
_COMMA = re.compile(r"(?<=[,;:–])\s+")
_JOINING_WORD = re.compile(r"\s+(?=(?:and|or|but|then|so|while|until|y|o|und|oder|et|ou)\s)")
_FEWEST_WORDS = 3  # nothing shorter is cut off a sentence
_ROW = re.compile(r"\s*(?P<label>\d{1,4}[a-z]{0,2})(?P<private>\*?)[.)]?\s+(?P<text>\S.*?)\s*")
_MOST_BYTES = 1_000_000


@dataclass(frozen=True, kw_only=True, slots=True)
class SheetLine:
    """One row: its number, such as ``12`` or ``12b``, and what is read.

    ``private`` rows belong to one patient: what is recorded of them is kept apart.
    """

    label: str
    text: str
    private: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Sheet:
    """The rows to read, in order; no text stands in it twice.

    ``otherwise`` is the voice that says what is not recorded, where the sheet tells it.
    """

    lines: tuple[SheetLine, ...]
    otherwise: str = ""


def piece_key(text: str) -> str:
    """A text as it is looked up: composed letters, single spaces.

    >>> piece_key("  Sit   tall. ")
    'Sit tall.'
    """
    return " ".join(unicodedata.normalize("NFC", text).split())


def breaths(text: str) -> tuple[str, ...]:
    """A written line in pieces that are read in one breath each.

    >>> breaths("Rise slowly. Then stand.")
    ('Rise slowly.', 'Then stand.')
    """
    whole = piece_key(text)
    return tuple(
        piece
        for sentence in _SENTENCE_END.split(whole)
        for piece in _short_enough(sentence)
        if any(char.isalnum() for char in piece)
    )


def _short_enough(sentence: str) -> list[str]:
    """A sentence cut near its middle, at a comma or else before a joining word."""
    if len(sentence.split()) <= MOST_WORDS:
        return [sentence]
    for places in (_COMMA, _JOINING_WORD):
        cuts = [match for match in places.finditer(sentence) if _leaves_enough(sentence, match)]
        if cuts:
            middle = min(cuts, key=lambda cut: abs(cut.start() + cut.end() - len(sentence)))
            before, after = sentence[: middle.start()], sentence[middle.end() :]
            return [*_short_enough(before), *_short_enough(after)]
    return [sentence]


def _leaves_enough(sentence: str, cut: re.Match[str]) -> bool:
    parts = (sentence[: cut.start()], sentence[cut.end() :])
    return all(len(part.split()) >= _FEWEST_WORDS for part in parts)


def make_sheet(
    lines: Iterable[str],
    *,
    private: frozenset[str] = frozenset(),
    recorded: Callable[[str], bool] = lambda _piece: False,
    otherwise: str = "",
) -> Sheet:
    """The sheet for the lines of a session, in their order, each piece once.

    ``private`` are the lines said to one patient alone; pieces for which ``recorded`` is
    true are left out.
    """
    rows: dict[str, SheetLine] = {}
    number = 0
    ordered = tuple(dict.fromkeys(lines))
    common = {piece for line in ordered if line not in private for piece in breaths(line)}
    for line in ordered:
        pieces = breaths(line)
        if all(piece in rows or recorded(piece) for piece in pieces):
            continue
        number += 1
        for at, piece in enumerate(pieces):
            if piece not in rows and not recorded(piece):
                label = f"{number}{_letter(at)}" if len(pieces) > 1 else str(number)
                rows[piece] = SheetLine(label=label, text=piece, private=piece not in common)
    return Sheet(lines=tuple(rows.values()), otherwise=otherwise)


def _letter(at: int) -> str:
    more, last = divmod(at, len(ascii_lowercase))
    return ascii_lowercase[more - 1] * bool(more) + ascii_lowercase[last]


def sheet_text(sheet: Sheet, *, title: str, voice: str, lasts_s: float) -> str:
    """The sheet as it is printed; ``lasts_s`` is how long the reading takes, in seconds."""
    minutes = max(1, round(lasts_s / 60))
    number = len(sheet.lines)
    head = [
        f"Lines to read: {title}",
        f"Voice {voice}, {number} {'row' if number == 1 else 'rows'}, "
        f"about {minutes} {'minute' if minutes == 1 else 'minutes'}",
        "",
        "Read the rows in order, each in one breath, without its number. Leave a second or",
        "more of silence before the next. If you stumble, wait a moment and read the whole",
        "row again: the last reading counts. A cough or a page does no harm.",
    ]
    if any(line.private for line in sheet.lines):
        head += ["Rows with a star are for this patient alone: keep this sheet as you keep a file."]
    if sheet.otherwise:
        head += [f"{_OTHERWISE}{sheet.otherwise}"]
    rows = [f"{line.label + '*' * line.private:>6}  {line.text}" for line in sheet.lines]
    return "\n".join([*head, "", *rows]) + "\n"


def read_sheet(path: Path) -> Sheet:
    """The rows of a sheet that :func:`sheet_text` wrote; other lines are passed over.

    Raises :class:`~breathmark.problems.UsageProblem` for a file that is no sheet.
    """
    try:
        data = path.read_bytes()[:_MOST_BYTES]
    except OSError as error:
        raise UsageProblem(f"{path} cannot be read: {error.strerror or error}") from error
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise _no_sheet(path, "it is not text in UTF-8") from None
    lines = tuple(_rows(text.splitlines()))
    if not lines:
        raise _no_sheet(path, "no row in it begins with a number")
    _require_each_once(path, lines)
    other = next((line for line in text.splitlines() if line.startswith(_OTHERWISE)), _OTHERWISE)
    return Sheet(lines=lines, otherwise=other.removeprefix(_OTHERWISE).strip())


def _rows(lines: Iterable[str]) -> Iterable[SheetLine]:
    for line in lines:
        match = _ROW.fullmatch(line)
        if match and any(char.isalnum() for char in match["text"]):
            yield SheetLine(
                label=match["label"],
                text=piece_key(match["text"]),
                private=bool(match["private"]),
            )


def _require_each_once(path: Path, lines: Sequence[SheetLine]) -> None:
    for what, values in (
        ("number", [line.label for line in lines]),
        ("text", [line.text for line in lines]),
    ):
        twice = next((value for value in values if values.count(value) > 1), None)
        if twice is not None:
            raise _no_sheet(path, f"the {what} `{twice[:60]}` stands in it twice")


def _no_sheet(path: Path, why: str) -> UsageProblem:
    return UsageProblem(
        f"{path} is no sheet of lines to read: {why}. "
        "`breathmark lines ROUTINE --to sheet.txt` writes one."
    )
