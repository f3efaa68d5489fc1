"""Tagged PDF: what is on a page, in which order it is read, and what is mere decoration.

The PDF library draws pages but writes no structure, so the structure is written here
(ISO 32000-1:2008, 14.7 and 14.8).  The tree of :class:`Node` is made with the story,
in reading order.  Each thing that is drawn is marked as content of its node, or as an
artifact, which a screen reader passes over.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from reportlab.pdfbase.pdfdoc import (
    PDFArray,
    PDFDictionary,
    PDFDocument,
    PDFName,
    PDFObjectReference,
    PDFString,
)
from reportlab.pdfgen.canvas import Canvas


@dataclass(slots=True, eq=False)
class Node:
    """An element of a document's structure: its role, its parts, where it is drawn.

    ``role`` is a standard structure type (14.8.4): ``H1``, ``P``, ``Table``.  ``alt`` is
    said instead of a picture.  ``drawn`` holds page numbers from 0, each with the
    number of the content on that page (its MCID).
    """

    role: str
    alt: str = ""
    attributes: dict[str, str] = field(default_factory=dict)
    nodes: list[Node] = field(default_factory=list)
    drawn: list[tuple[int, int]] = field(default_factory=list)

    def add(self, role: str, alt: str = "", **attributes: str) -> Node:
        """A new part at the end of this one."""
        node = Node(role=role, alt=alt, attributes=attributes)
        self.nodes.append(node)
        return node

    @property
    def empty(self) -> bool:
        """Whether nothing of it was drawn; an empty cell still holds its place."""
        return self.role not in {"TD", "TH"} and not self.drawn and all(n.empty for n in self.nodes)


class TaggedCanvas(Canvas):  # type: ignore[misc]  # the library ships no types
    """A canvas that marks what is drawn and writes the tree at the end.

    ``root`` is the document's node; it is set by whoever builds the document.
    """

    root: Node

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._pages_done: list[list[Node]] = []
        self._marks: list[Node] = []
        self._open = False

    @contextmanager
    def content_of(self, node: Node) -> Iterator[None]:
        """Mark what is drawn inside as content of a node."""
        node.drawn.append((len(self._pages_done), len(self._marks)))
        begin = f"/{node.role} <</MCID {len(self._marks)}>> BDC"
        self._marks.append(node)
        yield from self._marked(begin)

    @contextmanager
    def artifact(self) -> Iterator[None]:
        """Mark what is drawn inside as decoration; inside content it belongs to that."""
        if self._open:
            yield
            return
        yield from self._marked("/Artifact BMC")

    def _marked(self, begin: str) -> Iterator[None]:
        # 14.6.1: marked content may not be left open, nor cut through a text object.
        self._open = True
        self._code.append(begin)
        yield
        self._code.append("EMC")
        self._open = False

    def showPage(self) -> None:
        """Close the page and give it its place in the tree."""
        super().showPage()
        page = self._doc.Pages.pages[-1]
        page.__NoDefault__ = [*page.__NoDefault__, "StructParents", "Tabs"]
        page.StructParents = len(self._pages_done)
        page.Tabs = PDFName("S")
        self._pages_done.append(self._marks)
        self._marks = []

    def save(self) -> None:
        """Write the tree, then the file."""
        if len(self._code):
            self.showPage()
        _Tree(self._doc, self._pages_done).write(self.root)
        super().save()


class _Tree:
    """The structure tree on its way into a document."""

    def __init__(self, document: PDFDocument, pages: list[list[Node]]) -> None:
        self._document = document
        self._pages = pages
        self._places: dict[int, PDFObjectReference] = {}

    def write(self, root: Node) -> None:
        """Put the tree into the document's catalog (14.7.2) and mark it as tagged (14.7.1)."""
        top, at = self._new("StructTreeRoot")
        top["K"] = self._element(root, at)
        # 14.7.4.4: from a page's content to its elements.
        parents: list[Any] = []
        for number, page in enumerate(self._pages):
            parents += [number, PDFArray([self._places[id(node)] for node in page])]
        top["ParentTree"] = PDFDictionary({"Nums": PDFArray(parents)})
        top["ParentTreeNextKey"] = len(self._pages)
        catalog = self._document.Catalog
        catalog.StructTreeRoot = at
        catalog.MarkInfo = PDFDictionary({"Marked": "true"})

    def _element(self, node: Node, parent: PDFObjectReference) -> PDFObjectReference:
        entries, here = self._new("StructElem")
        self._places[id(node)] = here
        entries["S"] = PDFName(node.role)
        entries["P"] = parent
        if node.alt:
            entries["Alt"] = PDFString(node.alt)
        if node.attributes:
            named = {name: PDFName(value) for name, value in node.attributes.items()}
            entries["A"] = PDFDictionary({"O": PDFName("Table"), **named})
        kids: list[Any] = [self._mark(*one) for one in node.drawn]
        kids += [self._element(one, here) for one in node.nodes if not one.empty]
        entries["K"] = PDFArray(kids)
        return here

    def _mark(self, page: int, number: int) -> PDFDictionary:
        """A reference to marked content (14.7.4.2)."""
        at = self._document.Reference(self._document.Pages.pages[page])
        return PDFDictionary({"Type": PDFName("MCR"), "Pg": at, "MCID": number})

    def _new(self, kind: str) -> tuple[dict[str, Any], PDFObjectReference]:
        """A new object of the document, to be filled, and the way to point at it."""
        made = PDFDictionary({"Type": PDFName(kind)})
        return made.dict, self._document.Reference(made)
