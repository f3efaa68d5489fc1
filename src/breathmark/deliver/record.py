"""``record.json``: what was prescribed and built, for the clinician's file.

It holds hashes and versions, so that it can be shown later what a recording was made
from; it holds no time of day, so that the same inputs give the same bytes.  Its last key,
``record_sha256``, is the check sum of all its other keys (see :func:`own_digest`), so that
a record that was edited is found; whoever computes it anew is not, for it is no signature.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from breathmark import __version__
from breathmark.deliver.pictures import Picture, chapter_pictures
from breathmark.deliver.plan_totals import totals
from breathmark.dose.checks import CheckResult
from breathmark.dose.table import as_data
from breathmark.dose.totals import DoseTotals
from breathmark.routine.model import Routine
from breathmark.routine.patient import Patient
from breathmark.routine.tailoring import Change
from breathmark.script.dose_words import dose_text
from breathmark.script.intervals import sets_of
from breathmark.script.session import Session
from breathmark.units import milliseconds

RECORD_NAME = "record.json"

PICTURE_KEY = "picture_sha256"
"""Of an exercise: the check sum of the picture that its chapter shows, or nothing."""

DIGEST_KEY = "record_sha256"
"""The check sum of the record's own content, :func:`own_digest`."""

STANDING = (
    "Breathmark puts a clinician's routine into sound. It never replaces the clinician's "
    "judgement, local rules or licensed practice, and it diagnoses nothing."
)


@dataclass(frozen=True, kw_only=True, slots=True)
class Prescribed:
    """What was asked for and what spoke it: the routine, the plan, the voices.

    ``pictures`` are the exercises', by the text that names each in the routine.
    """

    routine: Routine
    session: Session
    voices: Sequence[Mapping[str, str]]
    gain_db: float
    totals: DoseTotals
    checked: CheckResult
    patient: Patient | None = None
    changes: tuple[Change, ...] = ()
    week: int = 1
    pictures: Mapping[str, Picture] = field(default_factory=dict)

    @property
    def chapter_pictures(self) -> tuple[bytes | None, ...]:
        """The small picture of each chapter; ``None`` for a chapter without one."""
        return chapter_pictures(self.routine, self.session, self.pictures)


def record_text(
    prescribed: Prescribed,
    files: Mapping[str, Mapping[str, Any]],
    checks: Sequence[Mapping[str, Any]],
) -> str:
    """The record as JSON text: keys in a fixed order, UTF-8, ending in a line feed.

    ``files`` maps each file's name to its ``sha256`` and ``bytes``; ``checks`` are the
    findings of the proof.
    """
    routine, session = prescribed.routine, prescribed.session
    shown = prescribed.chapter_pictures
    record: dict[str, Any] = {
        "made by": f"Breathmark {__version__}",
        "standing": STANDING,
        "title": routine.title,
        "routine": {"file": Path(routine.file).name, "sha256": routine.sha256},
        "patient": _patient(prescribed.patient),
        "week": prescribed.week,
        "language": session.language,
        "hearing": session.hearing.value,
        "background": session.background.value,
        "frequency": routine.frequency,
        "length": recorded_length(session),
        "exercises": [_exercise(routine, session, index, shown[index])
                      for index in range(len(session.blocks))
                      if session.blocks[index].exercise is not None],
        "totals_ms": recorded_totals(session),
        "dose": as_data(prescribed.totals),
        "pain_limit": routine.pain_limit,
        "cautions": list(routine.cautions),
        "changes": [_change(change) for change in prescribed.changes],
        "findings": prescribed.checked.as_data(),
        "notes": list(session.notes),
        "left_out": list(session.left_out),
        "voices": [dict(voice) for voice in prescribed.voices],
        "gain_db": round(prescribed.gain_db, 3),
        "files": {name: dict(files[name]) for name in sorted(files)},
        "checks": [dict(check) for check in checks],
    }  # fmt: skip
    record[DIGEST_KEY] = own_digest(record)
    return json.dumps(record, indent=2, ensure_ascii=False) + "\n"


def own_digest(record: Mapping[str, Any]) -> str:
    """The SHA-256 of a record without its key ``record_sha256``, in hexadecimal.

    It is taken over JSON in UTF-8 with sorted keys and no white space, letters beyond ASCII
    as they are, so that it does not depend on how the file is laid out.

    >>> own_digest({"title": "A", "week": 1}) == own_digest({"week": 1, "title": "A"})
    True
    """
    content = {key: value for key, value in record.items() if key != DIGEST_KEY}
    text = json.dumps(content, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def _exercise(
    routine: Routine, session: Session, index: int, picture: bytes | None
) -> dict[str, Any]:
    block = session.blocks[index]
    if block.exercise is None:
        raise ValueError("the opening and the closing are no exercises")
    exercise = routine.exercises[block.exercise]
    return {
        "name": exercise.name,
        "kind": exercise.kind.value,
        "targets": list(exercise.targets),
        "sides": exercise.sides.value,
        "sets": sets_of(exercise),
        "extra_set": exercise.extra_set.value if exercise.extra_set else None,
        "dose": dose_text(exercise),
        PICTURE_KEY: hashlib.sha256(picture).hexdigest() if picture else None,
        "start_ms": milliseconds(block.start, session.rate_hz),
        "length_ms": milliseconds(block.length, session.rate_hz),
    }


def _patient(patient: Patient | None) -> dict[str, str] | None:
    """The label and the hash of the file; never the greeting, which may hold a name.

    Where no label is wanted, the file's name is left out, too.
    """
    if patient is None:
        return None
    if not patient.label:
        return {"sha256": patient.sha256}
    return {"label": patient.label, "file": Path(patient.file).name, "sha256": patient.sha256}


def _change(change: Change) -> dict[str, str]:
    return {
        "kind": change.kind.value,
        "exercise": change.exercise,
        "before": change.before,
        "after": change.after,
        "because": change.because,
        "sentence": change.sentence,
    }


def recorded_length(session: Session) -> dict[str, int]:
    """How long the session is, as the record says it."""
    ms = milliseconds(session.length, session.rate_hz)
    return {"samples": session.length, "rate_hz": session.rate_hz, "ms": ms}


def recorded_totals(session: Session) -> dict[str, int]:
    """How the session's time is spent, as the record says it, in milliseconds."""
    counted = totals(session)
    return {
        name: milliseconds(getattr(counted, name), session.rate_hz)
        for name in ("work", "work_left", "work_right", "rest", "lead_in", "around", "talking")
    }


def described_files(folder: Path) -> dict[str, dict[str, Any]]:
    """The name, ``sha256`` and size in ``bytes`` of every file in a folder but the record."""
    return {
        path.relative_to(folder).as_posix(): {
            "sha256": hashlib.sha256(path.read_bytes()).hexdigest(),
            "bytes": path.stat().st_size,
        }
        for path in sorted(folder.rglob("*"))
        if path.is_file() and path.name != RECORD_NAME
    }
