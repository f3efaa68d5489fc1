"""The command ``voices lexicon``; what is heavy is imported when it runs."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from breathmark.cli.options import OwnVoices
from breathmark.problems import UsageProblem


def lexicon(
    voice: Annotated[str, typer.Option("--voice", help="Whose lexicon to write.")] = "calm",
    voices: OwnVoices = None,
    export: Annotated[
        Path | None, typer.Option("--export", help="Write the lexicon as PLS into this file.")
    ] = None,
    import_: Annotated[Path | None, typer.Option("--import", help="Read this PLS file.")] = None,
    to: Annotated[
        Path | None, typer.Option("--to", help="The lexicon file to write what was read into.")
    ] = None,
) -> None:
    """Write a voice's lexicon as PLS, or read one from PLS.

    PLS is the W3C's Pronunciation Lexicon: how other programs write the way words are
    said. A file that is there already is never written over.

    For example:

      breathmark voices lexicon --export breathmark.pls --voice calm

      breathmark voices lexicon --import terms.pls --to my-voices/lexicon-terms.yaml
    """
    if (import_ is None) != (to is None):
        raise UsageProblem("--import FILE.pls and --to FILE.yaml belong together.")
    if (import_ is None) == (export is None):
        raise UsageProblem("Write --export FILE.pls, or --import FILE.pls --to FILE.yaml.")
    if export is not None:
        typer.echo(_export(voice, voices, export))
    elif import_ is not None and to is not None:
        typer.echo(_import(import_, to))


def _export(voice: str, voices: Path | None, path: Path) -> str:
    from breathmark.speech.lexicon import load_lexicon
    from breathmark.speech.pls import to_pls
    from breathmark.speech.profiles import load_profile, voice_folders

    profile = load_profile(voice, voice_folders(voices))
    found = load_lexicon(profile.lexicon)
    _write_new(path, to_pls(found, profile.language))
    return f"Wrote {path}, {len(found.entries)} words"


def _import(path: Path, to: Path) -> str:
    from breathmark.speech.pls import to_yaml
    from breathmark.speech.pls_reading import from_pls

    found = from_pls(path)
    _write_new(to, to_yaml(found))
    return f"Wrote {to}, {len(found.entries)} words. Name it under `lexicon` in your voice profile."


def _write_new(path: Path, text: str) -> None:
    """Write a file that is not there yet, whole or not at all."""
    from breathmark.deliver.publish import write_new_text

    if not write_new_text(path, text):
        raise UsageProblem(f"{path} is there already. Name another file.")
