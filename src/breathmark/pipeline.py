"""The whole way, from a routine file to a recording that was proved.

:func:`make` is the story in one function; what it calls is in the rooms above.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from breathmark.deliver.audio import FORMATS, Chapter, Recording, Tags, open_writer
from breathmark.deliver.captions import captions_text, captions_vtt
from breathmark.deliver.plan_json import plan_to_json
from breathmark.deliver.plan_svg import plan_svg
from breathmark.deliver.publish import publishing, safe_name
from breathmark.deliver.record import (
    RECORD_NAME,
    STANDING,
    Prescribed,
    described_files,
    record_text,
)
from breathmark.problems import Fault, InputProblems, Problem, UsageProblem, did_you_mean
from breathmark.proof.check import Report
from breathmark.proof.verify import verify_folder
from breathmark.routine.model import Routine
from breathmark.routine.reading import read_routine
from breathmark.script.draft import SpeechLengths
from breathmark.script.planner import plan_session
from breathmark.script.session import Session
from breathmark.script.wishes import Wishes
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
    """What is to be made: the routine's file, and where and how.

    ``voice`` of ``None`` is the routine's own; ``voices`` is a folder of the clinician's
    own profiles, searched before those that come with Breathmark.
    """

    routine: Path
    output: Path = Path("output")
    formats: tuple[str, ...] = ("mp3",)
    voice: str | None = None
    voices: Path | None = None
    rate_hz: int = SESSION_RATE_HZ


@dataclass(frozen=True, kw_only=True, slots=True)
class Planned:
    """A routine with its plan and the voice that was measured for it."""

    routine: Routine
    session: Session
    speaker: Speaker


@dataclass(frozen=True, kw_only=True, slots=True)
class Made:
    """What a build left: the folder, its files, the plan and the proof."""

    folder: Path
    files: tuple[Path, ...]
    session: Session
    report: Report
    notes: tuple[str, ...]


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


def plan(order: Order, progress: Progress = unheard) -> Planned:
    """Read a routine, measure its lines in the voice and plan the session.

    Raises :class:`InputProblems` for what is wrong in the routine's file,
    :class:`UsageProblem` for a voice that is not there.
    """
    routine = read_routine(order.routine)
    speaker = _speaker(routine, order)
    wishes = Wishes(voice=order.voice or routine.voice)
    known: dict[str, int] = {}
    while True:
        lengths = SpeechLengths(known, rate_hz=order.rate_hz)
        try:
            session = plan_session(routine, lengths, wishes)
        except InputProblems:
            if not lengths.missing:
                raise
        else:
            if not lengths.missing:
                return Planned(routine=routine, session=session, speaker=speaker)
        known |= speaker.measure(lengths.missing, _stage(progress, "speaking"))


def make(order: Order, progress: Progress = unheard) -> Made:
    """Make a recording with everything around it, prove it, and put it in place.

    Raises :class:`InputProblems`, :class:`UsageProblem` or :class:`Fault`; whatever
    happens, the result folder holds the whole old result or the whole new one.
    """
    _require_formats(order.formats)
    planned = plan(order, progress)
    session, speaker = planned.session, planned.speaker
    sound = levelled(Mix(session, clip=lambda line: speaker.clip(line.text)))
    folder = order.output / result_name(planned.routine, session)
    with publishing(folder) as staging:
        _write_sound(planned, sound, staging, order.formats, progress)
        _write_plan(session, staging)
        _write_record(planned, sound, staging, None)
        report = verify_folder(staging, progress=_stage(progress, "proving"))
        if not report.passed:
            raise ProofFailed(report)
        _write_record(planned, sound, staging, report)
        names = sorted(path.name for path in staging.iterdir() if not path.name.startswith("."))
    return Made(
        folder=folder,
        files=tuple(folder / name for name in names),
        session=session,
        report=report,
        notes=(*session.notes, *speaker.notes),
    )


def result_name(routine: Routine, session: Session) -> str:
    """The name of a result's folder: the routine's title and the length of the session."""
    minutes, rest_ms = divmod(milliseconds(session.length, session.rate_hz), 60_000)
    odd = f"{rest_ms // 1000:02}s" if rest_ms else ""
    return f"{safe_name(routine.title)}-{minutes}min{odd}"


def _speaker(routine: Routine, order: Order) -> Speaker:

    profile = _profile(routine, order)
    store = ClipStore(default_store_folder())
    store.sweep()
    return Speaker(profile, rate_hz=order.rate_hz, store=store)


def _profile(routine: Routine, order: Order) -> VoiceProfile:
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


def _require_formats(formats: Sequence[str]) -> None:

    for wanted in formats:
        if wanted not in FORMATS:
            raise UsageProblem(f"there is no format `{wanted}`. {did_you_mean(wanted, FORMATS)}")


def _write_sound(
    planned: Planned,
    sound: Levelled,
    folder: Path,
    formats: Iterable[str],
    progress: Progress,
) -> None:
    """Feed one stream of samples to a writer for each format."""
    session = planned.session
    recording = _recording(planned)
    stem = safe_name(session.title)
    done = 0
    with ExitStack() as stack:
        writers = [
            stack.enter_context(open_writer(wanted, folder / f"{stem}.{wanted}", recording))
            for wanted in dict.fromkeys(formats)
        ]
        for block in sound.blocks():
            for writer in writers:
                writer.add(block)
            done += len(block)
            progress("writing", done, session.length)


def _recording(planned: Planned) -> Recording:

    session = planned.session
    return Recording(
        rate_hz=session.rate_hz,
        length=session.length,
        chapters=tuple(
            Chapter(title=block.title, start=block.start, length=block.length)
            for block in session.blocks
        ),
        tags=Tags(title=session.title, comment=STANDING, language=session.language),
        lyrics=captions_text(session),
    )


def _write_plan(session: Session, folder: Path) -> None:

    _write(folder / "captions.vtt", captions_vtt(session))
    _write(folder / "plan.json", plan_to_json(session))
    _write(folder / "plan.svg", plan_svg(session))


def _write_record(planned: Planned, sound: Levelled, folder: Path, report: Report | None) -> None:
    prescribed = Prescribed(
        routine=planned.routine,
        session=planned.session,
        voices=[planned.speaker.fingerprint()],
        gain_db=sound.gain_db,
    )
    checks = [
        {"check": one.check, "file": one.file, "passed": one.passed, "detail": one.detail}
        for one in (report.findings if report else ())
    ]
    _write(folder / RECORD_NAME, record_text(prescribed, described_files(folder), checks))


def _write(path: Path, text: str) -> None:
    path.write_text(text, encoding="utf-8", newline="\n")


def _stage(progress: Progress, stage: str) -> Callable[[int, int], None]:
    return lambda done, total: progress(stage, done, total)
