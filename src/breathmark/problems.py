"""One shape for everything that can be wrong, and whose fault it is.

A :class:`Problem` belongs to a file somebody wrote: it says which rule was
broken, where (file, line, column, field path), shows the line with a caret and
names the remedy.  Stages collect problems and go on; at the end all of them are
raised together as :class:`InputProblems`.

The exception classes carry the exit status of the command:

====================== ====== =========================================
class                  status whose fault
====================== ====== =========================================
:class:`InputProblems` 1      a file the clinician wrote
:class:`UsageProblem`  2      the command line
:class:`Fault`         3      Breathmark, an engine or the machine
====================== ====== =========================================
"""

from __future__ import annotations

import difflib
import enum
import re
from collections.abc import Iterable
from dataclasses import dataclass


class Severity(enum.StrEnum):
    """How much a problem weighs: an error stops the build, the others do not."""

    ERROR = "error"
    CAUTION = "caution"
    NOTE = "note"


@dataclass(frozen=True, kw_only=True, slots=True)
class Place:
    """A spot in a file: what an editor needs to jump there and a reader to see it.

    ``line`` and ``column`` count from 1; ``width`` is the number of characters
    the caret underlines; ``text`` is the whole line; ``path`` names the field,
    for example ``exercises[2].hold``.
    """

    file: str
    line: int
    column: int
    text: str = ""
    width: int = 1
    path: str = ""

    def shown(self) -> str:
        """The place as ``file:line:column``."""
        return f"{self.file}:{self.line}:{self.column}"

    def caret(self) -> str:
        """The line with a caret under the spot; empty when the line is unknown."""
        if not self.text.strip():
            return ""
        text, start = _window(self.text, self.column - 1)
        width = max(1, min(self.width, len(text) - start))
        lead = "".join("\t" if char == "\t" else " " for char in text[:start])
        return f"    {text}\n    {lead}{'^' * width}"


def _window(text: str, start: int, most: int = 76) -> tuple[str, int]:
    """The part of a long line around ``start``, and where ``start`` is in it.

    With the four columns it is set in by it fits into 80: a terminal that wraps it would
    leave the caret under another word.
    """
    if len(text) <= most:
        return text, min(start, len(text))
    left = max(0, min(start - most // 3, len(text) - most))
    return text[left : left + most], start - left


@dataclass(frozen=True, kw_only=True, slots=True)
class Problem:
    """One thing wrong in a file: the rule's id, what is wrong, where, and what to do."""

    rule: str
    message: str
    place: Place
    remedy: str = ""
    severity: Severity = Severity.ERROR

    def shown(self) -> str:
        """The problem as a person reads it: place, message, line with caret, remedy."""
        head = f"{self.place.shown()}: {self.severity}: {self.message} [{self.rule}]"
        parts = [head, self.place.caret(), f"    {self.remedy}" if self.remedy else ""]
        return "\n".join(part for part in parts if part)


class BreathmarkError(Exception):
    """Base of every error a command reports; ``exit_status`` is its exit status."""

    exit_status = 3

    def shown(self) -> str:
        """The text for the person at the keyboard."""
        return str(self)


class InputProblems(BreathmarkError):
    """One or more problems in files somebody wrote (exit status 1)."""

    exit_status = 1

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = in_file_order(problems)
        super().__init__("\n".join(problem.shown() for problem in self.problems))


class UsageProblem(BreathmarkError):
    """The command line asked for something that cannot be (exit status 2)."""

    exit_status = 2


class Fault(BreathmarkError):
    """Our own fault, an engine's or the machine's (exit status 3), with a remedy."""

    def __init__(self, message: str, *, remedy: str = "") -> None:
        self.message = message
        self.remedy = remedy
        super().__init__(f"{message}\n    {remedy}" if remedy else message)


def in_file_order(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """The problems sorted by file, line and column, each said once."""
    unique = dict.fromkeys(problems)
    return tuple(sorted(unique, key=lambda p: (p.place.file, p.place.line, p.place.column, p.rule)))


def nearest(word: str, valid: Iterable[str]) -> str | None:
    """The valid word most like ``word``, or ``None`` when nothing comes close.

    >>> nearest("positon", ["position", "targets"])
    'position'
    """
    choices = {choice.lower(): choice for choice in valid}
    found = difflib.get_close_matches(word.lower().strip(), choices, n=1, cutoff=0.6)
    return choices[found[0]] if found else None


def misspelt(word: str, valid: Iterable[str]) -> str | None:
    """The valid word that ``word`` is a slip of the pen for; ``None`` when it is none.

    Each of its words must be near one of the other's, in the same order, and no pair of
    opposites: what is offered may be taken unread.

    >>> misspelt("positon", ["position"]), misspelt("sest", ["sets"])
    ('position', 'sets')
    >>> misspelt("hip abductors", ["hip adductors"]), misspelt("rest", ["reps"])
    (None, None)
    """
    choices = {choice.lower(): choice for choice in valid}
    likely = difflib.get_close_matches(word.lower().strip(), choices, n=5, cutoff=0.6)
    return next((choices[one] for one in likely if _is_slip(word.lower(), one)), None)


def _is_slip(word: str, valid: str) -> bool:
    written, meant = _WORDS.findall(word), _WORDS.findall(valid)
    if "".join(written) == "".join(meant):
        return True
    return len(written) == len(meant) and all(map(_is_near, written, meant))


def _is_near(one: str, other: str) -> bool:
    if {one, other} in _OPPOSITES or (one[:2] + other[:2]) in ("abad", "adab", "inex", "exin"):
        return one == other
    swapped = sorted(one) == sorted(other)
    return swapped or difflib.SequenceMatcher(None, one, other).ratio() >= _NEAR


_WORDS = re.compile(r"[^\W_]+")
_NEAR = 0.8
_OPPOSITES = (
    *({"left", "right"}, {"open", "closed"}, {"upper", "lower"}, {"inner", "outer"}),
    *({"flexion", "extension"}, {"flexor", "extensor"}, {"flexors", "extensors"}),
)


def did_you_mean(word: str, valid: Iterable[str]) -> str:
    """A remedy naming the valid word that was misspelt, or all of them when none was."""
    choices = tuple(valid)
    close = misspelt(word, choices)
    return f"Did you mean `{close}`?" if close else f"Valid here: {', '.join(choices)}."
