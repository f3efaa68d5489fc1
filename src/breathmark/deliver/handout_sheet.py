"""What every part of the handout needs at hand, and the styles they share."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable

from breathmark.deliver import paper_look as look
from breathmark.deliver.paper_parts import BADGE, bullets, heading, paragraph
from breathmark.deliver.paper_tags import Node
from breathmark.deliver.pictures import Picture
from breathmark.deliver.record import Prescribed
from breathmark.script.words import Words

INDENT = 20.0
"""How far a list stands in, in points."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Sheet:
    """The handout being written: of what, in which words, on which paper."""

    prescribed: Prescribed
    words: Words
    page: look.Page
    root: Node
    pictures: Mapping[str, Picture]

    def say(self, key: str, *, n: int | None = None, **fields: str) -> str:
        """The words of the language for a key."""
        return self.words.say(key, n=n, **fields)

    def section(self, text: str) -> tuple[Node, Flowable]:
        """A new section with its heading."""
        node = self.root.add("Sect")
        return node, heading(node, text, 1, section_style())

    def listed(self, parent: Node, label: str, lines: Iterable[str]) -> list[Flowable]:
        """A label with a list under it; nothing where there are no lines."""
        items = list(lines)
        if not items:
            return []
        return [
            paragraph(parent, label, label_style(), role="H3"),
            *bullets(parent, items, list_style()),
        ]


def title_style() -> ParagraphStyle:
    """The title of the handout."""
    return look.style(look.TITLE, bold=True, leading=look.TITLE * 1.2, after=8)


def section_style(after: float = 8) -> ParagraphStyle:
    """The heading of a section, and the space below it."""
    return look.style(
        look.SECTION, bold=True, colour=look.DEEP, before=20, after=after, with_next=True,
        leading=look.SECTION * 1.25,
    )  # fmt: skip


def name_style(before: float) -> ParagraphStyle:
    """The name of an exercise, with room for its number, and for what stands before it."""
    return look.style(
        look.SECTION, bold=True, before=before, after=10, indent=BADGE + 12, with_next=True,
        leading=look.SECTION * 1.25,
    )  # fmt: skip


def label_style() -> ParagraphStyle:
    """A label over a few lines."""
    return look.style(look.BODY, bold=True, before=6, after=1, with_next=True)


def body_style() -> ParagraphStyle:
    """Running text."""
    return look.style(look.BODY, after=6)


def list_style() -> ParagraphStyle:
    """A line of a list."""
    return look.style(look.BODY, after=2, indent=INDENT)
