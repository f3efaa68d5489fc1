"""The commands ``lines`` and ``record-in``: a voice of one's own; heavy parts load when run."""

from __future__ import annotations

import textwrap
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from breathmark.cli.options import OwnVoices, PatientFile, Quiet, SourceFile, Week
from breathmark.cli.pasting import as_typed
from breathmark.units import SESSION_RATE_HZ, clock_text

if TYPE_CHECKING:
    from breathmark.pipeline import Planned
    from breathmark.speech.intake import Intake, Remark
    from breathmark.speech.profiles import VoiceProfile
    from breathmark.speech.recorded import Recordings
    from breathmark.speech.sheet import Sheet
    from breathmark.speech.speaker import Clip

OwnName = Annotated[str, typer.Option("--voice", help="The name of your voice.")]
Otherwise = Annotated[
    str | None, typer.Option("--otherwise", help="The voice for lines that are not recorded.")
]
_PAUSE_S = 1.0
_WHAT_NOW = (
    "`breathmark lines` writes a new sheet with what still lacks. Until then these rows",
    "are said by the other voice; the plan shows which.",
)
_TELLS_WHERE = 8  # sounds that belong to no row are told one by one up to here


def lines(
    routine: SourceFile,
    patient: PatientFile = None,
    week: Week = 1,
    voice: OwnName = "mine",
    voices: OwnVoices = None,
    to: Annotated[
        Path | None, typer.Option("--to", help="A text file to write instead of showing it.")
    ] = None,
    quiet: Quiet = False,
) -> None:
    """Write the sheet of lines to read aloud for a recording in your own voice.

    Every line of the planned session stands in it once, in order and numbered, in pieces
    of one breath; what is recorded already is left out. A row with a star is said to this
    patient alone.

    For example:

      breathmark lines routine.yaml --to sheet.txt

      breathmark lines routine.yaml --patient r-204.yaml --voice mine --to sheet.txt
    """
    from breathmark.cli.progress import listening
    from breathmark.deliver.publish import write_text_whole
    from breathmark.pipeline import Order, plan, private_lines, profile_of
    from breathmark.speech.profiles import OWN_FOLDER
    from breathmark.speech.sheet import make_sheet, sheet_text

    folder = voices or OWN_FOLDER
    recordings, profile = _own_voice(voice, folder)
    order = Order(source=routine, patient=patient, week=week, voices=folder,
                  voice=profile.name if profile else None)  # fmt: skip
    with listening(quiet=quiet) as progress:
        planned = plan(order, progress)
    sheet = make_sheet(
        (line.text for line in planned.session.spoken),
        private=private_lines(planned.case),
        recorded=recordings.has,
        otherwise="" if profile else profile_of(planned.case, order).name,
    )
    if not sheet.lines:
        typer.echo(f"Nothing to read: the voice `{voice}` has every line of this session.")
        return
    text = sheet_text(sheet, title=planned.session.title, voice=voice,
                      lasts_s=_reading_s(planned, sheet))  # fmt: skip
    if to is None:
        typer.echo(text, nl=False)
        return
    write_text_whole(to, text)
    if quiet:
        return
    typer.echo(f"Wrote {to}, {_rows(len(sheet.lines))} to read.")
    typer.echo(f"Then: breathmark record-in RECORDING --voice {voice} --sheet {as_typed(to)}")


def record_in(
    recording: Annotated[
        Path, typer.Argument(help="One long recording, or a folder with a clip for each row.")
    ],
    sheet: Annotated[Path, typer.Option("--sheet", help="The sheet that was read.")],
    voice: OwnName = "mine",
    voices: OwnVoices = None,
    otherwise: Otherwise = None,
    quiet: Quiet = False,
) -> None:
    """Take in a recording of the sheet, as clips of your own voice.

    Any usual format will do. It is split on its pauses, and each row is matched to what
    was said by its length and its likeness to another voice, with the recogniser (if it
    is installed) also by the words. Of a row that was repeated the last reading counts.
    What is not sure, cut at its start or misread is told and not used: read those rows
    again with a new sheet.

    For example:

      breathmark record-in reading.m4a --voice mine --sheet sheet.txt

      breathmark record-in clips --voice mine --sheet sheet.txt --otherwise clear
    """
    from breathmark.deliver.locking import only_one
    from breathmark.disk import make_folder
    from breathmark.problems import UsageProblem
    from breathmark.speech.intake import take_in
    from breathmark.speech.intake_hear import installed_ear, why_no_ear
    from breathmark.speech.profiles import OWN_FOLDER, load_profile
    from breathmark.speech.recorded import profile_text, store_clips
    from breathmark.speech.recorded_speaker import clips_folder, otherwise_of
    from breathmark.speech.sheet import read_sheet

    folder = voices or OWN_FOLDER
    _, profile = _own_voice(voice, folder)
    rows = read_sheet(sheet)
    if profile is None:
        other = load_profile(otherwise or rows.otherwise or "calm", _folders(folder))
    elif otherwise is None or otherwise == profile.otherwise:
        other = otherwise_of(profile, _folders(folder))
    else:
        raise UsageProblem(f"the voice `{voice}` is there. Change `otherwise` in {profile.file}.")
    text = profile_text(voice, other)
    references = _references(rows, other, quiet=quiet)
    if not quiet:
        typer.echo("Listening to the recording …", err=True)
    intake = take_in(
        recording, rows, references, rate_hz=SESSION_RATE_HZ, ear=installed_ear(other.language)
    )
    clips = clips_folder(profile) if profile else folder / voice
    make_folder(clips.parent)
    with only_one(clips):
        store_clips(clips, ((take.line, take.clip) for take in intake.takes), profile=text)
    if intake.remarks or not quiet:
        typer.echo(intake_text(intake, voice, clips, heard=why_no_ear(other.language)))


