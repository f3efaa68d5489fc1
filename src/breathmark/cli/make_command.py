"""``breathmark make``: the recording and everything that is handed over with it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from breathmark.cli.options import (
    Bare,
    Embed,
    FirstDay,
    Formats,
    MailLimit,
    Output,
    OwnVoices,
    Paper,
    PatientFile,
    Quiet,
    SourceFile,
    TimeOfDay,
    Tracks,
    VoiceName,
    Week,
    Weeks,
    Zone,
    formats_of,
    remark_past,
    require_folder,
    wanted_of,
)
from breathmark.problems import UsageProblem

if TYPE_CHECKING:
    from breathmark.pipeline import Order


def make(
    routine: SourceFile,
    patient: PatientFile = None,
    week: Week = 1,
    weeks: Weeks = False,
    output: Output = Path("output"),
    format_: Formats = "mp3",
    voice: VoiceName = None,
    voices: OwnVoices = None,
    tracks: Tracks = False,
    embed: Embed = False,
    first_day: FirstDay = None,
    at: TimeOfDay = None,
    zone: Zone = None,
    paper: Paper = "a4",
    mail_limit: MailLimit = 20.0,
    bare: Bare = False,
    no_label: Annotated[
        bool, typer.Option("--no-label", help="Leave the patient's label out of everything.")
    ] = False,
    only: Annotated[
        str | None, typer.Option("--only", help="One exercise, as a sample for your own ear.")
    ] = None,
    quiet: Quiet = False,
) -> None:
    """Make the recording, prove it against the plan, and put it in place.

    The result is a folder with the recording, captions, handout, player page, a draft
    message, the plan and the record. It appears whole or not at all, and takes the place
    of an earlier one: to keep what was sent, name another --output. [bold]--weeks[/bold]
    makes a recording for each week in which something changes; [bold]--from[/bold] adds
    reminders.

    For example:

      breathmark make routine.yaml

      breathmark make r-204.yaml --format mp3,m4a --voice clear --from 2026-12-01

      breathmark make routine.yaml --only "Seated calf stretch"

    A sample of one exercise leaves out the cautions, and is called a sample: never send it.
    """
    if weeks and only is not None:
        raise UsageProblem("--only makes one sample. Leave --weeks away, or name one --week.")
    if only is not None and (tracks or embed or first_day):
        raise UsageProblem("--only makes one sample, a recording alone. "
                           "Leave --tracks, --embed and --from away.")  # fmt: skip
    if weeks:
        require_series(week)
    require_folder(output, "--output")
    wanted = wanted_of(bare=bare, tracks=tracks, embed=embed, first_day=first_day, at=at,
                       zone=zone, paper=paper, mail_limit=mail_limit)  # fmt: skip
    remark_past(wanted.start)
    from breathmark.pipeline import Order

    order = Order(source=routine, patient=patient, week=week, output=output,
                  formats=formats_of(format_), voice=voice, voices=voices,
                  label=not no_label, only=only, wanted=wanted)  # fmt: skip
    _carried_out(order, weeks=weeks, quiet=quiet)


def _carried_out(order: Order, *, weeks: bool, quiet: bool) -> None:
    from breathmark.cli.progress import listening
    from breathmark.cli.showing import result_text
    from breathmark.pipeline import make as make_recording

    if weeks:
        write_series(order, quiet=quiet)
        return
    with listening(quiet=quiet) as progress:
        made = make_recording(order, progress)
    if not quiet:
        typer.echo(result_text(made))


def require_series(week: int, save: Path | None = None) -> None:
    """Raise :class:`UsageProblem` for what makes no sense beside ``--weeks``."""
    if week != 1:
        raise UsageProblem("--week names one week, --weeks is all of them. Take one out.")
    if save is not None:
        raise UsageProblem("--save keeps one plan. Name its week with --week, without --weeks.")


def show_series(order: Order, *, quiet: bool) -> None:
    """What ``plan --weeks`` does."""
    from breathmark.cli.progress import listening
    from breathmark.cli.showing import table_width
    from breathmark.cli.weeks import rise_text
    from breathmark.series import plan_series

    with listening(quiet=quiet) as progress:
        planned = plan_series(order, progress)
    if not quiet:
        typer.echo(rise_text(planned, width=table_width()))


def write_series(order: Order, *, quiet: bool) -> None:
    """What ``make --weeks`` does."""
    from breathmark.cli.progress import listening
    from breathmark.cli.showing import table_width
    from breathmark.cli.weeks import made_in_turn, series_text

    with listening(quiet=quiet) as progress:
        series = made_in_turn(order, progress, quiet=quiet)
    if not quiet:
        typer.echo(series_text(series, width=table_width()))
