"""Spaces at which no line may break, put where an author has typed plain ones.

French sets a space before ``: ; ! ?`` and inside guillemets, and a number keeps its unit.
All are U+00A0: the narrow U+202F is in few typefaces, and old players show a box for it.
"""

from __future__ import annotations

import re

_BEFORE = re.compile(r"(?<=\S) (?=[:;!?»%])|(?<=«) (?=\S)")
_UNIT = re.compile(r"(?<=\d) (?=(?:s|min|h|mm|cm|m|km|g|kg|ml|l|°C?|[x×])(?!\w))")


def bound(text: str) -> str:
    r"""``text`` with no-break spaces (U+00A0) in place of those that must not end a line.

    >>> bound("Tenez 30 s : c'est « doux » !")
    "Tenez 30\xa0s\xa0: c'est «\xa0doux\xa0»\xa0!"
    """
    return _UNIT.sub("\u00a0", _BEFORE.sub("\u00a0", text))