def _folders(own: Path) -> tuple[Path, ...]:
    from breathmark.speech.profiles import voice_folders

    return voice_folders(own)


def _own_voice(name: str, folder: Path) -> tuple[Recordings, VoiceProfile | None]:
    """What is recorded under a name, and its profile if there is one."""
    from breathmark.problems import UsageProblem
    from breathmark.speech.profiles import RECORDED, load_profile, profile_names
    from breathmark.speech.recorded import load_recordings, require_voice_name
    from breathmark.speech.recorded_speaker import clips_folder

    folders = _folders(folder)
    if require_voice_name(name) not in profile_names(folders):
        return load_recordings(folder / name), None
    profile = load_profile(name, folders)
    if profile.engine != RECORDED:
        raise UsageProblem(
            f"the voice `{name}` is spoken by the computer. Take another name for your own."
        )
    return load_recordings(clips_folder(profile)), profile


def _references(sheet: Sheet, other: VoiceProfile, *, quiet: bool) -> dict[str, Clip]:
    """The rows of a sheet as another voice says them."""
    from breathmark.cli.progress import listening
    from breathmark.speech.speaker import Speaker
    from breathmark.speech.store import ClipStore, default_store_folder

    texts = [line.text for line in sheet.lines]
    private = frozenset(line.text for line in sheet.lines if line.private)
    store = ClipStore(default_store_folder())
    speaker = Speaker(other, rate_hz=SESSION_RATE_HZ, store=store, private=private)
    with listening(quiet=quiet) as progress:
        speaker.measure(texts, lambda done, total: progress("speaking", done, total))
    return {text: speaker.clip(text) for text in texts}


def _reading_s(planned: Planned, sheet: Sheet) -> float:
    """How long it takes to read a sheet, with a pause after each row."""
    session = planned.session
    said = {line.text: line.length / session.rate_hz for line in session.spoken}
    words = sum(len(text.split()) for text in said)
    pace = sum(said.values()) / words
    return sum(len(line.text.split()) * pace + _PAUSE_S for line in sheet.lines)


def intake_text(intake: Intake, voice: str, folder: Path, *, heard: str = "") -> str:
    """What came in, what did not and why, and what to do next.

    ``heard`` says why no recogniser listened.
    """
    said = [f"Took in {_rows(len(intake.takes))} for the voice `{voice}`, in {folder}."]
    if intake.repeats:
        labels = ", ".join(line.label for line in intake.repeats)
        said.append(f"Read more than once, the last time counts: {labels}.")
    if intake.strays:
        places = [f"{path.name} {_clock(at)}" for path, at in intake.strays[:_TELLS_WHERE]]
        more = f" and {len(intake.strays) - len(places)} more" * (len(intake.strays) > _TELLS_WHERE)
        said.append(f"Sounds that are no row: {', '.join(places)}{more}.")
    if intake.remarks:
        said += ["", f"Not used, {_rows(len(intake.remarks))}; please read them again:"]
        said += [_remark(remark) for remark in intake.remarks]
        said += ["", *_WHAT_NOW]
    use = f"--voice {voice} --voices {as_typed(folder.parent)}"
    said += ["", f"With this voice: breathmark plan ROUTINE {use}"]
    if heard:
        said += ["", *textwrap.wrap(heard, 88)]
    return "\n".join(said)


def _remark(remark: Remark) -> str:
    where = f" ({remark.file.name} {_clock(remark.start_s)})" if remark.file else ""
    heard = f", heard “{remark.heard[:60]}”" if remark.heard else ""
    return f"{remark.line.label:>6}  {remark.line.text}\n        {remark.fault}{where}{heard}"


def _clock(at_s: float) -> str:
    return clock_text(round(at_s * 1000), tenths=True)


def _rows(number: int) -> str:
    return f"{number} {'row' if number == 1 else 'rows'}"
