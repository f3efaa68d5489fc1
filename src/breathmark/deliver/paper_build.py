"""From the parts of a paper to the bytes of its PDF: pages, footers, metadata, tags."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, PageTemplate

from breathmark import __version__
from breathmark.deliver import fonts
from breathmark.deliver import paper_look as look
from breathmark.deliver.paper_tags import Node, TaggedCanvas

Story = Callable[[Node], Sequence[Flowable]]
"""Makes a paper's parts under its document's node."""

Footer = Callable[[int, int], tuple[str, str]]
"""What stands left and right at the foot of a page, for its number and how many there are."""


def built(
    story: Story,
    footer: Footer,
    page: look.Page,
    *,
    title: str,
    language: str,
    foot_size: float = look.SMALL,
) -> bytes:
    """The PDF, the same bytes for the same parts; ``language`` is a BCP 47 tag.

    It is laid out twice, as the footer of the first page names the last one.
    """
    fonts.register_fonts()
    paper = _Paper(story, footer, page, title, language, foot_size)
    _, pages = paper.laid_out(pages=1)
    data, _ = paper.laid_out(pages=pages)
    return data


class _Paper:
    def __init__(
        self,
        story: Story,
        footer: Footer,
        page: look.Page,
        title: str,
        language: str,
        foot_size: float,
    ) -> None:
        self._story = story
        self._footer = footer
        self._page = page
        self._title = fonts.printable(title)
        self._language = language
        self._foot_size = foot_size

    def laid_out(self, *, pages: int) -> tuple[bytes, int]:
        """The PDF with footers for so many pages, and how many there turned out to be."""
        root = Node("Document")
        sheet, out = self._page, io.BytesIO()

        def canvas(*args: Any, **kwargs: Any) -> TaggedCanvas:
            made = TaggedCanvas(*args, **kwargs)
            made.root = root
            return made

        def foot(on: TaggedCanvas, _document: BaseDocTemplate) -> None:
            self._draw_foot(on, pages)

        frame = Frame(
            sheet.margin, sheet.foot, sheet.inner, sheet.tall,
            leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0,
        )  # fmt: skip
        document = BaseDocTemplate(
            out,
            pagesize=(sheet.width, sheet.height),
            pageTemplates=[PageTemplate(id="page", frames=[frame], onPageEnd=foot)],
            title=self._title,
            author="Breathmark",
            subject="",
            creator=f"Breathmark {__version__}",
            lang=self._language,
            displayDocTitle=1,
            initialFontName=fonts.REGULAR,
            invariant=1,
        )
        document.build(list(self._story(root)), canvasmaker=canvas)
        return out.getvalue(), document.page

    def _draw_foot(self, canvas: TaggedCanvas, pages: int) -> None:
        sheet, size = self._page, self._foot_size
        left, right = self._footer(canvas.getPageNumber(), pages)
        with canvas.artifact():
            canvas.saveState()
            canvas.setStrokeColor(HexColor(look.RULE))
            canvas.setLineWidth(0.6)
            y = sheet.foot - 18
            canvas.line(sheet.margin, y, sheet.width - sheet.margin, y)
            canvas.setFillColor(HexColor(look.INK))
            canvas.setFont(fonts.REGULAR, size)
            canvas.drawRightString(sheet.width - sheet.margin, y - size - 4, right)
            room = sheet.inner - fonts.width_of(right, size) - 24
            canvas.drawString(sheet.margin, y - size - 4, shortened(left, size, room))
            canvas.restoreState()


def shortened(text: str, size: float, width: float) -> str:
    """A text cut to a width, with an ellipsis where it was cut."""
    text = fonts.printable(text)
    if fonts.width_of(text, size) <= width:
        return text
    while text and fonts.width_of(f"{text}…", size) > width:
        text = text[:-1].rstrip(" ,;-")
    return f"{text}…"
