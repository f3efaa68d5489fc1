"""The whole way, from a routine file to a recording that was proved.

:func:`make` is the story in one function; what it calls is in the rooms above.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from breathmark.deliver.audio import FORMATS
from breathmark.deliver.publish import publishing, safe_name
from breathmark.deliver.record import RECORD_NAME, Prescribed, described_files, record_text
from breathmark.deliver.result import result_name, write, write_papers, write_sound
from breathmark.dose.checks import CheckResult, check_routine
from breathmark.dose.totals import DoseTotals, dose_totals
from breathmark.problems import Fault, InputProblems, Problem, UsageProblem, did_you_mean
from breathmark.proof.check import Report
from breathmark.proof.verify import verify_folder
from breathmark.routine.model import Coaching, Routine
from breathmark.routine.patient import Patient
from breathmark.routine.patient_reading import is_patient_file, read_prescription
from breathmark.routine.reading import read_routine
from breathmark.routine.tailoring import Change, for_week
from breathmark.script.draft import SpeechLengths
from breathmark.script.fitting import Fitted
from breathmark.script.planner import plan_session
from breathmark.script.reach import fit_routine
from breathmark.script.session import Session
from breathmark.script.wishes import Wishes
from breathmark.script.words import words_of
from breathmark.sound.levelling import Levelled, levelled
from breathmark.sound.mix import Mix
from breathmark.speech.profiles import VoiceProfile, load_profile, voice_folders
from breathmark.speech.speaker import Speaker
from breathmark.speech.store import ClipStore, default_store_folder
from breathmark.units import SESSION_RATE_HZ, milliseconds


class Progress(Protocol):
    """Told what is going on: ``stage``, how much of it is ``done``, and of how much."""

    def __call__(self, stage: str, done: int, total: int, /) -> None:
        """Take note."""
        ...


def unheard(_stage: str, _done: int, _total: int, /) -> None:
    """A progress that nobody listens to."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Order:
    """What is to be made, where and how.

    ``source`` is a routine's file, or a patient's that names its routine; ``patient`` is
    a patient's file for the routine in ``source``.  ``week`` counts from 1.  ``voice`` of
    ``None`` is the files' own; ``voices`` is a folder of the clinician's own profiles,
    searched before those that come with Breathmark.
    """

    source: Path
    patient: Path | None = None
    week: int = 1
    output: Path = Path("output")
    formats: tuple[str, ...] = ("mp3",)
    voice: str | None = None
    voices: Path | None = None
    rate_hz: int = SESSION_RATE_HZ


@dataclass(frozen=True, kw_only=True, slots=True)
class Case:
    """A routine as this patient does it in this week, looked through as a colleague would.

    ``album`` is the title of the series, to which a later week adds its number.
    """

    routine: Routine
    checked: CheckResult
    album: str
    patient: Patient | None = None
    changes: tuple[Change, ...] = ()
    coaching: Coaching | None = None
    week: int = 1


@dataclass(frozen=True, kw_only=True, slots=True)
class Planned:
    """A case with its plan, its doses and the voice that was measured for it.

    The case's routine is the fitted one.
    """

    case: Case
    session: Session
    totals: DoseTotals
    speaker: Speaker


@dataclass(frozen=True, kw_only=True, slots=True)
class Made:
    """What a build left: the folder, its files, the plan and the proof."""

    folder: Path
    files: tuple[Path, ...]
    planned: Planned
    report: Report

    @property
    def session(self) -> Session:
        """The plan."""
        return self.planned.session


class ProofFailed(Fault):
    """What was written does not agree with the plan; the old result was kept."""

    def __init__(self, report: Report) -> None:
        self.report = report
        failed = [finding for finding in report.findings if not finding.passed]
        shown = "\n".join(f"    {one.check}, {one.file}: {one.detail}" for one in failed)
        super().__init__(
            f"{len(failed)} of {len(report.findings)} checks of the finished files failed; "
            f"nothing was put in place\n{shown}",
            remedy="This is our fault, not the routine's: please report it with these lines.",
        )


