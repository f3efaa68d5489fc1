"""One patient after the other in one process, which keeps its voices ready."""

from __future__ import annotations

import dataclasses
import hashlib
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from breathmark import __version__
from breathmark.caseload.entries import Entry
from breathmark.caseload.outcome import Outcome, Result, refused
from breathmark.caseload.state import Memory, Remembered, hash_of, record_hash
from breathmark.deliver.handing import Handed
from breathmark.pipeline import (
    Case,
    Order,
    case_of,
    make_case,
    private_lines,
    profile_of,
    read_case,
    speaker_of,
)
from breathmark.problems import BreathmarkError, InputProblems, Problem
from breathmark.routine.patient_reading import prescription_in
from breathmark.routine.rules import Rule
from breathmark.script.session import Session
from breathmark.speech.profiles import VoiceProfile
from breathmark.speech.speaker import Speaker
from breathmark.units import milliseconds

UNFORESEEN = "something went wrong that we did not foresee; `breathmark make` may tell more"


class Workshop:
    """Builds entries as ``order`` says, whose own source and week mean nothing here.

    What is found out about a voice serves the next patient.
    """

    def __init__(self, order: Order) -> None:
        self._order = order
        self._memory = Memory(order.output)
        self._speakers: dict[VoiceProfile, tuple[Speaker, str]] = {}

    def build(self, entry: Entry) -> Outcome:
        """Build an entry, unless it is there already; whatever is wrong is its outcome."""
        try:
            return self._built(entry)
        except InputProblems as found:
            return refused(entry.number, entry.shown, found.problems)
        except BreathmarkError as error:
            return _failed(entry, error.shown())
        except MemoryError:
            return _failed(entry, "there was not enough memory; fewer `--jobs` need less")
        except Exception as error:  # noqa: BLE001 - one patient's bad luck must not be another's
            return _failed(entry, f"{UNFORESEEN} ({type(error).__name__})")

    def _built(self, entry: Entry) -> Outcome:
        if entry.problems:
            raise InputProblems(entry.problems)
        case = _case(entry)
        if case.patient is None:
            raise InputProblems([_no_patient(entry)])
        label = case.patient.label
        source = entry.file or Path(entry.place.file)
        order = dataclasses.replace(self._order, source=source, week=entry.week)
        speaker, voice = self._speaker(case, order)
        inputs = hash_of(__version__, voice, _asked(order), _said(case), *_pictures(case))
        there = self._memory.whole(label, inputs)
        if there is not None:
            folder = order.output / there.folder
            return _done(entry, label, Result.THERE, folder, there.length_ms, there.mail)

        def proved(staging: Path, folder: Path, session: Session, handed: Handed) -> None:
            remembered = Remembered(
                label=label,
                inputs=inputs,
                record=record_hash(staging),
                folder=folder.relative_to(order.output).as_posix(),
                length_ms=milliseconds(session.length, session.rate_hz),
                mail=handed.mail,
            )
            self._memory.remember(remembered)

        made = make_case(case, order, speaker=speaker, proved=proved)
        length_ms = milliseconds(made.session.length, made.session.rate_hz)
        return _done(entry, label, Result.BUILT, made.folder, length_ms, made.handed.mail)

    def _speaker(self, case: Case, order: Order) -> tuple[Speaker, str]:
        """The voice with this patient's private lines, and what decides its sound."""
        profile = profile_of(case, order)
        if profile not in self._speakers:
            speaker = speaker_of(case, order)
            self._speakers[profile] = speaker, hash_of(speaker.identity())
        known, voice = self._speakers[profile]
        speaker = known.with_private(private_lines(case))
        self._speakers[profile] = speaker, voice
        return speaker, voice


def _case(entry: Entry) -> Case:
    if entry.file is not None:
        source, patient = (entry.routine or entry.file), (entry.file if entry.routine else None)
        return read_case(source, patient, week=entry.week)
    if entry.written is None or entry.source is None:
        raise ValueError("an entry has a file or is written out")
    both = prescription_in(entry.source, entry.written)
    return case_of(both.routine, both.patient, week=entry.week)


def _no_patient(entry: Entry) -> Problem:
    name = entry.file.name if entry.file else "this"
    return Problem(
        rule=Rule.WRONG_TYPE,
        message=f"`{name}` is a routine; a caseload lists patients",
        place=entry.place,
        remedy="Name a patient's file, which names the routine. For a routine alone: `make`.",
    )


def _asked(order: Order) -> str:
    """What was asked for, whichever folders it was asked from."""
    return repr(dataclasses.replace(order, source=Path(), output=Path(), voices=None))


def _pictures(case: Case) -> Iterator[str]:
    """The hashes of the exercises' pictures; what is wrong with one is said by the build."""
    home = Path(case.routine.file).parent
    for exercise in case.routine.exercises:
        if exercise.picture:
            with suppress(OSError):
                yield hashlib.sha256((home / exercise.picture).read_bytes()).hexdigest()


def _said(case: Case) -> str:
    """All that decides a session and its record, where the files lie apart."""
    patient = case.patient
    routine = dataclasses.replace(case.routine, file=Path(case.routine.file).name)
    changes = [change.sentence for change in case.changes]
    whose = (patient.label, patient.sha256, patient.greeting, patient.helper) if patient else ()
    accepted = [(one.problem.rule, one.because) for one in case.checked.accepted]
    return repr((routine, whose, changes, accepted, case.coaching, case.week, case.album))


def _done(
    entry: Entry, label: str, result: Result, folder: Path, length_ms: int, mail: str
) -> Outcome:
    return Outcome(
        number=entry.number,
        shown=label,
        result=result,
        folder=folder,
        length_ms=length_ms,
        mail=mail,
    )


def _failed(entry: Entry, text: str) -> Outcome:
    lines = (" ".join(line.split()) for line in text.splitlines() if line.strip())
    line = " ".join(one if one[-1] in ".:;?!" else f"{one}." for one in lines)
    return Outcome(
        number=entry.number, shown=entry.shown, result=Result.REFUSED, why=(line,), details=text
    )
