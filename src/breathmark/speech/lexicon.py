"""The lexicon: words a voice would get wrong, and how they sound or how to spell them.

``sound`` is in the International Phonetic Alphabet, for voices that take phonemes;
``spelling`` respells the word for those that do not.  Either may be left out.
``before`` limits an entry to where one of its words follows; with a stop (``out.``), to
where that word ends the sentence.  A role in brackets, as in ``close (verb)``, limits it
to where the word is read in that way (:mod:`breathmark.speech.heteronyms`).
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Container, Iterable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from breathmark.problems import InputProblems, Place, Problem
from breathmark.routine.nodes import Text
from breathmark.routine.reader import Reader, Section, Value, short
from breathmark.routine.report import Report
from breathmark.routine.rules import Rule
from breathmark.speech.heteronyms import roles_of, split_role
from breathmark.speech.profiles import open_section

_KEYS = ("sound", "spelling", "before")
_VOWELS = "aeiouyæœøɐɑɒɔɘəɚɛɜɝɤɞɨɪʉʊʌʏᵻ"
_STRESSED = re.compile(rf"([ˈˌ])([^{_VOWELS}ˈˌ\s]+)(?=[{_VOWELS}])")
_UNSAID = re.compile("[\u0361\u035c.\u203f]")  # ties, borders of syllables, linking


@dataclass(frozen=True, kw_only=True, slots=True)
class Entry:
    """A word or phrase, its sound (IPA) and its respelling; ``place`` is where it stands.

    ``before`` lists the words of which one must follow, ``role`` is the one reading of a
    word with several; both empty for any.  ``sound_place`` is where its sound stands.
    """

    words: str
    sound: str
    spelling: str
    place: Place
    before: tuple[str, ...] = ()
    role: str = ""
    sound_place: Place | None = None

    @property
    def key(self) -> str:
        """The words with their role in brackets, as in a lexicon file."""
        return f"{self.words} ({self.role})" if self.role else self.words

    def instead(self, said: str) -> dict[str, str]:
        """What is looked for in a text, and what is put in its place."""
        if not self.before:
            return {self.key: said}
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
            entries.update((entry.key.lower(), entry) for entry in _entries(reader, section))
    return Lexicon(tuple(entries.values()))


def _entries(reader: Reader, section: Section) -> Iterator[Entry]:
    for words, value in section.values.items():
        if isinstance(value.node, Text):
            remedy = f"Write how it is spelled, such as `{{spelling: {short(value.node.value)}}}`."
            message = "a word of the lexicon has a `sound` or a `spelling`"
            reader.wrong(value, Rule.WRONG_TYPE, message, remedy)
            continue
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
        plain, role = split_role(words)
        if role and role not in roles_of(plain):
            _no_such_role(reader, value, plain, role)
        written = inner.get("sound")
        yield Entry(
            words=plain,
            sound=as_voices_write(sound),
            spelling=spelling,
            place=value.place,
            before=reader.texts(inner.get("before")),
            role=role,
            sound_place=written.place if written else None,
        )


def _no_such_role(reader: Reader, value: Value, words: str, role: str) -> None:
    valid = ", ".join(f"`{words} ({one})`" for one in roles_of(words))
    remedy = f"Valid here: {valid}." if valid else "Take the brackets out, or use `before`."
    message = f"`{words[:40]}` is never read as `{role[:40]}`"
    reader.wrong(value, Rule.NOT_A_CHOICE, message, remedy)


def as_voices_write(sound: str) -> str:
    """IPA as the voices use it, from IPA as dictionaries print it.

    Accents become code points of their own (NFD), ties and the borders of syllables go,
    and a stress mark moves from before its syllable to before the vowel.

    >>> as_voices_write("əˈkroʊ.mi.ən"), as_voices_write("t͡ʃɪn")
    ('əkrˈoʊmiən', 'tʃɪn')
    """
    plain = _UNSAID.sub("", unicodedata.normalize("NFD", sound)).replace("g", "ɡ")
    return _STRESSED.sub(r"\2\1", plain.replace("'", "ˈ"))


def _unknown(entry: Entry, known: Container[str]) -> Iterator[Problem]:
    strange = sorted({char for char in entry.sound if char not in known})
    if strange:
        shown = ", ".join(f"`{char}` (U+{ord(char):04X})" for char in strange)
        yield Problem(
            rule="unknown-sound",
            message=f"the voice does not know {shown} in the sound of `{entry.words[:40]}`",
            place=_spot(entry.sound_place or entry.place, strange),
            remedy="Write the sound in the letters of the IPA, as other entries do.",
        )


def _spot(place: Place, strange: Iterable[str]) -> Place:
    """The first strange letter after ``place`` on its line, else the place itself."""
    start = place.column - 1
    found = [at for char in strange if (at := place.text.find(char, start)) >= 0]
    return replace(place, column=min(found) + 1, width=1) if found else place
