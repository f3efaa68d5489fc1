"""The commands: each reads its options, calls the pipeline and shows what came of it.

Heavy modules are imported inside the commands, so that ``--help`` answers at once.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from breathmark import __version__
from breathmark.cli.boundary import run
from breathmark.cli.caseload_command import caseload
from breathmark.cli.exercises_command import exercises
from breathmark.cli.lexicon_command import lexicon
from breathmark.cli.make_command import make, require_series, show_series
from breathmark.cli.once import Once, OnceGroup
from breathmark.cli.options import (
    OwnVoices,
    PatientFile,
    Quiet,
    SourceFile,
    VoiceName,
    Week,
    Weeks,
    require_folder,
)
from breathmark.cli.pasting import as_typed
from breathmark.cli.recording import lines, record_in
from breathmark.problems import UsageProblem

if TYPE_CHECKING:
    pass

app = typer.Typer(
    name="breathmark",
    cls=OnceGroup,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode="rich",
    add_completion=False,
    context_settings={"help_option_names": ["--help", "-h"]},
)
voices_app = typer.Typer(rich_markup_mode="rich", cls=OnceGroup)
app.add_typer(voices_app, name="voices", invoke_without_command=True)


def main() -> None:
    """Run the command line and exit: 0 done, 1 a file of yours, 2 the command, 3 our fault."""
    run(app)


def _show_version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"Breathmark {__version__}")
        raise typer.Exit


@app.callback()
def _breathmark(
    _version: Annotated[
        bool,
        typer.Option("--version", callback=_show_version, is_eager=True, help="Show the version."),
    ] = False,
) -> None:
    """Turn a written home routine into a hands-free, voice-guided recording of exact length.

    Start with [bold]breathmark new my-clinic[/bold], read the file it writes, then:

      breathmark check my-clinic/routine.yaml

      breathmark plan my-clinic/routine.yaml

      breathmark make my-clinic/routine.yaml

    Everything stays on this computer. Breathmark never replaces a clinician's judgement.
    """


@app.command(cls=Once)
def new(
    folder: Annotated[Path, typer.Argument(help="A folder; it is made when it is not there.")],
) -> None:
    """Write a starting routine and a patient's file, with comments that teach the language.

    The pages that explain every word of both lie beside them.

    Example: breathmark new my-clinic
    """
    from breathmark.cli.starting import start_folder

    first, *others = start_folder(folder)
    typer.echo("\n".join(f"Wrote {path}" for path in (first, *others)))
    typer.echo(f"Change it in any text editor, then: breathmark plan {as_typed(first)}")


@app.command(cls=Once)
def check(
    routine: SourceFile, patient: PatientFile = None, week: Week = 1, quiet: Quiet = False
) -> None:
    """Read a routine and show everything that is wrong in it, at once.

    Each problem comes with its line, a mark under the spot, and a remedy. Then the
    routine is looked through as a colleague would: errors stop a build, cautions ask you
    to look again, notes are something to know. Nothing is spoken or written, so this
    takes no time: use it while you write.

    For example:

      breathmark check routine.yaml

      breathmark check routine.yaml --patient r-204.yaml
    """
    from breathmark.cli.showing import checked_text
    from breathmark.pipeline import read_case

    case = read_case(routine, patient, week=week)
    if not quiet:
        typer.echo(checked_text(case, routine))


@app.command(cls=Once)
def plan(
    routine: SourceFile,
    patient: PatientFile = None,
    week: Week = 1,
    weeks: Weeks = False,
    voice: VoiceName = None,
    voices: OwnVoices = None,
    save: Annotated[
        Path | None, typer.Option("--save", help="Also write plan.json and plan.svg there.")
    ] = None,
    every: Annotated[
        bool, typer.Option("--every-event", help="Show each count and tone on a line.")
    ] = False,
    quiet: Quiet = False,
) -> None:
    """Show the whole session by the clock before anything is recorded.

    The table says when each line is heard, what the patient does meanwhile, on which
    side and in which set; under it stand the dose, what was changed and why, and what a
    colleague would remark. [bold]--save[/bold] adds the plan as a picture and as data;
    [bold]--weeks[/bold] shows instead how the dose rises from week to week.

    For example:

      breathmark plan routine.yaml

      breathmark plan routine.yaml --patient r-204.yaml --voice clear --save drafts

      breathmark plan r-204.yaml --weeks
    """
    if weeks:
        require_series(week, save)
    if save is not None:
        require_folder(save, "--save")
    from breathmark.cli.progress import listening
    from breathmark.cli.showing import plan_text, save_plan
    from breathmark.pipeline import Order
    from breathmark.pipeline import plan as make_plan

    order = Order(source=routine, patient=patient, week=week, voice=voice, voices=voices)
    if weeks:
        show_series(order, quiet=quiet)
        return
    with listening(quiet=quiet) as progress:
        planned = make_plan(order, progress)
    if not quiet:
        typer.echo(plan_text(planned, every=every))
    if save is not None:
        for path in save_plan(planned, save):
            typer.echo(f"Wrote {path}")


app.command(cls=Once)(make)
app.command(cls=Once)(exercises)
app.command(cls=Once)(caseload)
app.command(cls=Once)(lines)
app.command("record-in", cls=Once)(record_in)


@app.command(cls=Once)
def verify(
    folder: Annotated[Path, typer.Argument(help="A folder that `breathmark make` wrote.")],
    quiet: Quiet = False,
) -> None:
    """Decode what lies in a result folder and hold it against its plan.

    Length to the sample, chapters, every tone, loudness, silence, captions, the
    recording in the message and the files' hashes; the record must be as it was made and
    say what the plan says. Exit status 1 when anything does not agree.

    Example: breathmark verify output/steady-on-your-feet-12min
    """
    from breathmark.cli.progress import listening
    from breathmark.cli.showing import table_width
    from breathmark.proof.verify import verify_folder

    if not folder.is_dir():
        raise UsageProblem(f"{folder} is not a folder. Name the folder that `make` wrote.")
    with listening(quiet=quiet) as progress:
        report = verify_folder(
            folder, progress=lambda done, total: progress("proving", done, total)
        )
    if not quiet or not report.passed:
        typer.echo(report.text(table_width()))
    if not report.passed:
        raise typer.Exit(1)


@app.command(cls=Once)
def compare(
    before: Annotated[
        Path, typer.Argument(help="A result folder, or a record.json.", metavar="BEFORE")
    ],
    now: Annotated[Path, typer.Argument(help="The one to compare it with.", metavar="NOW")],
) -> None:
    """Say in words what differs between two records.

    Exercises that came, went or moved, doses, length, voice, cautions, what a colleague
    remarked, checks, versions, and which files are the same byte for byte.

    For example:

      breathmark compare output/r-204/steady-12min output/r-204/steady-15min
    """
    from breathmark.cli.showing import table_width, wrapped
    from breathmark.deliver.compare import compared_text, read_record

    text = compared_text(read_record(before), read_record(now))
    typer.echo(wrapped(text, width=table_width()))


@voices_app.callback()
def _voices(context: typer.Context, voices: OwnVoices = None) -> None:
    """List the voices, or hear one say a line.

    For example:

      breathmark voices

      breathmark voices say "Back heel heavy on the floor." --voice clear
    """
    if context.invoked_subcommand is None:
        list_voices(voices)
    elif voices is not None:  # a folder named before the command counts for it, too
        context.default_map = {context.invoked_subcommand: {"voices": str(voices)}}


@voices_app.command("list", cls=Once)
def list_voices(voices: OwnVoices = None) -> None:
    """List the voices there are: name, engine, pace and what they are for."""
    from breathmark.cli.showing import voices_text
    from breathmark.speech.profiles import list_profiles, voice_folders

    typer.echo(voices_text(list_profiles(voice_folders(voices))))


voices_app.command(cls=Once)(lexicon)


@voices_app.command(cls=Once)
def say(
    line: Annotated[str, typer.Argument(help="What to say, in quotation marks.")],
    voice: Annotated[str, typer.Option("--voice", help="Which voice says it.")] = "calm",
    voices: OwnVoices = None,
    to: Annotated[Path, typer.Option("--to", help="The sound file to write (WAV).")] = Path(
        "line.wav"
    ),
) -> None:
    """Speak one line into a WAV file, to hear how it will sound.

    Example: breathmark voices say "Slide your left foot back." --voice clear --to try.wav
    """
    from breathmark.speech.profiles import load_profile, voice_folders
    from breathmark.speech.say import say as say_line
    from breathmark.speech.store import ClipStore, default_store_folder

    if not line.strip():
        raise UsageProblem("there is nothing to say. Write a line in quotation marks.")
    if to.suffix.lower() != ".wav":
        raise UsageProblem(f"{to} has no ending .wav, and what is written is WAV. "
                           "Write for example --to line.wav")  # fmt: skip
    profile = load_profile(voice, voice_folders(voices))
    lasts_s = say_line(profile, line, to, store=ClipStore(default_store_folder()))
    typer.echo(f"Wrote {to}, {lasts_s:.1f} s")
