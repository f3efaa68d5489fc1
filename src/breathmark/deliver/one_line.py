"""Text made safe for a format that thinks in lines: mail headers, calendars."""

from __future__ import annotations

import re
import unicodedata
from typing import Final

_BREAKING: Final = frozenset({"Cc", "Cs", "Zl", "Zp", "Zs"})
"""Unicode's categories of control characters, half characters, line and paragraph ends, spaces."""

_NO_BREAK: Final = "\u00a0\u202f"


def one_line(text: str) -> str:
    r"""``text`` as one line without control characters, its spaces single.

    A space that must not end a line stays as it is.

    >>> one_line("Feet\r\nBcc: somebody"), one_line("  a\u2028b ")
    ('Feet Bcc: somebody', 'a b')
    """
    shown = (char if char in _NO_BREAK or not _parts(char) else " " for char in text)
    return re.sub(" +", " ", "".join(shown)).strip()


def _parts(char: str) -> bool:
    return unicodedata.category(char) in _BREAKING
