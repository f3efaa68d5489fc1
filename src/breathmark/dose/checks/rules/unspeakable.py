"""A line cannot be said well as it is written.

What: words in capitals or capital abbreviations (`ROM`, `STOP`), strokes (`B/L`, `w/`),
signs (`°`, `#`), `10x`, clipped words of the trade (`bilat`, `flex.`), and letters that
English is not written in.

Why: a voice spells them out, swallows them or shouts them ("Chinese letter, Chinese
letter"), and the handout prints what patients cannot read.

Source: plain words instead of abbreviations in what patients hear and read (common
practice).

To mend: write the word: `both sides`, `degrees`, `10 times`.  Amounts such as `30 s` are
read well and need no change.

To accept: say why it is said well, such as a name that patients know by its letters.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from functools import lru_cache

from breathmark.dose.checks.finding import Check, Finding, Subject
from breathmark.dose.checks.lines import exercise_lines, routine_lines
from breathmark.problems import Severity

_WORD = re.compile(r"\w+")
_KNOWN_LETTERS = frozenset({"OK", "TV", "CD", "DVD", "MP3"})
_HARD = (
    re.compile(r"\b[A-Z]{1,3}/[A-Z]{1,3}\b|\b[A-Z][A-Z0-9]+s?\b"),
    re.compile(r"\b[a-zA-Z]/[a-zA-Z]?(?!\w)|\bw/\w*"),
    re.compile(r"\b\d+\s?[x×](?!\s?\d)\b|(?<![\w×])(?<!\d )[x×]\s?\d+\b"),
    re.compile(r"[°º#@~<>=→←↑↓≥≤±]"),
    re.compile(r"\b(?:bilat|unilat)\b\.?", re.IGNORECASE),
    re.compile(
        r"\b(?:abd|add|flex|ext|rot|pt|pts|hx|tx|rx|lat|med|ant|post|sup|inf)\.(?=,|\s+[a-z])"
    ),
)


def find(subject: Subject) -> Iterator[Finding]:
    """Lines with something that cannot be said well, marked where it stands."""
    lines = [line for one in subject.every_exercise for line in exercise_lines(one)]
    for line in (*routine_lines(subject.routine), *lines):
        for word in hard_words(line.text):
            message = f"`{word}` cannot be said well"
            yield Finding.in_line(line, message, "Write it out as a person would say it.", word)


@lru_cache(maxsize=2048)  # the same lines come back with every patient of a caseload
def hard_words(text: str) -> tuple[str, ...]:
    """What cannot be said well in a text, each once, in the order of the text.

    >>> hard_words("Bend to 90° for your ROM."), hard_words("Hold 2 x 30 s.")
    (('°', 'ROM'), ())
    """
    found = [
        (match.start(), match.group()) for pattern in _HARD for match in pattern.finditer(text)
    ]
    found += [(match.start(), match.group()) for match in _WORD.finditer(text) if _strange(match)]
    return tuple(dict.fromkeys(word for _, word in sorted(found) if word not in _KNOWN_LETTERS))


def _strange(word: re.Match[str]) -> bool:
    """Whether a word has letters that are neither Latin nor Greek."""
    letters = filter(str.isalpha, unicodedata.normalize("NFKC", word.group()))
    return any(not unicodedata.name(char, "").startswith(("LATIN", "GREEK")) for char in letters)


CHECK = Check(
    id="unspeakable",
    severity=Severity.CAUTION,
    says="a line cannot be said well as it is written",
    find=find,
    english=True,
)
