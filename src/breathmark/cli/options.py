"""Arguments and options that several commands share, each with its help."""

from __future__ import annotations

import os
from datetime import date, time
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from breathmark.problems import UsageProblem

if TYPE_CHECKING:
    from breathmark.deliver.handing import Wanted

SourceFile = Annotated[
    Path,
    typer.Argument(
        help="A routine file, or a patient file that names its routine.", metavar="ROUTINE"
    ),
]
PatientFile = Annotated[
    Path | None, typer.Option("--patient", help="A patient file, for this routine.")
]
Week = Annotated[int, typer.Option("--week", min=1, max=104, help="The week, counted from 1.")]
Weeks = Annotated[
    bool, typer.Option("--weeks", help="Every week in which something changes, as a series.")
]
VoiceName = Annotated[
    str | None, typer.Option("--voice", help="A voice instead of the routine's own.")
]
OwnVoices = Annotated[
    Path | None, typer.Option("--voices", help="A folder with voice profiles of your own.")
]
Output = Annotated[Path, typer.Option("--output", "-o", help="The folder that results go into.")]
Formats = Annotated[
    str, typer.Option("--format", help="One or more of mp3, m4a, opus, flac, wav, with commas.")
]
Quiet = Annotated[bool, typer.Option("--quiet", "-q", help="Say only what went wrong.")]


Tracks = Annotated[
    bool, typer.Option("--tracks", help="Also a file for each chapter, with a playlist.")
]
Embed = Annotated[
    bool, typer.Option("--embed", help="Carry the recording inside the player's page.")
]
FirstDay = Annotated[
    str | None,
    typer.Option("--from", help="The first day, as 2026-12-01: writes reminders.ics."),
]
TimeOfDay = Annotated[
    list[str] | None,
    typer.Option("--at", help="With --from, when a reminder comes, as 9:30; may be repeated."),
]
Zone = Annotated[
    str | None,
    typer.Option("--zone", help="With --from, the clinic's time zone, as Europe/Berlin."),
]
Paper = Annotated[str, typer.Option("--paper", help="The paper: a4 or letter.")]
MailLimit = Annotated[
    float, typer.Option("--mail-limit", min=1, help="The most a message may have, in MB.")
]
Bare = Annotated[
    bool,
    typer.Option(
        "--bare", help="The recording, captions.vtt, plan.json, plan.svg and record.json alone."
    ),
]


def wanted_of(
    *,
    bare: bool,
    tracks: bool,
    embed: bool,
    first_day: str | None,
    at: list[str] | None,
    zone: str | None,
    paper: str,
    mail_limit: float,
) -> Wanted:
    """What is wanted beside the recording; :class:`UsageProblem` for what cannot be."""
    from breathmark.deliver.handing import Wanted

    if bare and embed:
        raise UsageProblem("--bare makes no page to embed the recording in. Take one out.")
    if first_day is None and (at or zone):
        raise UsageProblem(
            f"{'--at' if at else '--zone'} needs --from: without a first day there are no "
            "reminders. Write for example --from 2026-12-01"
        )
    if paper not in ("a4", "letter"):
        raise UsageProblem(f"there is no paper `{paper}`. Write --paper a4 or --paper letter")
    return Wanted(
        papers=not bare,
        tracks=tracks,
        embed=embed,
        start=None if first_day is None else _day(first_day),
        at=tuple(_time_of_day(text) for text in at or ()),
        zone=zone,
        paper=paper,
        mail_bytes=int(mail_limit * 1_000_000),
    )


def require_folder(path: Path, option: str) -> None:
    """Raise :class:`UsageProblem` when a file is where the option's folder should be."""
    there = next((one for one in (path, *path.parents) if os.path.exists(one)), None)
    if there is not None and not os.path.isdir(there):
        raise UsageProblem(f"{there} is a file. Name a folder for {option}, such as output")


def remark_past(first_day: date | None) -> None:
    """Say it on the error stream when the reminders begin before today."""
    if first_day is not None and first_day < date.today():
        typer.echo(
            f"Remark: --from {first_day} is past already, so reminders lie in the past.", err=True
        )


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise UsageProblem(
            f"`{text}` is no day. Write year, month and day, for example --from 2026-12-01"
        ) from error


def _time_of_day(text: str) -> time:
    hours, _, minutes = text.partition(":")
    if hours.isdecimal() and minutes.isdecimal() and int(hours) < 24 and int(minutes) < 60:
        return time(int(hours), int(minutes))
    raise UsageProblem(f"`{text}` is no time of day. Write for example --at 9:30")


def formats_of(text: str) -> tuple[str, ...]:
    """The formats that an option names; :class:`UsageProblem` when it names none."""
    formats = tuple(part.strip().lower().lstrip(".") for part in text.split(",") if part.strip())
    if not formats:
        raise UsageProblem("--format names no format. Write for example --format mp3")
    return formats
