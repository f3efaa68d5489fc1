"""The record's two frames: FITT-VP, and the items of CERT that apply, side by side.

FITT-VP: frequency, intensity, time, type, volume, progression (ACSM).  CERT: Slade SC et
al., Br J Sports Med 2016;50:1428-37; the items' numbers and short names are from memory.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from reportlab.platypus import Flowable

from breathmark.deliver.handout_front import equipment_of
from breathmark.deliver.paper_parts import grid
from breathmark.deliver.record_pdf_sheet import RecordSheet
from breathmark.dose.guidance import RESISTANCE_TAG
from breathmark.routine.model import Exercise, Kind, PauseDose, Side, Sides
from breathmark.script.intervals import sets_on
from breathmark.units import clock_text, duration_text, milliseconds

_BETWEEN = 16.0

_KINDS = {
    Kind.HOLD: "hold",
    Kind.REPS: "repetitions",
    Kind.FREE: "free movement",
    Kind.BREATHING: "paced breathing",
    Kind.CONTRACT_RELAX: "contract-relax",
    Kind.PAUSE: "pause",
}


def frames(sheet: RecordSheet) -> Iterator[Flowable]:
    """The two frames."""
    half = (sheet.page.inner - _BETWEEN) / 2
    left, left_head = sheet.section("FITT-VP")
    right, right_head = sheet.section("CERT, the items that apply (Slade 2016)")
    row = [
        [left_head, sheet.facts(left, fitt_vp(sheet), half)],
        [right_head, sheet.facts(right, cert(sheet), half)],
    ]
    made = grid([row], [half + _BETWEEN, half], [])
    made.spaceBefore = 6
    yield made


def fitt_vp(sheet: RecordSheet) -> list[tuple[str, str | None]]:
    """Label and words of each of the six."""
    return [
        ("Frequency", sheet.prescribed.routine.frequency or None),
        ("Intensity", _intensity(sheet)),
        ("Time", _time(sheet)),
        ("Type", _type(sheet)),
        ("Volume", _volume(sheet)),
        ("Progression", _progression(sheet)),
    ]


def _intensity(sheet: RecordSheet) -> str:
    routine = sheet.prescribed.routine
    limit = routine.pain_limit
    pain = "a pull is fine, pain is not" if not limit else f"pain up to {limit} of 10"
    loaded = [one.name for one in routine.exercises if RESISTANCE_TAG in one.involves]
    added = f"Added resistance: {', '.join(loaded)}." if loaded else "No added resistance."
    return f"By what is felt (said with each exercise); {pain}. {added}"


def _time(sheet: RecordSheet) -> str:
    session, totals = sheet.prescribed.session, sheet.prescribed.totals
    length_ms = milliseconds(session.length, session.rate_hz)
    rest = length_ms - totals.work_ms
    return (
        f"{duration_text(length_ms)} a session: work {clock_text(totals.work_ms)}, "
        f"rests, set-ups and talking {clock_text(rest)}."
    )


def _type(sheet: RecordSheet) -> str:
    counts = Counter(one.kind for one in sheet.prescribed.routine.exercises)
    return ", ".join(f"{number} × {_KINDS[kind]}" for kind, number in counts.items()) + "."


def _volume(sheet: RecordSheet) -> str:
    routine, totals = sheet.prescribed.routine, sheet.prescribed.totals
    sets = sum(_sets(one) for one in routine.exercises)
    told = f"{sets} sets a session, both sides together"
    if totals.sessions_a_week is None:
        return f"{told}; the week is unknown, as the frequency does not say how many days."
    work_ms = totals.work_ms * totals.sessions_a_week
    return f"{told}; work {duration_text(work_ms)} a week. By target below."


def _sets(exercise: Exercise) -> int:
    if isinstance(exercise.dose, PauseDose):
        return 0
    if exercise.sides is Sides.EACH:
        return sum(sets_on(exercise, side) for side in Side)
    return sets_on(exercise, None)


def _progression(sheet: RecordSheet) -> str:
    prescribed = sheet.prescribed
    patient, routine = prescribed.patient, prescribed.routine
    written = (*routine.weeks, *(patient.weeks if patient else ()))
    later = sorted({one.from_week for one in written if one.from_week > prescribed.week})
    steps = f"Changes are written from week {_listed(later)}." if later else "No step is written."
    harder = [one.name for one in routine.exercises if one.harder is not None]
    ways = f"Harder ways: {', '.join(harder)}." if harder else "No harder ways are offered."
    return f"This is week {prescribed.week}. {steps} {ways}"


def _listed(numbers: list[int]) -> str:
    return ", ".join(str(number) for number in numbers)


def cert(sheet: RecordSheet) -> list[tuple[str, str | None]]:
    """Number, short name and words of the items; ``None`` is left to be written in."""
    prescribed = sheet.prescribed
    helper = prescribed.patient is not None and prescribed.patient.helper
    present = "a helper present" if helper else "alone"
    tailored = len(prescribed.changes)
    return [
        ("1 Equipment", ", ".join(equipment_of(prescribed.routine)) or "None."),
        ("2 Taught by", None),
        ("3, 4, 9, 12", f"At home, recorded guidance, {present}."),
        ("5 Adherence", "Diary on the handout."),
        ("7, 13 Dose", "In FITT-VP and the table of exercises."),
        ("8 Exercises", "In words on the handout, to the second in plan.json."),
        ("11 Events", None),
        ("14 Tailoring", f"{tailored} change{'s' * (tailored != 1)}, below." if tailored
         else "None: as written."),
        ("15 Start level", None),
        ("16 Fidelity", "The files were proved against the plan; see below."),
    ]  # fmt: skip
