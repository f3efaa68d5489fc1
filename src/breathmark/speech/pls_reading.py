"""A Pronunciation Lexicon (W3C PLS 1.0) read into a lexicon, everything wrong in it reported.

The comments name the sections of the Recommendation of 14 October 2008.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from breathmark.problems import InputProblems, Place, Problem
from breathmark.routine.report import Report
from breathmark.routine.source import Source, read_source
from breathmark.speech.heteronyms import roles_of
from breathmark.speech.lexicon import Entry, Lexicon, as_voices_write
from breathmark.speech.pls import BEFORE, NAMESPACE, ROLES, from_role
from breathmark.speech.pls_tree import Element, TreeError, parse

_IN_LEXICON = ("lexeme", "meta", "metadata")
_IN_LEXEME = ("grapheme", "phoneme", "alias", "example")
_AMERICAN = str.maketrans({"r": "ɹ", "ɝ": "ɜː", "ɫ": "l"})
"""Letters of dictionaries, and those that the voices use for the same sound."""


def from_pls(path: Path) -> Lexicon:
    """Read a PLS document; its first or preferred sound and alias of each word count.

    Raises :class:`~breathmark.problems.InputProblems` with every problem and its line.
    """
    report = Report()
    source = report.settle(lambda: read_source(path, report))
    if source is None:
        raise InputProblems(report.shown())
    reading = _Reading(source=source)
    entries = reading.entries()
    if reading.problems:
        raise InputProblems(reading.problems)
    return Lexicon(entries)


@dataclass(kw_only=True, slots=True)
class _Reading:
    """One reading: where problems are noted, and the language that sounds are in."""

    source: Source
    problems: list[Problem] = field(default_factory=list)
    language: str = ""
    alphabet: str = ""

    def wrong(self, rule: str, message: str, at: Element, remedy: str = "") -> None:
        self.add(rule, message, at.line, at.column, remedy)

    def add(self, rule: str, message: str, line: int, column: int, remedy: str = "") -> None:
        place = self.source.place(line, column)
        self.problems.append(Problem(rule=rule, message=message, place=place, remedy=remedy))

    def place(self, at: Element) -> Place:
        return self.source.place(at.line, at.column)

    def entries(self) -> tuple[Entry, ...]:
        try:
            root = parse("\n".join(self.source.lines))
        except TreeError as error:
            remedy = "Take it out: a lexicon needs none." if error.rule == "document-type" else ""
            self.add(error.rule, error.message, error.line, error.column, remedy)
            return ()
        if not self._is_lexicon(root):
            return ()
        found: dict[str, Entry] = {}
        for child in root.children:
            for entry in self._child(child):
                if entry.key.lower() in found:
                    self.wrong("twice", f"`{entry.key[:40]}` stands here a second time", child)
                found[entry.key.lower()] = entry
        return tuple(found.values())

    def _is_lexicon(self, root: Element) -> bool:
        """4.1: the root, its namespace, and the attributes that it must have."""
        if (root.namespace, root.name) != (NAMESPACE, "lexicon"):
            message = f"the document is `{root.name[:40]}`, not a `lexicon` of PLS"
            self.wrong("not-pls", message, root, f'Its root has xmlns="{NAMESPACE}".')
            return False
        if root.attributes.get("version") != "1.0":
            self.wrong("pls-version", 'the lexicon has no version="1.0"', root)
        self.alphabet = root.attributes.get("alphabet", "")
        if not self.alphabet:
            self.wrong("pls-attribute", "the lexicon names no `alphabet`", root,
                       'Write alphabet="ipa".')  # fmt: skip
        self.language = root.attributes.get("xml:lang", "").lower()
        if not self.language:
            self.wrong("pls-attribute", "the lexicon names no language (`xml:lang`)", root)
        return True

    def _child(self, child: Element) -> Iterator[Entry]:
        if child.namespace != NAMESPACE or child.name not in _IN_LEXICON:
            self._unknown(child, _IN_LEXICON)
        elif child.name == "lexeme":
            yield from self._lexeme(child)

    def _lexeme(self, lexeme: Element) -> Iterator[Entry]:
        """4.4 to 4.7: one or more graphemes, and a phoneme or an alias at the least."""
        for child in lexeme.children:
            if child.namespace != NAMESPACE or child.name not in _IN_LEXEME:
                self._unknown(child, _IN_LEXEME)
        graphemes = [self._text(one) for one in lexeme.children if one.name == "grapheme"]
        sound, spelling = self._sound(lexeme), self._preferred(lexeme, "alias")
        if not graphemes:
            self.wrong("pls-element", "this lexeme has no `grapheme`", lexeme)
        elif not sound and not spelling:
            self.wrong("pls-element", "this lexeme has neither `phoneme` nor `alias`", lexeme)
        roles = [self._role(lexeme, name) for name in lexeme.attributes.get("role", "").split()]
        before = tuple(role.removeprefix(BEFORE) for role in roles if role.startswith(BEFORE))
        readings = [role for role in roles if role and not role.startswith(BEFORE)] or [""]
        for words in graphemes:
            for role in readings:
                if role and role not in roles_of(words):
                    self.wrong("pls-role", f"`{words[:40]}` is never read as `{role}`", lexeme)
                yield Entry(
                    words=words, sound=sound, spelling=spelling, place=self.place(lexeme),
                    before=before, role=role,
                )  # fmt: skip

    def _sound(self, lexeme: Element) -> str:
        for child in lexeme.children:
            alphabet = child.attributes.get("alphabet", self.alphabet)
            if child.name == "phoneme" and alphabet not in ("ipa", ""):
                message = f"the sounds are written in `{alphabet[:40]}`"
                self.wrong("pls-alphabet", message, child, "Only the alphabet ipa is read.")
        sound = as_voices_write(self._preferred(lexeme, "phoneme"))
        if self.language.startswith("en"):
            sound = sound.translate(_AMERICAN)
        return sound

    def _preferred(self, lexeme: Element, name: str) -> str:
        """4.6 and 4.7: the first that is marked with prefer, else the first."""
        found = [child for child in lexeme.children if child.name == name]
        texts = [self._text(child) for child in found]
        marked = (t for t, c in zip(texts, found, strict=True)
                  if c.attributes.get("prefer") == "true")  # fmt: skip
        return next(marked, texts[0] if texts else "")

    def _text(self, element: Element) -> str:
        for child in element.children:
            self._unknown(child, ())
        text = " ".join(element.text.split())
        if not text:
            self.wrong("pls-empty", f"this `{element.name}` is empty", element)
        return text

    def _role(self, lexeme: Element, name: str) -> str:
        """4.4: a qualified name; only our own can be told from a word's place."""
        prefix, _, local = name.rpartition(":")
        if lexeme.prefixes.get(prefix, "") == ROLES:
            return from_role(local)
        message = f"the role `{name[:40]}` is not one that Breathmark can tell"
        self.wrong("pls-role", message, lexeme, "Take the role out, or the lexeme.")
        return ""

    def _unknown(self, child: Element, valid: tuple[str, ...]) -> None:
        remedy = f"Valid here: {', '.join(valid)}." if valid else "Only text stands here."
        self.wrong("pls-element", f"`{child.name[:40]}` does not belong here", child, remedy)
