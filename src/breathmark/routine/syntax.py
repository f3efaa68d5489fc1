"""What the YAML parser stumbles over, said in plain words and at the right spot."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import Final

import yaml

from breathmark.problems import Place
from breathmark.routine.draft import Draft
from breathmark.routine.rules import Rule

_BLOCKS = ("block mapping", "block collection", "block sequence")
_QUOTE = 'Put the whole text in quotes: "…".'


@dataclass(frozen=True, kw_only=True, slots=True)
class Trouble:
    """A syntax error in plain words; ``quote`` says that quoting the value mends it."""

    rule: Rule
    message: str
    place: Place
    remedy: str = ""
    quote: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class _Said:
    """The parser's words, where it stopped, the line above, and where what it read began."""

    words: str
    mark: Place
    above: Place
    start: Place


def explain(error: yaml.MarkedYAMLError, draft: Draft) -> Trouble:
    """Translate a parser's error; the two parsers word the same error differently."""
    said = f"{error.context or ''} {error.problem or ''}"
    mark = _spot(error.problem_mark, draft)
    start = _spot(error.context_mark, draft) or mark
    if mark is None or start is None:
        return _plain(said, draft.source.place(1, 1))
    if "nesting" in said:
        return Trouble(
            rule=Rule.TOO_DEEP, message="lists and mappings go too deep here", place=mark
        )
    above = draft.source.place(max(1, mark.line - 1), 1)
    error_said = _Said(words=said, mark=mark, above=above, start=start)
    for explained in (_unclosed, _colon, _sign, _shape):
        trouble = explained(error_said)
        if trouble is not None:
            return trouble
    return _plain(error.problem or said, mark)


def _plain(said: str, place: Place) -> Trouble:
    return Trouble(
        rule=Rule.NOT_YAML,
        message=f"this cannot be read as YAML: {' '.join(said.split())}",
        place=place,
        remedy="Compare the line with its neighbours; a text in quotes can hold any sign.",
    )


def _spot(mark: yaml.Mark | None, draft: Draft) -> Place | None:
    if mark is None:
        return None
    last = len(draft.source.lines) - 1
    if mark.line > last:  # the parser counts one line more behind the last line end
        return draft.source.place(last + 1, len(draft.source.lines[last]) + 1)
    return draft.spot(mark.line, mark.column, (mark.line, mark.column + 1)).place()


def _unclosed(said: _Said) -> Trouble | None:
    if "quoted scalar" in said.words and "end of stream" in said.words:
        return Trouble(
            rule=Rule.UNCLOSED,
            message="this quote never closes",
            place=said.start,
            remedy="Close it, or leave it out; an apostrophe inside a word needs no quotes.",
        )
    if "while parsing a flow" in said.words:
        if _opens(said.start) and said.mark.line == said.start.line:
            return _text_after(said.start)
        if said.start.text[said.start.column - 1 :].startswith("[") and _BRACED.search(
            said.start.text, said.start.column
        ):
            return Trouble(
                rule=Rule.NEEDS_QUOTES,
                message="inside brackets a text with `{…}` needs quotes around it",
                place=said.start,
                remedy='Put each text in quotes, as in `["Lift your {side} foot."]`; or write each'
                " on a line of its own, behind `- `.",
            )
        opened = "list" if "sequence" in said.words else "mapping"
        sign = "]" if "sequence" in said.words else "}"
        return Trouble(
            rule=Rule.UNCLOSED,
            message=f"the {opened} that opens here goes wrong before its `{sign}`",
            place=said.start,
            remedy=f"Put a comma between its items and close it with `{sign}`.",
        )
    return None


_BRACED = re.compile(r"\{[^{}:]*\}")


def _opens(place: Place) -> bool:
    return place.text[place.column - 1 :].startswith(("{side}", "{other side}"))


def _text_after(place: Place) -> Trouble:
    return Trouble(
        rule=Rule.NEEDS_QUOTES,
        message="the text goes on behind its closing quote or bracket",
        place=place,
        remedy=_QUOTE,
        quote=True,
    )


