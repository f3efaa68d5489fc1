"""The whole way, from a routine file to a recording that was proved.

:func:`make` is the story in one function; what it calls is in the rooms above.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from breathmark.deliver.audio import FORMATS
from breathmark.deliver.handing import (
    Handed,
    Wanted,
    beside_earlier,
    cover_of,
    hand_over,
    write_record_page,
    write_reminders,
)
from breathmark.deliver.own_folder import require_own_folder
from breathmark.deliver.pictures import Picture, pictures_of
from breathmark.deliver.publish import emptied, publishing, safe_name
from breathmark.deliver.record import RECORD_NAME, Prescribed, described_files, record_text
from breathmark.deliver.result import result_name, write, write_papers, write_sound
from breathmark.dose.checks import CheckResult, as_fitted, check_routine
from breathmark.dose.totals import dose_totals
from breathmark.orders import Case, Made, Order, Planned, Progress, ProofFailed, unheard
from breathmark.problems import InputProblems, UsageProblem, did_you_mean
from breathmark.proof.check import Check, Report
from breathmark.proof.verify import verify_folder
from breathmark.routine.model import Coaching, Routine
from breathmark.routine.patient import Patient
from breathmark.routine.patient_reading import is_patient_file, read_prescription
from breathmark.routine.reading import read_routine
from breathmark.routine.tailoring import for_week
from breathmark.script.draft import SpeechLengths
from breathmark.script.fitting import Fitted
from breathmark.script.language import in_its_language
from breathmark.script.planner import plan_session
from breathmark.script.reach import fit_routine
from breathmark.script.sample import sample_of
from breathmark.script.session import Session
from breathmark.script.wishes import Wishes
from breathmark.script.words import words_of
from breathmark.sound.hearing import ceilings_dbtp
from breathmark.sound.levelling import Levelled, levelled
from breathmark.sound.mix import Mix
from breathmark.speech.choosing import voice_for
from breathmark.speech.listening import heard_with
from breathmark.speech.profiles import VoiceProfile, voice_folders
from breathmark.speech.recorded_speaker import speaker_for
from breathmark.speech.speaker import Speaker
from breathmark.speech.store import ClipStore, default_store_folder
from breathmark.units import duration_text, milliseconds

__all__ = [
    "Case",
    "Made",
    "Order",
    "Planned",
    "Progress",
    "ProofFailed",
    "case_of",
    "make",
    "make_case",
    "plan",
    "plan_case",
    "profile_of",
    "read_case",
    "require_formats",
    "speaker_of",
    "unheard",
]


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
    tailored = for_week(in_its_language(routine), patient, week)
    checked = _looked_through(tailored.routine, patient, tailored.routine.length_ms)
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


def _looked_through(
    routine: Routine, patient: Patient | None, length_ms: int | None
) -> CheckResult:
    """What the checks say; raises :class:`InputProblems` when an error is among it."""
    checked = check_routine(
        routine,
        avoid=patient.avoid if patient else (),
        conditions=patient.conditions if patient else (),
        session_length_ms=length_ms,
        sides_decided=bool(patient and patient.only_side),
    )
    if checked.errors:
        raise InputProblems(checked.problems)
    return checked


def plan(order: Order, progress: Progress = unheard) -> Planned:
    """Read a case, measure its lines in the voice, fit it to its length and plan it.

    Raises :class:`InputProblems` for what is wrong in the files,
    :class:`UsageProblem` for a voice that is not there.
    """
    return plan_case(ordered_case(order), order, progress)


def ordered_case(order: Order) -> Case:
    """The case that an order is about, or the one exercise of it that it asks for.

    Raises as :func:`read_case`, and :class:`UsageProblem` for an exercise that is not there.
    """
    case = read_case(order.source, order.patient, week=order.week)
    if order.only is None:
        return case
    sample = sample_of(case.routine, order.only)
    return dataclasses.replace(case, routine=sample, album=sample.title, sample=True)


def plan_case(
    case: Case, order: Order, progress: Progress = unheard, *, speaker: Speaker | None = None
) -> Planned:
    """The same for a case that was read already; ``speaker`` is one that is at hand.

    Raises as :func:`plan` does.
    """
    speaker = speaker or speaker_of(case, order)
    known: dict[str, int] = {}
    while True:
        lengths = SpeechLengths(known, rate_hz=order.rate_hz, voice_of=speaker.voice_of)
        try:
            fitted, session = _planned(case, lengths, speaker, order.voice)
        except InputProblems:
            if not lengths.missing:
                raise
        else:
            if not lengths.missing:
                break
        known |= speaker.measure(lengths.missing, _stage(progress, "speaking"))
    session_ms = milliseconds(session.length, session.rate_hz)
    checked = case.checked
    if not case.sample:  # fitting may bring what the file as it is written does not
        checked = _looked_through(fitted.routine, case.patient, session_ms)
        if fitted.changes:
            checked = as_fitted(case.checked, checked, to=duration_text(session_ms))
    return Planned(
        case=dataclasses.replace(case, routine=fitted.routine, checked=checked),
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
    case = ordered_case(order)
    return make_case(case if order.label else without_label(case), order, progress)


def without_label(case: Case) -> Case:
    """The same case, but neither its patient's label nor the name of that file is known."""
    if case.patient is None:
        return case
    patient = dataclasses.replace(case.patient, label="", file="")
    return dataclasses.replace(case, patient=patient)


