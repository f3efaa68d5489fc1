"""What differs between two records, in words: what was prescribed, said, built and proved.

The first record is the one before, the second the one now.  A record may come from another
version: what is not there is said, what is not known is compared value by value, and
nothing is raised for what a key holds.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

from breathmark.deliver import compare_parts as parts
from breathmark.deliver.compare_words import as_map, changed, maps, shown
from breathmark.deliver.record import DIGEST_KEY, RECORD_NAME, own_digest
from breathmark.problems import InputProblems, Place, Problem, UsageProblem

Record = Mapping[str, Any]

_MOST_BYTES: Final = 32 << 20
_WORDED: Final = {
    "made by": parts.single("Made by"),
    "title": parts.single("Title"),
    "week": parts.single("Week"),
    "language": parts.single("Language"),
    "hearing": parts.single("Hearing that it is made for"),
    "background": parts.single("Background"),
    "frequency": parts.single("How often"),
    "routine": parts.routine,
    "patient": parts.patient,
    "length": parts.length,
    "voices": parts.voices,
    "exercises": parts.exercises,
    "pain_limit": parts.single("Most pain of 10"),
    "cautions": parts.lines("Caution"),
    "changes": parts.changes,
    "dose": parts.dose,
    "totals_ms": parts.totals,
    "findings": parts.findings,
    "notes": parts.lines("Note"),
    "left_out": parts.left_out,
    "gain_db": parts.single("Gain in dB"),
    "checks": parts.checks,
    "files": parts.files,
}
"""What is said about each part of a record, in the order in which it is said."""


def differences(before: Record, now: Record) -> tuple[str, ...]:
    """Sentences about everything that differs; empty when the two say the same."""
    found: list[str] = []
    for key, words in _WORDED.items():
        if before.get(key) != now.get(key):
            found += words(_told(before, key), _told(now, key))
    for key in [*before, *(key for key in now if key not in before)]:
        if key not in _WORDED and key != DIGEST_KEY:  # it differs with anything else
            found += changed(key, before.get(key), now.get(key))
    unequal = [key for key in before if before[key] != now.get(key) and key != DIGEST_KEY]
    if unequal and not found:
        found = [f"Only details differ, in: {', '.join(unequal)}."]
    return tuple(found)


def _told(record: Record, key: str) -> Any:
    """What a record says under a key, without the notes that only repeat a change."""
    said = record.get(key)
    if key != "notes" or not isinstance(said, list):
        return said
    changes = [one.get("sentence") for one in maps(record.get("changes"))]
    return [note for note in said if note not in changes]


def compared_text(before: Record, now: Record) -> str:
    """What `breathmark compare` prints: which two, then each difference on a line."""
    names = [f"{shown(one.get('title'))} ({_patient(one)})" for one in (before, now)]
    head = f"Before: {names[0]}\nNow:    {names[1]}\n"
    for which, record in (("first", before), ("second", now)):
        if DIGEST_KEY in record and record[DIGEST_KEY] != own_digest(record):
            head += f"The {which} record was changed after it was made: see `breathmark verify`.\n"
    found = differences(before, now)
    if not found:
        return f"{head}\nNothing differs: the two records say the same.\n"
    return head + "\n" + "".join(f"- {line}\n" for line in found)


def read_record(path: Path) -> Record:
    """The record in a result folder, or in a file.

    Raises :class:`~breathmark.problems.UsageProblem` when there is none, and
    :class:`~breathmark.problems.InputProblems` with the place for a file that is no record.
    """
    file = path / RECORD_NAME if path.is_dir() else path
    try:
        if file.stat().st_size > _MOST_BYTES:
            raise _no_record(file, "it is far too large to be a record")
        text = file.read_bytes().decode("utf-8")
        record = json.loads(text)
    except FileNotFoundError:
        kind = "no record.json in it" if path.is_dir() else "no such folder or file"
        raise UsageProblem(
            f"{path}: {kind}. Name two folders that `make` wrote, or their record.json."
        ) from None
    except OSError as error:
        raise UsageProblem(f"{file} cannot be read: {error.strerror}") from error
    except json.JSONDecodeError as error:
        place = Place(file=str(file), line=error.lineno, column=error.colno)
        raise _no_record(file, f"it is not whole ({error.msg.lower()})", place) from error
    except (ValueError, RecursionError) as error:
        raise _no_record(file, "it is not JSON text in UTF-8") from error
    if not isinstance(record, dict) or not str(record.get("made by")).startswith("Breathmark"):
        raise _no_record(file, "it does not say that Breathmark made it")
    return record


def _no_record(file: Path, why: str, place: Place | None = None) -> InputProblems:
    return InputProblems(
        [
            Problem(
                rule="no-record",
                message=f"this is no record of a recording: {why}",
                place=place or Place(file=str(file), line=1, column=1),
                remedy="Name a result folder, or the record.json in it.",
            )
        ]
    )


def _patient(record: Record) -> str:
    label = as_map(record.get("patient")).get("label")
    return shown(label) if label else "no label"
