"""Invented prescriptions for the tests of papers, planned with stand-in speech."""

from __future__ import annotations

import io
import json
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from PIL import Image

from breathmark.deliver.pictures import small_picture
from breathmark.deliver.record import Prescribed
from breathmark.dose.totals import dose_totals
from breathmark.pipeline import read_case
from breathmark.units import milliseconds
from tests.script.planning import planned

VOICES = ({"voice": "calm", "engine": "piper", "model": "en_US-joe-medium"},)

HOLD = {
    "name": "Standing calf stretch",
    "kind": "hold",
    "position": "standing",
    "targets": ["gastrocnemius"],
    "sides": "each",
    "hold": "30 s",
    "sets": "2",
    "setup": [
        "Face the counter with both hands on it.",
        "Slide your {side} foot straight back, and keep that knee straight.",
    ],
    "cues": ["Back heel heavy on the floor.", "Toes point straight ahead."],
    "feel": "a mild pull low in the calf",
    "easier": "Take a shorter step back.",
    "harder": {"say": "Take a longer step back.", "hold": "45 s"},
    "helper": ["Stand on the {side} side, one hand near the hips."],
    "involves": ["standing"],
    "rests": {"before": "60 s", "sides": "20 s"},
}
REPS = {
    "name": "Sit to stand",
    "kind": "reps",
    "position": "seated",
    "targets": ["quadriceps"],
    "reps": "8",
    "tempo": {"out": "2 s", "hold": "2 s", "back": "3 s"},
    "setup": "Sit near the front of your chair, feet under your knees.",
    "cues": ["Nose over your toes."],
    "feel": "your thighs working",
    "easier": "Push up with your hands.",
    "equipment": ["sturdy chair"],
    "involves": ["sitting", "rising from a chair", "narrow stance"],
    "rests": {"before": "60 s"},
}
BREATHING = {
    "name": "Slow breathing",
    "kind": "breathing",
    "position": "seated",
    "targets": ["relaxation"],
    "breaths": "3",
    "pattern": {"in": "4 s", "out": "6 s"},
    "setup": "Sit down, and rest your hands in your lap.",
    "rests": {"before": "60 s"},
}
PAUSE = {"name": "A sip of water", "kind": "pause", "time": "40 s"}


def exercises(count: int) -> list[dict[str, Any]]:
    """So many exercises of three kinds, each with a name of its own, and a pause in long ones."""
    kinds = (HOLD, REPS, BREATHING)
    made = [{**kinds[n % 3], "name": f"{kinds[n % 3]['name']} {n + 1}"} for n in range(count)]
    return [*made[:6], PAUSE, *made[6:]] if count > 6 else made


def routine_data(some: Sequence[dict[str, Any]], **more: Any) -> dict[str, Any]:
    """A routine of some exercises; ``more`` overrides its fields."""
    return {
        "title": "Steady on your feet",
        "language": "en",
        "voice": "calm",
        "about": "Ankles, hips and balance, for steadier standing and walking.",
        "frequency": "5 days a week",
        "equipment": ["sturdy chair", "kitchen counter"],
        "cautions": ["Have somebody nearby if you have fallen in the past year."],
        "exercises": list(some),
        **more,
    }


def prescribed(
    folder: Path, routine: dict[str, Any], patient: dict[str, Any] | None = None, week: int = 1
) -> Prescribed:
    """A prescription from files written into a folder."""
    source = folder / "routine.yaml"
    # JSON is YAML, without the aliases that a YAML writer would put in.
    source.write_text(json.dumps(routine, ensure_ascii=False, indent=1), "utf-8")
    particulars = None
    if patient is not None:
        particulars = folder / "patient.yaml"
        particulars.write_text(json.dumps(patient, ensure_ascii=False), "utf-8")
    case = read_case(source, particulars, week=week)
    session = planned(case.routine, 250)
    return Prescribed(
        routine=case.routine,
        session=session,
        voices=VOICES,
        gain_db=0.0,
        totals=dose_totals(case.routine, session_ms=milliseconds(session.length, session.rate_hz)),
        checked=case.checked,
        patient=case.patient,
        changes=case.changes,
        week=week,
    )


def coloured(colour: str) -> bytes:
    """A chapter's picture of one colour."""
    out = io.BytesIO()
    Image.new("RGB", (640, 480), colour).save(out, "PNG")
    return small_picture(out.getvalue())


def flat(texts: Iterator[str] | Sequence[str] | str) -> str:
    """Texts on one line, spaces single, as a reader takes them in."""
    joined = texts if isinstance(texts, str) else " ".join(texts)
    return " ".join(joined.split())
