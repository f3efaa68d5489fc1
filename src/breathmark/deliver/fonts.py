"""The typefaces of everything printed or drawn, and which letters they have.

Atkinson Hyperlegible was drawn for readers with low vision: letters that are easily
mistaken for one another are made to differ.  Letters that it lacks (Greek, Cyrillic,
Vietnamese, rarer Latin ones) come from Noto Sans.  Both are open fonts (SIL OFL 1.1) that
come in packages of their own.  What neither has, such as Arabic, Hebrew or Chinese,
cannot be printed here: :func:`letters_missing` says so.
"""

from __future__ import annotations

import functools
import html
import itertools
from collections.abc import Iterable
from importlib.resources import files
from pathlib import Path

from breathmark.deliver.plan_heard import clean
from breathmark.deliver.typeset import bound

FAMILY = "Atkinson Hyperlegible"
"""The family's name, as a style sheet asks for it."""

REGULAR, BOLD, OTHER = "Breathmark-Regular", "Breathmark-Bold", "Breathmark-Other"
"""The names by which the PDF library knows the faces; ``OTHER`` has the rarer letters."""

_FACES = {
    REGULAR: ("fontpkg_atkinson_hyperlegible", "AtkinsonHyperlegible-Regular.ttf"),
    BOLD: ("fontpkg_atkinson_hyperlegible", "AtkinsonHyperlegible-Bold.ttf"),
    OTHER: ("fontpkg_noto_sans", "NotoSans[wdth,wght].ttf"),
}


_BOLD_OTHER = 1.12
"""The bold of the rarer letters is drawn from the same file, up to this much wider."""


def font_files() -> tuple[Path, ...]:
    """The files of the faces: regular, bold, and the one with the rarer letters."""
    return tuple(font_file(face) for face in _FACES)


def font_file(face: str) -> Path:
    """The file of one face: ``REGULAR``, ``BOLD`` or ``OTHER``."""
    package, name = _FACES[face]
    return Path(str(files(package) / "files" / name))


def register_fonts() -> None:
    """Make the faces known to the PDF library; a second time does nothing."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    known = set(pdfmetrics.getRegisteredFontNames())
    for face in _FACES:
        if face not in known:
            pdfmetrics.registerFont(TTFont(face, font_file(face)))


@functools.cache
def _letters(face: str) -> frozenset[int]:
    """The code points that a face has."""
    from reportlab.pdfbase import pdfmetrics

    register_fonts()
    return frozenset(pdfmetrics.getFont(face).face.charToGlyph)


def width_of(text: str, size: float, *, bold: bool = False) -> float:
    """How wide a text is when set, in the unit of ``size``: never less, with rarer letters."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    register_fonts()
    own = BOLD if bold else REGULAR
    runs = _runs(printable(text))
    wider = _BOLD_OTHER if bold else 1.0
    return float(
        sum(
            stringWidth(run, OTHER, size) * wider if other else stringWidth(run, own, size)
            for other, run in runs
        )
    )


def printable(text: str) -> str:
    r"""The text as it can be set on one line: no control characters, no joiners.

    >>> printable("Heel\traises\u200d")
    'Heel raises'
    """
    return bound(clean(text)).replace("\u200c", "").replace("\u200d", "")


def markup(text: str) -> str:
    """The text for a paragraph of the PDF library: escaped, words with rarer letters marked.

    A word is set in one face, so that its letters go together.

    >>> markup("Füße & Knie"), markup("Κάθισε ίσια")
    ('Füße &amp; Knie', '<font name="Breathmark-Other">Κάθισε ίσια</font>')
    """
    return "".join(
        f'<font name="{OTHER}">{html.escape(run)}</font>' if other else html.escape(run)
        for other, run in _runs(printable(text))
    )


def _runs(text: str) -> Iterable[tuple[bool, str]]:
    """The text in runs of words, each with whether it needs the face with the rarer letters."""
    words = [(_needs_other(word), word) for word in text.split(" ")]
    runs = [
        (other, " ".join(word for _, word in group))
        for other, group in itertools.groupby(words, key=lambda pair: pair[0])
    ]
    for index, (other, run) in enumerate(runs):
        last = index == len(runs) - 1
        yield other, run if last else f"{run} "


def _needs_other(word: str) -> bool:
    own, other = _letters(REGULAR), _letters(OTHER)
    lacking = [ord(char) for char in word if ord(char) not in own]
    # Only where the other face does better: a box stays a box.
    return bool(lacking) and any(code in other for code in lacking)


def letters_missing(texts: Iterable[str]) -> str:
    """The characters of the texts that no face has, each once, in order; usually none.

    >>> letters_missing(["Füße", "Łokieć", "Γόνατο", "膝"])
    '膝'
    """
    known = _letters(REGULAR) | _letters(OTHER)
    found = (char for text in texts for char in printable(text) if ord(char) not in known)
    return "".join(dict.fromkeys(found))
