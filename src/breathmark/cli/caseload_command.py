"""The command ``caseload``; what is heavy is imported when it runs."""

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
    Quiet,
    TimeOfDay,
    Tracks,
    VoiceName,
    Zone,
    formats_of,
    remark_past,
    require_folder,
    wanted_of,
)

if TYPE_CHECKING:
    from breathmark.caseload.outcome import Outcome
    from breathmark.orders import Order


def caseload(
    file: Annotated[
        Path,
        typer.Argument(help="A list of patients (YAML) or a table of them (CSV)."),
    ],
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
    jobs: Annotated[
        int | None,
        typer.Option("--jobs", "-j", min=1, max=60, help="How many at once; usually all cores."),
    ] = None,
    quiet: Quiet = False,
) -> None:
    """Make the recordings of many patients, over all cores of this computer.

    The file is a list of patient files, or a table with a patient on each row: columns
    such as label, routine, length, avoid. What is wrong with one patient stops only that
    one. It may be stopped at any time (Ctrl-C): started again it goes on where it was,
    and what is there already and would come out the same is not made again. At the end
    stands a table, also in caseload.csv in the output folder. Exit status 1 when somebody
    has no recording.

    For example:

      breathmark caseload tuesday.csv

      breathmark caseload clinic.yaml --output results --format mp3,m4a --jobs 2
    """
    from breathmark.caseload.running import all_built
    from breathmark.cli.caseload import caseload_text, problems_text
    from breathmark.orders import Order

    require_folder(output, "--output")
    wanted = wanted_of(bare=bare, tracks=tracks, embed=embed, first_day=first_day, at=at,
                       zone=zone, paper=paper, mail_limit=mail_limit)  # fmt: skip
    remark_past(wanted.start)
    order = Order(source=file, output=output, formats=formats_of(format_), voice=voice,
                  voices=voices, wanted=wanted)  # fmt: skip
    outcomes = _outcomes(order, jobs, quiet=quiet)
    if not quiet:
        typer.echo(caseload_text(outcomes, output))
    elif not all_built(outcomes):
        typer.echo(problems_text(outcomes), err=True)
    if not all_built(outcomes):
        raise typer.Exit(1)


def _outcomes(order: Order, jobs: int | None, *, quiet: bool) -> tuple[Outcome, ...]:
    from breathmark.caseload.running import TableLostError, build_caseload
    from breathmark.cli.caseload import counting, outcomes_text

    try:
        with counting(quiet=quiet) as told:
            return build_caseload(order, told, jobs=jobs)
    except TableLostError as lost:
        if not quiet:  # what the table would have told
            typer.echo(outcomes_text(lost.outcomes, order.output))
        raise
