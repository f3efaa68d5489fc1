"""A lexicon as a Pronunciation Lexicon (W3C PLS 1.0, Recommendation of 14 October 2008).

A reading, and words of which one must follow, are written as roles (section 4.4 of the
Recommendation) in a namespace of ours: ``say:verb``, ``say:before-your``.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from xml.sax.saxutils import escape, quoteattr

import yaml

from breathmark.speech.lexicon import Entry, Lexicon

NAMESPACE = "http://www.w3.org/2005/01/pronunciation-lexicon"
"""The namespace of PLS (section 4.1)."""

ROLES = "breathmark:lexicon:roles"
"""The namespace of our roles."""

BEFORE = "before-"
"""What a role begins with that names a word which must follow."""

_HEAD = "# Imported from a Pronunciation Lexicon (PLS).\n\n"


def to_pls(lexicon: Lexicon, language: str) -> str:
    """The lexicon as the text of a PLS document; ``language`` is a BCP 47 tag.

    Sounds become ``phoneme`` and spellings ``alias`` elements; the sound is the one that
    is preferred, because it comes first (section 4.9).
    """
    lexemes = "".join(line for entry in lexicon.entries for line in _lexeme(entry))
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<lexicon version="1.0" xmlns="{NAMESPACE}" xmlns:say="{ROLES}"\n'
        f'         alphabet="ipa" xml:lang={quoteattr(language)}>\n{lexemes}</lexicon>\n'
    )


def to_yaml(lexicon: Lexicon) -> str:
    """The lexicon as the text of a lexicon file, one word a line where it fits."""
    return _HEAD + "".join(
        yaml.safe_dump(
            {entry.key: _fields(entry)},
            allow_unicode=True,
            default_flow_style=None,
            sort_keys=False,
            width=10_000,
        )
        for entry in lexicon.entries
    )


def as_role(words: str) -> str:
    """Words as one XML name: blanks as ``_``, signs that no name may hold by their code.

    >>> as_role("and open"), as_role("don't")
    ('and_open', 'don_x0027_t')
    """
    return re.sub(
        r"[^\w.-]|_",
        lambda sign: "_" if sign[0] == " " else f"_x{ord(sign[0]):04X}_",
        words,
    )


def from_role(name: str) -> str:
    """The words that :func:`as_role` made a name of."""
    return re.sub(
        r"_x([0-9A-F]{4,6})_|_", lambda code: chr(int(code[1], 16)) if code[1] else " ", name
    )


def _lexeme(entry: Entry) -> Iterator[str]:
    names = [*([entry.role] if entry.role else []), *(BEFORE + word for word in entry.before)]
    roles = " ".join(f"say:{as_role(name)}" for name in names)
    yield f"  <lexeme role={quoteattr(roles)}>\n" if roles else "  <lexeme>\n"
    yield f"    <grapheme>{escape(entry.words)}</grapheme>\n"
    if entry.sound:
        yield f"    <phoneme>{escape(entry.sound)}</phoneme>\n"
    if entry.spelling:
        yield f"    <alias>{escape(entry.spelling)}</alias>\n"
    yield "  </lexeme>\n"


def _fields(entry: Entry) -> dict[str, str | list[str]]:
    fields: dict[str, str | list[str]] = {}
    if entry.sound:
        fields["sound"] = entry.sound
    if entry.spelling:
        fields["spelling"] = entry.spelling
    if entry.before:
        fields["before"] = list(entry.before)
    return fields
