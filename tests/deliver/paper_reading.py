"""Papers read back with readers that are not ours: pdfplumber (pdfminer) and pypdf."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pdfplumber
from pypdf import PdfReader
from pypdf.generic import ArrayObject, IndirectObject

from breathmark.deliver.plan_look import contrast


@dataclass(frozen=True, kw_only=True, slots=True)
class Letter:
    """One letter on a page; ``top`` and ``bottom`` are points from the upper edge."""

    text: str
    page: int
    size: float
    font: str
    colour: str
    ground: str
    left: float
    right: float
    top: float
    bottom: float
    tag: str
    mcid: int | None


def letters(pdf: bytes) -> list[Letter]:
    """Every letter of a paper, spaces left out, with what is painted behind it."""
    with pdfplumber.open(io.BytesIO(pdf)) as read:
        return [
            Letter(
                text=char["text"],
                page=number,
                size=round(char["size"], 2),
                font=char["fontname"],
                colour=_hex(char["non_stroking_color"]),
                ground=_ground(page, char),
                left=char["x0"],
                right=char["x1"],
                top=char["top"],
                bottom=char["bottom"],
                tag=char["tag"],
                mcid=char["mcid"],
            )
            for number, page in enumerate(read.pages)
            for char in page.chars
            if char["text"].strip()
        ]


def contrasts(pdf: bytes) -> set[float]:
    """The contrast of every pair of colours in which a letter is set."""
    pairs = {(one.colour, one.ground) for one in letters(pdf)}
    return {contrast(*pair) for pair in pairs}


def lines(pdf: bytes) -> list[list[str]]:
    """The lines of text on each page, top to bottom."""
    with pdfplumber.open(io.BytesIO(pdf)) as read:
        return [page.extract_text(x_tolerance=1.5).split("\n") for page in read.pages]


def text_of(pdf: bytes) -> str:
    """All text on one line, as the second reader takes it in; hyphens and spaces single."""
    pages = PdfReader(io.BytesIO(pdf)).pages
    return " ".join(" ".join(page.extract_text().split()) for page in pages)


def overlapping(pdf: bytes) -> list[tuple[str, str]]:
    """Pairs of words on a page that lie over one another."""
    found = []
    with pdfplumber.open(io.BytesIO(pdf)) as read:
        for page in read.pages:
            words = page.extract_words(x_tolerance=1.5)
            found += [
                (one["text"], other["text"])
                for index, one in enumerate(words)
                for other in words[index + 1 :]
                if _over(one, other)
            ]
    return found


def _over(one: dict[str, Any], other: dict[str, Any]) -> bool:
    # Letters fill less than their box: 3 points of it are air above and below.
    across = min(one["x1"], other["x1"]) - max(one["x0"], other["x0"])
    down = min(one["bottom"], other["bottom"]) - max(one["top"], other["top"])
    return bool(across > 0.5 and down > 3)


def _hex(colour: Any) -> str:
    parts = colour if isinstance(colour, tuple | list) else (colour,)
    if len(parts) == 1:
        parts = parts * 3
    return "#" + "".join(f"{round(part * 255):02X}" for part in parts)


def _ground(page: Any, char: dict[str, Any]) -> str:
    """The colour behind a letter: the last filled shape around its middle, else the paper."""
    x, y = (char["x0"] + char["x1"]) / 2, (char["top"] + char["bottom"]) / 2
    ground = "#FFFFFF"
    for shape in (*page.rects, *page.curves):
        inside = shape["x0"] <= x <= shape["x1"] and shape["top"] <= y <= shape["bottom"]
        if inside and shape["fill"]:
            ground = _hex(shape["non_stroking_color"])
    return ground


def fonts_unembedded(pdf: bytes) -> set[str]:
    """The names of fonts whose file is not inside, over all pages."""
    found = set()
    for page in PdfReader(io.BytesIO(pdf)).pages:
        for font in page["/Resources"]["/Font"].values():  # type: ignore[index]
            described = font.get_object().get("/FontDescriptor")
            if described is None or "/FontFile2" not in described.get_object():
                found.add(str(font.get_object()["/BaseFont"]))
    return found


@dataclass(frozen=True, kw_only=True, slots=True)
class Element:
    """An element of the structure: its role, what of it stands where, its parts.

    ``marks`` are page numbers from 0 and numbers of marked content, in reading order,
    with those of the parts.
    """

    role: str
    alt: str
    own: tuple[tuple[int, int], ...]
    parts: tuple[Element, ...]

    def all(self) -> Iterator[Element]:
        """This element and everything in it, in reading order."""
        yield self
        for part in self.parts:
            yield from part.all()

    @property
    def marks(self) -> list[tuple[int, int]]:
        """All that is marked in it, in reading order."""
        return [mark for one in self.all() for mark in one.own]

    @property
    def pages(self) -> set[int]:
        """The pages it stands on."""
        return {page for page, _ in self.marks}

    def having(self, role: str) -> list[Element]:
        """The elements in it that have a part of their own with a role."""
        return [one for one in self.all() if any(part.role == role for part in one.parts)]


def structure(pdf: bytes) -> Element:
    """The tree of a tagged paper."""
    reader = PdfReader(io.BytesIO(pdf))
    pages = {page.indirect_reference.idnum: n for n, page in enumerate(reader.pages)}  # type: ignore[union-attr]
    root = reader.trailer["/Root"]["/StructTreeRoot"]["/K"]  # type: ignore[index]
    return _element(root.get_object(), pages)


def _element(node: Any, pages: dict[int, int]) -> Element:
    own, parts = [], []
    kids = node["/K"].get_object()
    for kid in kids if isinstance(kids, ArrayObject) else [kids]:
        made = kid.get_object()
        if made["/Type"] == "/MCR":
            at = made.raw_get("/Pg")
            if not isinstance(at, IndirectObject):
                raise TypeError("a page is referred to")
            own.append((pages[at.idnum], int(made["/MCID"])))
        else:
            parts.append(_element(made, pages))
    return Element(
        role=str(node["/S"])[1:],
        alt=str(node.get("/Alt", "")),
        own=tuple(own),
        parts=tuple(parts),
    )


def outline(pdf: bytes) -> list[str]:
    """The titles of the outline, in order."""

    def titles(entries: list[Any]) -> Iterator[str]:
        for entry in entries:
            if isinstance(entry, list):
                yield from titles(entry)
            else:
                yield entry.title

    return list(titles(PdfReader(io.BytesIO(pdf)).outline))
