"""The words of a routine: lines, cues, and the sides named inside them."""

from __future__ import annotations

import re
from dataclasses import replace

from breathmark.problems import did_you_mean
from breathmark.routine.model import Cue, When
from breathmark.routine.nodes import Fields, Style, Text
from breathmark.routine.reader import MOST_LINE, Reader, Value, short
from breathmark.routine.rules import Rule

SIDE_WORDS = ("{side}", "{other side}")
"""What may stand in braces; the words of the language take its place."""

NO_SIDE_IN_ROUTINE = "it is said for no exercise in particular"
"""Why the opening, the closing and the cautions name no side."""

_BRACED = re.compile(r"\{[^{}]*\}|[{}]")
_ROWS_END = re.compile(r"\n\s*\n")


def read_lines(reader: Reader, value: Value | None, *, no_side: str = "") -> tuple[str, ...]:
    """A line, or a list of lines; a blank line inside a text begins another.

    ``no_side`` says why `{side}` means nothing here; empty where it does.
    """
    lines: list[str] = []
    for item in reader.items(value):
        if not isinstance(item.node, Text):
            reader.wrong_type(item, "a text")
            continue
        check_braces(reader, item, no_side)
        found = [" ".join(part.split()) for part in _parts(item.node)]
        found = [line for line in found if line]
        if not found:
            reader.wrong(item, Rule.EMPTY_VALUE, "there is nothing here")
        for line in found:
            reader.check_length(item, line, MOST_LINE)
            check_sound(reader, item, line)
        lines += found
    return tuple(lines)


def read_line(
    reader: Reader, value: Value | None, *, no_side: str = "", printed: bool = False
) -> str:
    """One line, on one line whatever its line ends; empty when there is none.

    ``printed`` says that it is printed and not said.
    """
    if value is not None:
        check_braces(reader, value, no_side)
    line = reader.text(value)
    if value is not None and line:
        check_sound(reader, value, line, "read" if printed else "said")
    return line


def read_cues(reader: Reader, value: Value | None, *, no_side: str = "") -> tuple[Cue, ...]:
    """Cues, most important first: lines, or mappings of `say` and `when`."""
    cues = (_cue(reader, item, no_side) for item in reader.items(value))
    return tuple(cue for cue in cues if cue.say)


def check_braces(reader: Reader, value: Value, no_side: str) -> None:
    """Report braces that hold no word of ours, or a side where no side can be named."""
    node = value.node
    if not isinstance(node, Text):
        return
    for match in _BRACED.finditer(node.value):
        word = match.group()
        if word in SIDE_WORDS and not no_side:
            continue
        spot = node.spot_at(match.start())
        rest = len(spot.source.lines[spot.line - 1]) - spot.column + 1
        place = replace(spot, width=max(1, min(len(word), rest))).place(value.path)
        if word in SIDE_WORDS:
            message = f"`{word}` means nothing here: {no_side}"
            reader.report.add(Rule.NO_SIDE_HERE, message, place)
        elif len(word) == 1:
            message = f"this `{word}` stands alone"
            remedy = "A brace opens and closes around `side` or `other side`."
            reader.report.add(Rule.PLACEHOLDER, message, place, remedy)
        else:
            message = f"`{short(word)}` is not something that can be filled in"
            remedy = did_you_mean(word[:40], SIDE_WORDS)
            reader.report.add(Rule.PLACEHOLDER, message, place, remedy)


def check_sound(reader: Reader, value: Value, line: str, how: str = "said") -> None:
    """Report a text without a letter or a digit, of which nothing can be ``how``."""
    if not any(map(str.isalnum, line)):
        message = f"nothing in `{short(line)}` can be {how}"
        reader.wrong(value, Rule.NOTHING_SAID, message, "Write it in words, or take it out.")


def _parts(node: Text) -> list[str]:
    if node.style is Style.ROWS:
        return _ROWS_END.split(node.value)
    return node.value.split("\n")


def _cue(reader: Reader, item: Value, no_side: str) -> Cue:
    if not isinstance(item.node, Fields) or not {"say", "when"} & set(item.node.entries):
        return Cue(say=read_line(reader, item, no_side=no_side))
    section = reader.section(item, "a cue", valid=("say", "when"), required=("say",))
    if section is None:
        return Cue(say="")
    say = read_line(reader, section.get("say"), no_side=no_side)
    return Cue(say=say, when=reader.choice(section.get("when"), When) or When.FADING)
