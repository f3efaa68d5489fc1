"""What goes into a build and what comes out of it: orders, cases, plans, results."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Protocol

from breathmark.deliver.handing import Handed, Wanted
from breathmark.dose.checks import CheckResult
from breathmark.dose.totals import DoseTotals
from breathmark.problems import Fault
from breathmark.proof.check import Report
from breathmark.routine.model import Coaching, Routine
from breathmark.routine.patient import Patient
from breathmark.routine.tailoring import Change
from breathmark.script.session import Session
from breathmark.speech.speaker import Speaker
from breathmark.units import SESSION_RATE_HZ


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
    searched before those that come with Breathmark.  Without ``label`` nothing that is made
    says whose it is.  ``only`` names one exercise, of which a sample is made to be listened
    to: without the cautions, and called a sample.
    """

    source: Path
    patient: Path | None = None
    week: int = 1
    output: Path = Path("output")
    formats: tuple[str, ...] = ("mp3",)
    voice: str | None = None
    voices: Path | None = None
    rate_hz: int = SESSION_RATE_HZ
    label: bool = True
    wanted: Wanted = field(default_factory=Wanted)
    only: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Case:
    """A routine as this patient does it in this week, looked through as a colleague would.

    ``album`` is the title of the series, to which a later week adds its number.  A
    ``sample`` is one exercise for the clinician's ear, and no session for a patient.
    """

    routine: Routine
    checked: CheckResult
    album: str
    patient: Patient | None = None
    changes: tuple[Change, ...] = ()
    coaching: Coaching | None = None
    week: int = 1
    sample: bool = False


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
    """What a build left: the folder, its files, the plan, the proof, and what to know of it."""

    folder: Path
    files: tuple[Path, ...]
    planned: Planned
    report: Report
    handed: Handed = field(default_factory=Handed)

    @property
    def said(self) -> tuple[str, ...]:
        """Sentences for the clinician."""
        return self.handed.said

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
