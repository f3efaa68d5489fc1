"""The lexicon: words a voice would get wrong, and how they sound or how to spell them.

``sound`` is in the International Phonetic Alphabet, for voices that take phonemes;
``spelling`` respells the word for those that do not.  Either may be left out.
``before`` limits an entry to where one of its words follows: ``close your eyes``, but
``close to the wall``.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Container, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from breathmark.problems import InputProblems, Place, Problem
from breathmark.routine.reader import Reader, Section, Value
from breathmark.routine.report import Report
from breathmark.routine.rules import Rule
from breathmark.speech.profiles import open_section

_KEYS = ("sound", "spelling", "before")


@dataclass(frozen=True, kw_only=True, slots=True)
class Entry:
    """A word or phrase, its sound (IPA) and its respelling; ``place`` is where it stands.

    ``before`` lists the words of which one must follow; empty for any.
    """

    words: str
    sound: str
    spelling: str
    place: Place
    before: tuple[str, ...] = ()

    def instead(self, said: str) -> dict[str, str]:
        """What is looked for in a text, and what is put in its place."""
        if not self.before:
            return {self.words: said}
        return {f"{self.words} {word}": f"{said} {word}" for word in self.before}


@dataclass(frozen=True, slots=True)
class Lexicon:
    """All entries of a profile's lexicon files; a later file wins over an earlier one."""

    entries: tuple[Entry, ...] = ()

    def as_sounds(self) -> dict[str, str]:
        """Words to ``[[phonemes]]``, or to their spelling where no sound is given."""
        said = ((e, f"[[{e.sound}]]" if e.sound else e.spelling) for e in self.entries)
        return {words: text for e, sound in said for words, text in e.instead(sound).items()}

    def as_spellings(self) -> dict[str, str]:
        """Words to their respelling; words that have none stay as they are written."""
        spelt = (e for e in self.entries if e.spelling)
        return {words: text for e in spelt for words, text in e.instead(e.spelling).items()}

    def require_sounds(self, known: Container[str]) -> None:
        """See that every sound is made of ``known`` phonemes (single code points, NFD).

        Raises :class:`~breathmark.problems.InputProblems` with the place of each entry
        that is not.
        """
        found = [problem for entry in self.entries for problem in _unknown(entry, known)]
        if found:
            raise InputProblems(found)


def load_lexicon(paths: Iterable[Path]) -> Lexicon:
    """Read lexicon files, each a mapping of words to ``{sound: …, spelling: …}``.

    Raises :class:`~breathmark.problems.InputProblems` with every problem of all files.
    """
    report = Report()
    return report.settle(lambda: _lexicon(paths, report))


def _lexicon(paths: Iterable[Path], report: Report) -> Lexicon:
    entries: dict[str, Entry] = {}
    for path in paths:
        section = open_section(path, report, "a lexicon", valid=None)
        if section is not None:
            reader = Reader(report, path.parent)
            entries.update((entry.words.lower(), entry) for entry in _entries(reader, section))
    return Lexicon(tuple(entries.values()))


def _entries(reader: Reader, section: Section) -> Iterator[Entry]:
    for words, value in section.values.items():
        inner = reader.section(value, "a word of the lexicon", valid=_KEYS)
        if inner is not None:
            yield from _entry(reader, words, value, inner)


def _entry(reader: Reader, words: str, value: Value, inner: Section) -> Iterator[Entry]:
    sound, spelling = reader.text(inner.get("sound")), reader.text(inner.get("spelling"))
    if "sound" not in inner.values and "spelling" not in inner.values:
        message = f"`{words[:40]}` has neither a `sound` nor a `spelling`"
        reader.wrong(value, Rule.MISSING_KEY, message)
    elif not words.strip():
        reader.wrong(value, Rule.EMPTY_VALUE, "this sound belongs to no word")
    else:
        yield Entry(
            words=words,
            sound=decomposed(sound),
            spelling=spelling,
            place=value.place,
            before=reader.texts(inner.get("before")),
        )


def decomposed(sound: str) -> str:
    """IPA in the form the voices use: accents as code points of their own (NFD), a plain ɡ."""
    return unicodedata.normalize("NFD", sound).replace("g", "ɡ")


def _unknown(entry: Entry, known: Container[str]) -> Iterator[Problem]:
    strange = sorted({char for char in entry.sound if char not in known})
    if strange:
        shown = ", ".join(f"`{char}` (U+{ord(char):04X})" for char in strange)
        yield Problem(
            rule="unknown-sound",
            message=f"the voice does not know {shown} in the sound of `{entry.words[:40]}`",
            place=entry.place,
            remedy="Write the sound in the letters of the IPA, as other entries do.",
        )