def read_case(source: Path, patient: Path | None = None, *, week: int = 1) -> Case:
    """Read what was written, make it this patient's, and look it through.

    Raises :class:`InputProblems` with everything that is wrong in the files, and with
    every error that the checks find.
    """
    return case_of(*_read(source, patient), week=week)


def case_of(routine: Routine, patient: Patient | None, *, week: int = 1) -> Case:
    """What was read, made this patient's in a week, and looked through.

    Raises :class:`InputProblems` as :func:`read_case` does.
    """
    tailored = for_week(routine, patient, week)
    checked = check_routine(
        tailored.routine,
        avoid=patient.avoid if patient else (),
        conditions=patient.conditions if patient else (),
        session_length_ms=tailored.routine.length_ms,
        sides_decided=bool(patient and patient.only_side),
    )
    if checked.errors:
        raise InputProblems(checked.problems)
    titled = tailored.routine
    if week > 1:
        title = words_of(routine.language).say("title in week", title=routine.title, n=week)
        titled = dataclasses.replace(titled, title=title)
    return Case(
        routine=titled,
        checked=checked,
        album=routine.title,
        patient=patient,
        changes=tailored.changes,
        coaching=tailored.coaching,
        week=week,
    )


def plan(order: Order, progress: Progress = unheard) -> Planned:
    """Read a case, measure its lines in the voice, fit it to its length and plan it.

    Raises :class:`InputProblems` for what is wrong in the files,
    :class:`UsageProblem` for a voice that is not there.
    """
    return plan_case(read_case(order.source, order.patient, week=order.week), order, progress)


def plan_case(
    case: Case, order: Order, progress: Progress = unheard, *, speaker: Speaker | None = None
) -> Planned:
    """The same for a case that was read already; ``speaker`` is one that is at hand.

    Raises as :func:`plan` does.
    """
    speaker = speaker or speaker_of(case, order)
    known: dict[str, int] = {}
    while True:
        lengths = SpeechLengths(known, rate_hz=order.rate_hz)
        try:
            fitted, session = _planned(case, lengths, order.voice)
        except InputProblems:
            if not lengths.missing:
                raise
        else:
            if not lengths.missing:
                break
        known |= speaker.measure(lengths.missing, _stage(progress, "speaking"))
    session_ms = milliseconds(session.length, session.rate_hz)
    return Planned(
        case=dataclasses.replace(case, routine=fitted.routine),
        session=session,
        totals=dose_totals(fitted.routine, session_ms=session_ms),
        speaker=speaker,
    )


def make(order: Order, progress: Progress = unheard) -> Made:
    """Make a recording with everything around it, prove it, and put it in place.

    Raises :class:`InputProblems`, :class:`UsageProblem` or :class:`Fault`; whatever
    happens, the result folder holds the whole old result or the whole new one.
    """
    require_formats(order.formats)
    case = read_case(order.source, order.patient, week=order.week)
    return make_case(case, order, progress)


def make_case(
    case: Case,
    order: Order,
    progress: Progress = unheard,
    *,
    speaker: Speaker | None = None,
    proved: Callable[[Path, Path], None] | None = None,
) -> Made:
    """The same for a case that was read already; ``speaker`` is one that is at hand.

    ``proved`` is told the folder with the proved result, and where it is about to go.
    Raises as :func:`make` does.
    """
    planned = plan_case(case, order, progress, speaker=speaker)
    session, speaker, album = planned.session, planned.speaker, planned.case.album
    sound = levelled(Mix(session, clip=lambda line: speaker.clip(line.text)))
    folder = _folder(order, planned)
    with publishing(folder) as staging:
        writing = _stage(progress, "writing")
        write_sound(session, sound.blocks(), staging, order.formats, writing, album=album)
        write_papers(session, planned.totals, staging)
        _write_record(planned, sound, staging, None)
        report = verify_folder(staging, progress=_stage(progress, "proving"))
        if not report.passed:
            raise ProofFailed(report)
        _write_record(planned, sound, staging, report)
        names = sorted(path.name for path in staging.iterdir() if not path.name.startswith("."))
        if proved is not None:
            proved(staging, folder)
    return Made(
        folder=folder,
        files=tuple(folder / name for name in names),
        planned=planned,
        report=report,
    )


