"""XML as a tree whose elements know their line; nothing is fetched, expanded or declared.

A document type is refused, and with it every entity of a file's own: what XML's five
entities and character references stand for is all that is ever put in.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from xml.parsers import expat

MOST_LEVELS = 30
"""How deep elements may go inside one another."""


class TreeError(Exception):
    """A document that is not read: ``rule``, and where (line and column from 1)."""

    def __init__(self, rule: str, message: str, line: int, column: int) -> None:
        self.rule, self.message, self.line, self.column = rule, message, line, column
        super().__init__(message)


@dataclass(kw_only=True, slots=True)
class Element:
    """An element: its namespace and name, its attributes, its text, and where it stands.

    Attributes are named as in the file, those of XML itself with ``xml:``.  ``prefixes``
    are the namespaces declared so far.
    """

    namespace: str
    name: str
    attributes: dict[str, str]
    prefixes: dict[str, str]
    line: int
    column: int
    text: str = ""
    children: list[Element] = field(default_factory=list)


def parse(text: str) -> Element:
    """The root of the document in ``text``.

    Raises :class:`TreeError` for what is no XML, for a document type, and for elements
    nested deeper than :data:`MOST_LEVELS`.
    """
    builder = _Builder()
    try:
        builder.parser.Parse(text.encode("utf-8", errors="replace"), True)
    except expat.ExpatError as error:
        reason = expat.errors.messages.get(error.code, "") or str(error)
        raise TreeError(
            "not-xml", f"this is not XML: {reason}", error.lineno, error.offset + 1
        ) from error
    return builder.root()


class _Builder:
    """Builds the tree from the parser's events; open elements wait in a list."""

    def __init__(self) -> None:
        # The encoding is given: what the declaration says of it was true for the bytes.
        self.parser = expat.ParserCreate("UTF-8", None)
        self.parser.buffer_text = True
        self.parser.StartDoctypeDeclHandler = self._doctype
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.CharacterDataHandler = self._words
        self._open: list[Element] = []
        self._root: Element | None = None

    def root(self) -> Element:
        """The finished tree."""
        if self._root is None:
            raise TreeError("not-xml", "there is no element in this file", 1, 1)
        return self._root

    def _fail(self, rule: str, message: str) -> TreeError:
        parser = self.parser
        return TreeError(rule, message, parser.CurrentLineNumber, parser.CurrentColumnNumber + 1)

    def _doctype(self, _name: str, _system: str | None, _public: str | None, _own: bool) -> None:
        raise self._fail("document-type", "a document type (DOCTYPE) is not read")

    def _start(self, tag: str, attributes: dict[str, str]) -> None:
        if len(self._open) >= MOST_LEVELS:
            raise self._fail("too-deep", f"elements go deeper than {MOST_LEVELS} levels")
        prefixes = dict(self._open[-1].prefixes) if self._open else {}
        for name, value in attributes.items():
            if name == "xmlns" or name.startswith("xmlns:"):
                prefixes[name.partition(":")[2]] = value
        prefix, _, name = tag.rpartition(":")
        element = Element(
            namespace=prefixes.get(prefix, ""),
            name=name,
            attributes={k: v for k, v in attributes.items() if not k.startswith("xmlns")},
            prefixes=prefixes,
            line=self.parser.CurrentLineNumber,
            column=self.parser.CurrentColumnNumber + 1,
        )
        if self._open:
            self._open[-1].children.append(element)
        else:
            self._root = element
        self._open.append(element)

    def _end(self, _tag: str) -> None:
        self._open.pop()

    def _words(self, text: str) -> None:
        self._open[-1].text += text