def make_case(
    case: Case,
    order: Order,
    progress: Progress = unheard,
    *,
    speaker: Speaker | None = None,
    proved: Callable[[Path, Path, Session, Handed], None] | None = None,
) -> Made:
    """The same for a case that was read already; ``speaker`` is one that is at hand.

    ``proved`` is told the folder with the proved result, where it is about to go, the
    plan, and what was handed over.  Raises as :func:`make` does.
    """
    pictures = pictures_of(case.routine) if hands_over(order, case) else {}
    planned = plan_case(case, order, progress, speaker=speaker)
    voice = planned.speaker
    mix = Mix(planned.session, clip=lambda line: voice.clip(line.text))
    folder = _folder(order, planned)
    require_own_folder(folder, case.patient)
    with publishing(folder) as staging:
        again = ""
        for ceiling_dbtp in ceilings_dbtp(planned.session.hearing):
            emptied(staging)
            sound = levelled(mix, ceiling_dbtp=ceiling_dbtp)
            prescribed = _prescribed(planned, sound, pictures)
            writing = _stage(progress, f"writing{again}")
            written = _write_all(prescribed, sound, staging, order, case, writing)
            handed = beside_earlier(written, folder, staging)
            _write_record(prescribed, staging, None)
            report = verify_folder(staging, progress=_stage(progress, f"proving{again}"))
            again = " again"
            if {finding.check for finding in report.failed} != {Check.PEAK}:
                break  # all is well, or something that less of a peak would not mend
        if not report.passed:
            raise ProofFailed(report)
        page = order.wanted if hands_over(order, case) else None
        _write_record(prescribed, staging, report, page=page)
        files = sorted(path.relative_to(staging) for path in staging.rglob("*") if path.is_file())
        if proved is not None:
            proved(staging, folder, planned.session, handed)
    return Made(
        folder=folder,
        files=tuple(folder / name for name in files if not name.name.startswith(".")),
        planned=planned,
        report=report,
        handed=handed,
    )


def hands_over(order: Order, case: Case) -> bool:
    """Whether papers go with the recording; a sample is for the clinician's ear alone."""
    return order.wanted.papers and not case.sample