def _colon(said: _Said) -> Trouble | None:
    if "mapping values are not allowed" in said.words:
        before = said.mark.text[: said.mark.column - 1]
        if ": " in before or re.match(r"\s*- ", before):
            return Trouble(
                rule=Rule.NEEDS_QUOTES,
                message="a text that holds a colon and a space needs quotes around it",
                place=said.mark,
                remedy=_QUOTE,
                quote=True,
            )
        return _bullet(said.above) or _indentation(
            said.mark, "this line does not fit under the line above it"
        )
    if "could not find expected ':'" in said.words:
        bullet = _bullet(said.start)
        if bullet:
            return bullet
        spaced = re.search(r"\w:\S", said.start.text)
        return Trouble(
            rule=Rule.NOT_YAML,
            message="here a key with its colon is expected, such as `kind: hold`",
            place=said.start,
            remedy="Put a space behind the colon." if spaced else "Is a colon missing?",
        )
    return None


def _bullet(place: Place) -> Trouble | None:
    """What is wrong with a line that begins with a bullet, or a hyphen without its space."""
    found = BULLET.match(place.text.lstrip())
    if not found:
        return None
    return Trouble(
        rule=Rule.INDENTATION,
        message=f"this line begins with `{found[0]}`; an item begins with a hyphen and a space",
        place=replace(place, column=len(place.text) - len(place.text.lstrip()) + 1),
        remedy="Write `- ` there.",
    )


BULLET: Final = re.compile(r"([-–—‐‑−•·▪◦●○‣](?=[^\s-])|[–—‐‑−•·▪◦●○‣*](?=\s))")
"""What people begin an item of a list with that YAML takes for a part of the text."""


def _sign(said: _Said) -> Trouble | None:
    sign = said.mark.text[said.mark.column - 1 : said.mark.column]
    if "alphabetic or numeric" in said.words and sign not in "*&":
        sign = said.mark.text[said.mark.column - 2 : said.mark.column - 1]
    if "alphabetic or numeric" in said.words:
        return _bullet(said.mark) or Trouble(
            rule=Rule.NEEDS_QUOTES,
            message=f"a text cannot begin with `{sign}` unless it stands in quotes",
            place=said.mark,
            remedy=_QUOTE,
            quote=True,
        )
    if "cannot start any token" in said.words or "node content" in said.words:
        shown = f"with `{sign}`" if sign.strip() else "like this"
        return Trouble(
            rule=Rule.NEEDS_QUOTES,
            message=f"a text cannot begin {shown} unless it stands in quotes",
            place=said.mark,
            remedy=_QUOTE,
            quote=True,
        )
    if "unknown escape character" in said.words:
        text = said.mark.text
        back = text.rfind("\\", 0, said.mark.column) + 1
        return Trouble(
            rule=Rule.NOT_YAML,
            message="this backslash means nothing inside double quotes",
            place=replace(said.mark, column=back or said.mark.column, width=2),
            remedy="Use single quotes, or write the backslash twice.",
        )
    return None


def _shape(said: _Said) -> Trouble | None:
    if "document start" in said.words:
        return Trouble(
            rule=Rule.MORE_DOCUMENTS,
            message="the file goes on behind the end of its document",
            place=said.mark,
            remedy="Take out the line `...`.",
        )
    if "entries are not allowed" in said.words:
        return Trouble(
            rule=Rule.INDENTATION,
            message="a list does not begin on the line of its key",
            place=said.mark,
            remedy="Begin each item on a line of its own, with `- ` before it.",
        )
    if any(shape in said.words for shape in _BLOCKS):
        before = said.mark.text[: said.mark.column - 1].rstrip()
        if before.endswith(("'", '"', "}", "]")):
            return _text_after(said.mark)
        bullet = _bullet(said.mark)
        return bullet or _indentation(
            said.mark, "this line starts in another column than those it belongs to"
        )
    return None


def _indentation(place: Place, message: str) -> Trouble:
    return Trouble(
        rule=Rule.INDENTATION,
        message=message,
        place=place,
        remedy="Start keys of one mapping, and the dashes of one list, in the same column; "
        "a key has a colon and a space behind it.",
    )
