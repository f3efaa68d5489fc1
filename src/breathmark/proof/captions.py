"""WebVTT read back: a small strict reader of the part of the format that we write.

Source: W3C, "WebVTT: The Web Video Text Tracks Format", section 4 (the syntax that
authors must keep to).  Styles, regions, cue settings and markup inside cues are part of
the format but not of our captions, so they are refused.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

_TIME: Final = r"((?:\d{2,}:)?[0-5]\d:[0-5]\d\.\d{3})"
_TIMING: Final = re.compile(rf"{_TIME}[ \t]+-->[ \t]+{_TIME}[ \t]*")
_ESCAPES: Final = {"amp": "&", "lt": "<", "gt": ">", "nbsp": "\N{NO-BREAK SPACE}"}


class CaptionError(Exception):
    """Text that is not WebVTT as we write it; the message names the line."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Cue:
    """A caption: from when to when, its text with its rows joined by blanks, its line."""

    start_ms: int
    end_ms: int
    text: str
    line: int


def read_webvtt(text: str) -> tuple[Cue, ...]:
    r"""The cues of a WebVTT file in the order of the file; raises :class:`CaptionError`.

    >>> read_webvtt("WEBVTT\n\n00:01.000 --> 00:02.500\nLift your toes.\n")
    (Cue(start_ms=1000, end_ms=2500, text='Lift your toes.', line=3),)
    """
    if "\0" in text:
        raise CaptionError("there is a NUL character in it")
    lines = re.split(r"\r\n|\n|\r", text.removeprefix("\ufeff"))
    if not re.fullmatch(r"WEBVTT(?:[ \t].*)?", lines[0]) or "-->" in lines[0]:
        raise CaptionError("line 1 does not say WEBVTT")
    if len(lines) > 1 and lines[1]:
        raise CaptionError("line 2 is not empty")
    found = []
    for first, block in _blocks(lines):
        if not re.match(r"NOTE(?:[ \t]|$)", block[0]):
            found.append(_cue(first, block))
        elif any("-->" in row for row in block):
            raise CaptionError(f"line {first}: a note holds an arrow")
    return tuple(found)


def _blocks(lines: Sequence[str]) -> list[tuple[int, list[str]]]:
    """The runs of lines that are not empty, after the head, with their first line's number."""
    found: list[tuple[int, list[str]]] = []
    fresh = True
    for number, line in enumerate(lines[1:], 2):
        if not line:
            fresh = True
        elif fresh:
            found.append((number, [line]))
            fresh = False
        else:
            found[-1][1].append(line)
    return found


def _cue(first: int, block: list[str]) -> Cue:
    named = "-->" not in block[0]
    line, rows = first + named, block[named:]
    match = _TIMING.fullmatch(rows[0]) if rows else None
    if match is None:
        raise CaptionError(f"line {line}: no times of a caption stand where they should")
    if len(rows) == 1:
        raise CaptionError(f"line {line}: the caption has no text")
    start_ms, end_ms = _ms(match.group(1)), _ms(match.group(2))
    if end_ms <= start_ms:
        raise CaptionError(f"line {line}: the caption ends before it begins")
    text = " ".join(_plain(row, line + 1 + at) for at, row in enumerate(rows[1:]))
    return Cue(start_ms=start_ms, end_ms=end_ms, text=" ".join(text.split()), line=line)


def _plain(row: str, line: int) -> str:
    """A row of a caption with its escapes undone."""
    if "-->" in row:
        raise CaptionError(f"line {line}: an arrow stands in the text of a caption")
    if "<" in row:
        raise CaptionError(f"line {line}: a caption holds markup")
    unknown = re.search(r"&(?!(?:amp|lt|gt|nbsp);)", row)
    if unknown:
        raise CaptionError(f"line {line}: an & is not written as &amp;")
    return re.sub(r"&(\w+);", lambda escape: _ESCAPES[escape.group(1)], row)


def _ms(time: str) -> int:
    *hours, minutes, rest = time.split(":")
    secs, thousandths = rest.split(".")
    whole = (int(hours[0]) if hours else 0) * 3600 + int(minutes) * 60 + int(secs)
    return whole * 1000 + int(thousandths)
