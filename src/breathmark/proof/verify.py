"""The whole proof: a result folder read back and held against its plan.

Every recording is decoded once and measured on the way; what its container says is
read by libraries that had no part in writing it, where there are any.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

from breathmark.deliver.plan_json import plan_from_json
from breathmark.problems import InputProblems
from breathmark.proof.captions import CaptionError, read_webvtt
from breathmark.proof.check import Check, Finding, Report, finding
from breathmark.proof.container import chapter_finding, tag_finding
from breathmark.proof.decode import KINDS, SoundFile, UnreadableError, sound_file
from breathmark.proof.limits import CAPTION_MS
from breathmark.proof.listen import listen
from breathmark.proof.message import message_findings
from breathmark.proof.record import TextError, read_text, record_finding
from breathmark.proof.sounding import sound_findings
from breathmark.proof.subtitles import caption_problems, furthest_ms
from breathmark.proof.tracks import track_findings
from breathmark.script.session import Session
from breathmark.units import counted

PLAN_NAME = "plan.json"
CAPTIONS_NAME = "captions.vtt"

Progress = Callable[[int, int], None]
"""Told how many samples of how many have been heard, over all recordings."""

_OPUS_RATE_HZ = 48_000  # RFC 7845, 5: Opus always decodes to this rate


def verify_folder(folder: Path, *, progress: Progress | None = None) -> Report:
    """Read back what a build wrote into ``folder`` and hold it against the plan.

    Whatever is wrong with the folder becomes a finding; nothing is raised for it.
    ``progress`` is told how far the listening has come.
    """
    recordings = _recordings(folder)
    findings = [_folder_finding(folder, recordings)]
    session, dose, plan = _plan(folder)
    findings.append(plan)
    proved = [PLAN_NAME, CAPTIONS_NAME, *(path.name for path in recordings)]
    if folder.is_dir():
        findings.append(record_finding(folder, proved, session, dose))
    if session is not None:
        findings.append(_caption_finding(folder, session))
        for index, path in enumerate(recordings):
            part = _Part(index=index, of=len(recordings), session=session, progress=progress)
            findings += _recording_findings(path, session, part)
        findings += track_findings(folder, session)
        prove = partial(_recording_findings, session=session, progress=None)
        findings += message_findings(folder, recordings, prove)
    return Report(tuple(findings))


@dataclass(frozen=True, kw_only=True, slots=True)
class _Part:
    """The progress of one of several recordings of equal length."""

    index: int
    of: int
    session: Session
    progress: Progress | None

    def __call__(self, heard: int) -> None:
        if self.progress is not None:
            length = self.session.length
            self.progress(self.index * length + heard, self.of * length)


def _recordings(folder: Path) -> list[Path]:
    """The sound files of a folder, by name."""
    try:
        found = [path for path in folder.iterdir() if path.suffix.lower() in KINDS]
    except OSError:
        return []
    return sorted(path for path in found if not path.name.startswith("."))


def _folder_finding(folder: Path, recordings: list[Path]) -> Finding:
    problems = []
    if not folder.is_dir():
        problems.append("there is no such folder")
    elif not recordings:
        problems.append(f"there is no recording in it (none of {', '.join(KINDS)})")
    return finding(
        Check.FOLDER,
        ".",
        problems,
        good=f"there is {counted(len(recordings), 'recording')} in it",
        measured=counted(len(recordings), "recording"),
        allowed="1 or more",
    )


def _plan(folder: Path) -> tuple[Session | None, Any, Finding]:
    """The plan, the dose totals that it carries or ``None``, and what was found in it."""
    session, dose, problems = None, None, []
    try:
        text = read_text(folder / PLAN_NAME)
        session = plan_from_json(text, file=PLAN_NAME)
        dose = json.loads(text.removeprefix("\ufeff")).get("dose")
    except TextError as error:
        problems.append(f"the plan {error}")
    except InputProblems as error:
        problems += [f"line {one.place.line}: {one.message}" for one in error.problems]
    measured = "" if session is None else counted(len(session.events), "event")
    good = f"the plan agrees with itself: {measured}"
    if session is not None and session.length == 0:
        session, problems = None, ["the plan has no time in it"]
    found = finding(
        Check.PLAN, PLAN_NAME, problems, good=good, measured=measured, allowed="no contradiction"
    )
    return session, dose, found


def _caption_finding(folder: Path, session: Session) -> Finding:
    problems, measured, good = [], "", ""
    try:
        cues = read_webvtt(read_text(folder / CAPTIONS_NAME))
    except (TextError, CaptionError) as error:
        verb = "" if isinstance(error, TextError) else "are not WebVTT as it should be, "
        problems.append(f"the captions {verb}{error}")
    else:
        problems = caption_problems(cues, session)
        lines = counted(len(session.spoken), "line")
        measured = f"{lines}, {furthest_ms(cues, session):.1f} ms off"
        good = f"every line of the plan is shown once, in its time: {measured} at most"
    return finding(
        Check.CAPTIONS,
        CAPTIONS_NAME,
        problems,
        good=good,
        measured=measured,
        allowed=f"{counted(len(session.spoken), 'line')}, {CAPTION_MS:g} ms",
    )


def _recording_findings(
    path: Path, session: Session, progress: Callable[[int], None] | None
) -> list[Finding]:
    try:
        sound = sound_file(path)
        if problem := _rate_problem(sound, session):
            return [_readable(path, [problem], session)]
        heard = listen(sound, session, progress)
    except UnreadableError as error:
        return [_readable(path, [str(error)], session)]
    return [
        _readable(path, [], session),
        *sound_findings(path.name, heard, session),
        chapter_finding(sound, session),
        tag_finding(path, session),
    ]


def _rate_due_hz(path: Path, session: Session) -> int:
    return _OPUS_RATE_HZ if path.suffix == ".opus" else session.rate_hz


def _rate_problem(sound: SoundFile, session: Session) -> str:
    due_hz = _rate_due_hz(sound.path, session)
    if sound.rate_hz == due_hz:
        return ""
    return f"it has {sound.rate_hz} samples a second where {due_hz} are due"


def _readable(path: Path, problems: list[str], session: Session) -> Finding:
    rate = f"{_rate_due_hz(path, session)} Hz"
    return finding(
        Check.READABLE,
        path.name,
        problems,
        good=f"it is one channel of sound at {rate}",
        measured="" if problems else f"1 channel, {rate}",
        allowed=f"1 channel, {rate}",
    )
