"""The handout's page for whoever helps: where to stand, what to watch for, when to stop.

The general lines are common practice in guarding a person who stands or walks.
"""

from __future__ import annotations

from collections.abc import Iterator

from reportlab.platypus import Flowable, KeepTogether, PageBreak

from breathmark.deliver import paper_look as look
from breathmark.deliver.handout_exercises import first_side, run_in
from breathmark.deliver.handout_sheet import Sheet, body_style
from breathmark.deliver.paper_parts import paragraph, write_in
from breathmark.routine.model import Sides
from breathmark.script.coaching import with_sides

PARTS = {
    "where": ("close", "weaker", "hands", "room"),
    "watch": ("face", "breath", "sway", "mind"),
    "stop": ("pause", "fall", "emergency"),
}
"""The general lines under their labels."""


def helper_part(sheet: Sheet) -> Iterator[Flowable]:
    """A page of its own, which can be given to the helper alone."""
    yield PageBreak()
    node, head = sheet.section(sheet.say("paper helper"))
    yield head
    yield paragraph(node, sheet.say("paper helper thanks"), body_style())
    for label, keys in PARTS.items():
        lines = [sheet.say(f"paper helper {key}") for key in keys]
        parts = sheet.listed(node, sheet.say(f"paper helper {label}"), lines)
        if label == "stop":  # the page may be all that is at hand
            parts.append(write_in(node, sheet.say("paper emergency"), sheet.page.inner, after=4))
        yield KeepTogether(parts)
    with_words = [one for one in sheet.prescribed.routine.exercises if one.helper]
    for index, exercise in enumerate(with_words):
        side = first_side(sheet, exercise)
        lines = [with_sides(text, side, sheet.words) for text in exercise.helper]
        if exercise.sides is Sides.EACH and any("side}" in text for text in exercise.helper):
            lines.append(sheet.say("paper helper change"))
        large = look.style(look.LARGE, bold=True, before=12, with_next=True)
        parts = [paragraph(node, sheet.say("paper helper each"), large, role="H2")]
        # The name stands in the line, so that some exercises still go on the same page.
        told = run_in(node, sheet.say("paper label", name=exercise.name), " ".join(lines))
        yield KeepTogether([*(parts if index == 0 else []), told])
