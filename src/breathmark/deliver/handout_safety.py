"""The handout's safety part: the cautions in full, when to stop, whom to call.

Sources: signs to stop at, and pain that settles within 24 hours, from published guidance
for exercise at home; counter in front, chair behind, shoes on, eyes open and no
headphones for balance, and rising slowly, are common practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from reportlab.lib.colors import HexColor
from reportlab.platypus import Flowable, KeepTogether

from breathmark.deliver import paper_look as look
from breathmark.deliver.handout_sheet import Sheet, list_style
from breathmark.deliver.paper_parts import bullets, grid, heading, paragraph, write_in
from breathmark.routine.model import Position
from breathmark.script.blocks import BALANCE_TAGS, pain_rule

SIGNS = ("chest", "breath", "sweat", "dizzy", "weak", "joint")
"""The signs to stop at, in this order."""

_LEFT_EDGE, _RIGHT_EDGE = 22.0, 14.0
_EDGES = _LEFT_EDGE + _RIGHT_EDGE

_LOW = frozenset(
    {
        Position.SUPINE,
        Position.PRONE,
        Position.SIDE_LYING,
        Position.KNEELING,
        Position.HANDS_AND_KNEES,
    }
)


def safety_part(sheet: Sheet) -> Iterator[Flowable]:
    """The cautions and the box that says when to stop; the box is never broken."""
    node, head = sheet.section(sheet.say("paper safety"))
    routine, words = sheet.prescribed.routine, sheet.words
    lines = (words.say("clinician first"), pain_rule(routine, words), *routine.cautions)
    yield KeepTogether([head, *bullets(node, lines, list_style())])
    everything = (*routine.exercises, *routine.dropped)
    if any(BALANCE_TAGS.intersection(one.involves) for one in everything):
        keys = ("support", "shoes", "ears")
        held = [words.say("balance rule"), *(sheet.say(f"paper balance {key}") for key in keys)]
        yield KeepTogether(sheet.listed(node, sheet.say("paper balance"), held))
    if any(one.position in _LOW for one in everything):
        yield KeepTogether(
            sheet.listed(node, sheet.say("paper rise"), [sheet.say("paper rise first")])
        )
    yield KeepTogether(list(_stop(sheet)))


def _stop(sheet: Sheet) -> Iterator[Flowable]:
    node = sheet.root.add("Sect")
    style = look.style(look.SECTION, bold=True, leading=look.SECTION * 1.25, after=4)
    line = sheet.page.inner - _EDGES
    rows = [
        heading(node, sheet.say("paper stop"), 1, style),
        paragraph(node, sheet.say("paper stop if"), look.style(look.LARGE, bold=True, after=3)),
        *bullets(node, (sheet.say(f"paper stop {key}") for key in SIGNS), list_style()),
        paragraph(node, sheet.say("paper stop help"), look.style(look.BODY, bold=True)),
        write_in(node, sheet.say("paper emergency"), line, after=10),
        paragraph(node, sheet.say("paper stop later"), look.style(look.BODY, before=5)),
        write_in(node, sheet.say("paper clinician"), line),
    ]
    yield boxed(rows, sheet.page.inner)


def boxed(rows: list[Flowable], width: float) -> Flowable:
    """Parts in a frame with a heavy left edge, which no one can overlook."""
    last = len(rows) - 1
    deep = HexColor(look.DEEP)
    commands = [
        ("BOX", (0, 0), (0, -1), 1.5, deep),
        ("LINEBEFORE", (0, 0), (0, -1), 9, deep),
        ("LEFTPADDING", (0, 0), (0, -1), _LEFT_EDGE),
        ("RIGHTPADDING", (0, 0), (0, -1), _RIGHT_EDGE),
        ("BOTTOMPADDING", (0, 0), (0, -1), 4),
        ("TOPPADDING", (0, 0), (0, 0), 12),
        ("BOTTOMPADDING", (0, last), (0, last), 14),
    ]
    made = grid([[row] for row in rows], [width], commands)
    made.spaceBefore, made.spaceAfter = 18, 6
    return made
