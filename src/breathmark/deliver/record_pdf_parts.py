"""The record's parts: its head, the exercises, the changes, the findings, the dose."""

from __future__ import annotations

from collections.abc import Iterator

from reportlab.platypus import Flowable

from breathmark.deliver import paper_look as look
from breathmark.deliver.paper_parts import bullets, heading, paragraph
from breathmark.deliver.record_pdf_sheet import RecordSheet, fact_style, item_style
from breathmark.dose.guidance import Verdict, compared
from breathmark.dose.totals import Amounts, TargetDose
from breathmark.problems import Severity
from breathmark.routine.model import Side
from breathmark.script.dose_words import dose_text
from breathmark.units import clock_text, duration_text, milliseconds

_AMOUNTS = {
    "stretch_ms": "stretch",
    "contraction_ms": "contraction",
    "balance_ms": "balance",
    "work_ms": "work",
}


def head(sheet: RecordSheet) -> Iterator[Flowable]:
    """What this is, for whom, in which week."""
    prescribed = sheet.prescribed
    routine, session, patient = prescribed.routine, prescribed.session, prescribed.patient
    top = sheet.root.add("Sect")
    yield sheet.fact(top, "Record of a home session, as prescribed and recorded", bold=True)
    style = look.style(17, bold=True, leading=20, after=2)
    yield heading(top, routine.title, 1, style)
    length = clock_text(milliseconds(session.length, session.rate_hz))
    who = "For one patient" if patient else "For everybody (no patient file)"
    who = f"Patient {patient.label}" if patient and patient.label else who
    facts = (who, f"week {prescribed.week}", length, f"voice {session.voice}", session.language)
    heard = (session.hearing.words, session.background.words)
    yield paragraph(top, "  ·  ".join(filter(None, (*facts, *heard))), fact_style(bold=True))


def exercises(sheet: RecordSheet) -> Iterator[Flowable]:
    """Every exercise with its dose, in order."""
    prescribed = sheet.prescribed
    node, title = sheet.section("Exercises")
    rate_hz = prescribed.session.rate_hz
    rows: list[tuple[str, ...]] = []
    for block in prescribed.session.blocks:
        if block.exercise is None:
            continue
        one = prescribed.routine.exercises[block.exercise]
        ways = [name for name, way in (("easier", one.easier), ("harder", one.harder)) if way]
        rows.append(
            (
                str(len(rows) + 1),
                one.name,
                dose_text(one),
                one.position.value if one.position else "",
                ", ".join(one.targets),
                ", ".join(ways),
                clock_text(milliseconds(block.start, rate_hz)),
            )
        )
    names = ("No.", "Exercise", "Dose", "Position", "Targets", "Ways", "Starts")
    yield title
    yield sheet.table(node, names, rows, (6, 24, 40, 11, 29, 14, 7))


def changes(sheet: RecordSheet) -> Iterator[Flowable]:
    """What was changed for this patient and why, and what was done to fit the length."""
    prescribed = sheet.prescribed
    told = [_because(change.sentence, change.because) for change in prescribed.changes]
    known = {change.sentence for change in prescribed.changes}
    fitted = [note for note in prescribed.session.notes if note not in known]
    node, title = sheet.section("Changed for this patient and this length, and why")
    yield title
    yield from bullets(node, [*told, *fitted] or ["Nothing: as written."], item_style())
    if prescribed.session.left_out:
        number = len(prescribed.session.left_out)
        lines = f"{number} spoken line{'s' * (number != 1)}"
        yield sheet.fact(node, f"No room was found for {lines}; record.json has them.")


def _because(sentence: str, because: str) -> str:
    return sentence if not because or because in sentence else f"{sentence} Reason: {because}."


def findings(sheet: RecordSheet) -> Iterator[Flowable]:
    """What the checks remarked: cautions in full, notes by name, accepted ones with reason."""
    checked = sheet.prescribed.checked
    told = [
        f"{one.severity.value}, {one.rule}: {one.message}"
        for one in checked.problems
        if one.severity is not Severity.NOTE
    ]
    told += [
        f"accepted, {one.problem.rule}: {one.problem.message}. Reason: {one.because}"
        for one in checked.accepted
    ]
    notes = [one.rule for one in checked.problems if one.severity is Severity.NOTE]
    if notes:
        named = ", ".join(dict.fromkeys(notes))
        told.append(f"{len(notes)} note{'s' * (len(notes) != 1)} ({named}); in record.json.")
    node, title = sheet.section("Remarked by the checks")
    yield title
    yield from bullets(node, told or ["Nothing."], item_style())
    cautions = sheet.prescribed.routine.cautions
    if cautions:
        text = f"Cautions said and printed beside the usual ones: {' '.join(cautions)}"
        yield paragraph(node, text, fact_style(before=2))


def doses(sheet: RecordSheet) -> Iterator[Flowable]:
    """What each target gets, and what of it lies outside the guidance, with sources."""
    totals = sheet.prescribed.totals
    node, title = sheet.section("Dose, and how it lies beside published guidance")
    yield title
    rows = []
    for target in totals.targets:
        for side, amounts in _sides(target):
            week = totals.week(amounts)
            rows.append((target.target, side, amounts_text(amounts),
                         amounts_text(week) if week else "unknown"))  # fmt: skip
    yield sheet.table(node, ("Target", "Side", "A session", "A week"), rows, (24, 7, 38, 38))
    comparisons = compared(totals)
    outside = [one for one in comparisons if one.verdict is not Verdict.INSIDE]
    lines = [one.shown() for one in outside]
    if comparisons:
        sources = dict.fromkeys(one.guide.source.cite for one in comparisons)
        inside = len(comparisons) - len(outside)
        lines.append(
            f"{inside} of {len(comparisons)} amounts lie inside the guidance. "
            f"Sources: {'; '.join(sources)}."
        )
    yield from bullets(node, lines, item_style())


def _sides(target: TargetDose) -> Iterator[tuple[str, Amounts]]:
    if target.equal:
        yield "each", target.left
        return
    for side in Side:
        yield side.value, target.of(side)


def amounts_text(amounts: Amounts) -> str:
    """Amounts on one line, what is nothing left out.

    >>> amounts_text(Amounts(stretch_ms=60_000, work_ms=60_000, sets=2))
    'stretch 1 min, 2 sets'
    """
    parts: list[str] = []
    for name, word in _AMOUNTS.items():
        amount = getattr(amounts, name)
        # Work says more only where nothing else says how long.
        if amount and (name != "work_ms" or not parts):
            parts.append(f"{word} {duration_text(amount)}")
    if amounts.repetitions:
        parts.append(f"{amounts.repetitions} repetitions")
    parts.append(f"{amounts.sets} set{'s' * (amounts.sets != 1)}")
    return ", ".join(parts)
