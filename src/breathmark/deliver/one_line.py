"""Text made safe for a format that thinks in lines: mail headers, calendars."""

from __future__ import annotations

import unicodedata
from typing import Final

_BREAKING: Final = frozenset({"Cc", "Cs", "Zl", "Zp"})
"""Unicode's categories of control characters, half characters, line and paragraph ends."""


def one_line(text: str) -> str:
    r"""``text`` as one line without control characters, its spaces single.

    >>> one_line("Feet\r\nBcc: somebody"), one_line("  a\u2028b ")
    ('Feet Bcc: somebody', 'a b')
    """
    shown = (" " if unicodedata.category(char) in _BREAKING else char for char in text)
    return " ".join("".join(shown).split())
