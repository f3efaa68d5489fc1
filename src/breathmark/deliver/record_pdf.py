"""``record.pdf``: one page that a clinician files, with a place to sign.

It says what ``record.json`` says, in the order in which a colleague would ask: what was
prescribed, how it was made to suit this patient, what was remarked, what it comes to,
and what it was made from.  It is in English, like everything that clinicians read here.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from breathmark.deliver.record import Prescribed

if TYPE_CHECKING:
    from reportlab.platypus import Flowable

    from breathmark.deliver.paper_tags import Node

RECORD_PDF_NAME = "record.pdf"

_MARGIN, _FOOT = 34.0, 36.0
"""Of the page, in points: half an inch and a little more, which every printer reaches."""


def record_pdf(
    prescribed: Prescribed,
    *,
    files: Mapping[str, Mapping[str, Any]] | None = None,
    checks: Sequence[Mapping[str, Any]] = (),
    paper: str = "a4",
) -> bytes:
    """The record as PDF: one page where the routine is of a usual length, else more.

    ``files`` and ``checks`` are those of
    :func:`~breathmark.deliver.record.record_text`; ``paper`` is ``a4`` or ``letter``.
    The greeting is not in it, as it may hold a name.
    """
    from reportlab.platypus import KeepTogether

    from breathmark.deliver.paper_build import built
    from breathmark.deliver.paper_look import PAPERS, Page
    from breathmark.deliver.record_pdf_filed import made_from, signed
    from breathmark.deliver.record_pdf_frames import frames
    from breathmark.deliver.record_pdf_parts import changes, doses, exercises, findings, head
    from breathmark.deliver.record_pdf_sheet import FACT, RecordSheet

    width, height = PAPERS[paper]
    page = Page(width=width, height=height, margin=_MARGIN, foot=_FOOT)

    def story(root: Node) -> Sequence[Flowable]:
        sheet = RecordSheet(prescribed=prescribed, page=page, root=root)
        parts = [head, frames, exercises, changes, findings, doses]
        whole = [flowable for part in parts for flowable in part(sheet)]
        # Nobody signs a page on which there is nothing but the place to sign.
        last = KeepTogether([*made_from(sheet, files or {}, checks), *signed(sheet)])
        return [*whole, last]

    def footer(number: int, pages: int) -> tuple[str, str]:
        label = prescribed.patient.label if prescribed.patient else ""
        left = f"{label} · {prescribed.routine.title}" if label else prescribed.routine.title
        return left, f"Page {number} of {pages}"

    title = f"Record: {prescribed.routine.title}"
    return built(story, footer, page, title=title, language="en", foot_size=FACT)