def _read(source: Path, patient: Path | None) -> tuple[Routine, Patient | None]:
    if is_patient_file(source):
        if patient is not None:
            raise UsageProblem(f"{source} is a patient's file itself. Leave --patient away.")
        both = read_prescription(source)
        return both.routine, both.patient
    if patient is not None:
        both = read_prescription(patient, routine=source)
        return both.routine, both.patient
    return read_routine(source), None


def _planned(case: Case, lengths: SpeechLengths, voice: str | None) -> tuple[Fitted, Session]:
    wishes = Wishes(
        voice=voice or case.routine.voice,
        greeting=case.patient.greeting if case.patient else "",
        helper=bool(case.patient and case.patient.helper),
        coaching=case.coaching or Coaching.FADING,
    )
    fitted = fit_routine(case.routine, lengths, wishes)
    said = (*(change.sentence for change in case.changes), *fitted.changes)
    return fitted, plan_session(fitted.routine, lengths, wishes, said=said)


def _folder(order: Order, planned: Planned) -> Path:
    """Where a result goes: under the patient's label, if there is a patient."""
    session, patient = planned.session, planned.case.patient
    name = result_name(session.title, session.length, session.rate_hz)
    return order.output / safe_name(patient.label) / name if patient else order.output / name


def speaker_of(case: Case, order: Order) -> Speaker:
    """The voice asked for, over the usual store; the patient's greeting stays private.

    Raises :class:`InputProblems` or :class:`UsageProblem` for a voice that is not there.
    """
    store = ClipStore(default_store_folder())
    store.sweep()
    # A greeting may hold a name, and must leave no trace in the store.
    profile = profile_of(case.routine, order)
    return Speaker(profile, rate_hz=order.rate_hz, store=store, private=private_lines(case))


def private_lines(case: Case) -> frozenset[str]:
    """What is said to this patient alone."""
    return frozenset({case.patient.greeting} if case.patient else ())


def profile_of(routine: Routine, order: Order) -> VoiceProfile:
    """The voice asked for; a voice that the routine names wrongly is the routine's problem."""
    folders = voice_folders(order.voices)
    if order.voice is not None:
        profile = load_profile(order.voice, folders)
    else:
        try:
            profile = load_profile(routine.voice, folders)
        except UsageProblem as unknown:
            raise _voice_problem(routine, "unknown-voice", str(unknown)) from None
    if profile.language != routine.language:
        message = (
            f"the voice `{profile.name}` speaks `{profile.language}`, "
            f"but the routine is written in `{routine.language}`"
        )
        raise _voice_problem(routine, "voice-language", message)
    return profile


def _voice_problem(routine: Routine, rule: str, message: str) -> InputProblems:
    return InputProblems(
        [
            Problem(
                rule=rule,
                message=message,
                place=routine.place("voice"),
                remedy="`breathmark voices` lists the voices there are.",
            )
        ]
    )


def require_formats(formats: Sequence[str]) -> None:
    """Raise :class:`UsageProblem` for a format that is not there, naming the nearest."""
    for wanted in formats:
        if wanted not in FORMATS:
            raise UsageProblem(f"there is no format `{wanted}`. {did_you_mean(wanted, FORMATS)}")


def _write_record(planned: Planned, sound: Levelled, folder: Path, report: Report | None) -> None:
    case = planned.case
    prescribed = Prescribed(
        routine=case.routine,
        session=planned.session,
        voices=[planned.speaker.fingerprint()],
        gain_db=sound.gain_db,
        totals=planned.totals,
        checked=case.checked,
        patient=case.patient,
        changes=case.changes,
        week=case.week,
    )
    checks = [
        {"check": one.check, "file": one.file, "passed": one.passed, "detail": one.detail}
        for one in (report.findings if report else ())
    ]
    write(folder / RECORD_NAME, record_text(prescribed, described_files(folder), checks))


def _stage(progress: Progress, stage: str) -> Callable[[int, int], None]:
    return lambda done, total: progress(stage, done, total)