def _write_all(
    prescribed: Prescribed,
    sound: Levelled,
    staging: Path,
    order: Order,
    case: Case,
    progress: Callable[[int, int], None],
) -> Handed:
    """Write everything but the record; what the clinician should know of it comes back."""
    session, wanted = prescribed.session, order.wanted
    is_whole = hands_over(order, case)
    cover = cover_of(prescribed, case.album) if is_whole else None
    if not case.sample:
        write_reminders(prescribed, wanted, staging)
    write_sound(
        session,
        sound.blocks(),
        staging,
        order.formats,
        progress,
        album=case.album,
        cover=cover,
        pictures=prescribed.chapter_pictures,
        tracks=wanted.tracks and not case.sample,
    )
    write_papers(session, prescribed.totals, staging)
    if not is_whole:
        return Handed()
    recordings = [path for path in staging.iterdir() if path.suffix.lstrip(".") in FORMATS]
    return hand_over(
        prescribed, wanted, staging, recordings, sound.blocks, cover=cover, album=case.album
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


def _planned(
    case: Case, lengths: SpeechLengths, speaker: Speaker, voice: str | None
) -> tuple[Fitted, Session]:
    wishes = Wishes(
        voice=voice or case.routine.voice,
        greeting=case.patient.greeting if case.patient else "",
        helper=bool(case.patient and case.patient.helper),
        sample=case.sample,
        coaching=case.coaching or Coaching.FADING,
        hearing=speaker.hearing,
        background=speaker.background,
    )
    fitted = fit_routine(case.routine, lengths, wishes)
    said = (*(change.sentence for change in case.changes), *fitted.changes)
    return fitted, plan_session(fitted.routine, lengths, wishes, said=said)


def _folder(order: Order, planned: Planned) -> Path:
    """Where a result goes: under the patient's label, if there is one."""
    session, patient = planned.session, planned.case.patient
    name = result_name(session.title, session.length, session.rate_hz)
    label = patient.label if patient else ""
    return order.output / safe_name(label) / name if label else order.output / name


def speaker_of(case: Case, order: Order) -> Speaker:
    """The voice asked for, over the usual store; what the patient's file says stays private.

    Raises :class:`InputProblems` or :class:`UsageProblem` for a voice that is not there.
    """
    store = ClipStore(default_store_folder())
    store.sweep()
    profile = profile_of(case, order)
    return speaker_for(
        profile,
        voice_folders(order.voices),
        rate_hz=order.rate_hz,
        store=store,
        private=private_lines(case),
    )


def private_lines(case: Case) -> frozenset[str]:
    """What is said to this patient alone: it leaves no trace in a store."""
    return frozenset({case.patient.greeting, *case.patient.cautions} if case.patient else ())


def profile_of(case: Case, order: Order) -> VoiceProfile:
    """The voice asked for, speaking to the patient's ears.

    A voice that the routine names wrongly is the routine's problem, and a background that
    cannot be is the patient's file's.
    """
    profile = voice_for(case.routine, order.voice, voice_folders(order.voices))
    return heard_with(profile, case.patient)


def require_formats(formats: Sequence[str]) -> None:
    """Raise :class:`UsageProblem` for a format that is not there, naming the nearest."""
    for wanted in formats:
        if wanted not in FORMATS:
            raise UsageProblem(f"there is no format `{wanted}`. {did_you_mean(wanted, FORMATS)}")


def _prescribed(planned: Planned, sound: Levelled, pictures: Mapping[str, Picture]) -> Prescribed:
    case = planned.case
    return Prescribed(
        routine=case.routine,
        session=planned.session,
        voices=_voices(planned),
        gain_db=sound.gain_db,
        totals=planned.totals,
        checked=case.checked,
        patient=case.patient,
        changes=case.changes,
        week=case.week,
        pictures=pictures,
    )


def _write_record(
    prescribed: Prescribed, folder: Path, report: Report | None, *, page: Wanted | None = None
) -> None:
    """The record as data, after its page to sign if one is wanted."""
    checks = [
        {"check": one.check, "file": one.file, "passed": one.passed, "detail": one.detail}
        for one in (report.findings if report else ())
    ]
    if page is not None:
        write_record_page(prescribed, folder, described_files(folder), checks, page.paper)
    write(folder / RECORD_NAME, record_text(prescribed, described_files(folder), checks))


def _voices(planned: Planned) -> list[dict[str, str]]:
    """The voices that say something in the session."""
    heard = {line.voice for line in planned.session.spoken}
    return [one for one in planned.speaker.fingerprints() if one["voice"] in heard]


def _stage(progress: Progress, stage: str) -> Callable[[int, int], None]:
    return lambda done, total: progress(stage, done, total)
