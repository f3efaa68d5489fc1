"""Signs that the other end of a stream has no place for: said in plainer ones, never refused.

On Windows what goes into a file or a pipe is written in an old code page; a name or a dash
that is not in it must not end a command whose work is done.
"""

from __future__ import annotations

import codecs
import io
import sys
import unicodedata

_PLAINER = str.maketrans({
    "…": "...", "–": "-", "—": "-", "−": "-", "‐": "-", "‑": "-", "•": "*", "·": "-",
    "“": '"', "”": '"', "„": '"', "«": '"', "»": '"', "‘": "'", "’": "'", "‹": "'", "›": "'",
    "′": "'", "″": '"', "→": "->", "←": "<-", "⇒": "=>", "↑": "^", "↓": "v", "×": "x",
    "≤": "<=", "≥": ">=", "≈": "~", "±": "+-", "⁄": "/", "©": "(c)",
    "ß": "ss", "ø": "o", "æ": "ae", "œ": "oe", "ł": "l", "Ł": "L", "đ": "d", "━": "-", "─": "-",
})  # fmt: skip

_HANDLER = "breathmark.plainer"


def never_refuse() -> None:
    """Let standard output and error take every sign there is."""
    codecs.register_error(_HANDLER, _plainer)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors=_HANDLER)


def plainer(text: str) -> str:
    """The text in ASCII, as near to it as can be.

    >>> plainer("“Hüften” – 5 ≤ 7½ 膝")
    '"Huften" - 5 <= 7 1/2 ?'
    """
    apart = "".join(f" {char}" if _is_fraction(char) else char for char in text)
    known = unicodedata.normalize("NFKD", apart.translate(_PLAINER)).translate(_PLAINER)
    kept = (char for char in known if not unicodedata.combining(char))
    return "".join(char if char.isascii() else "?" for char in kept)


def _is_fraction(char: str) -> bool:
    return unicodedata.decomposition(char).startswith("<fraction>")


def _plainer(error: UnicodeError) -> tuple[str | bytes, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return plainer(error.object[error.start : error.end]), error.end
