"""Where errors become words and an exit status: nobody at a keyboard sees a traceback."""

from __future__ import annotations

import errno
import os
import sys
import tempfile
import traceback
from pathlib import Path

import typer

from breathmark.cli.console import never_refuse
from breathmark.problems import BreathmarkError

_STOPPED = 130  # as shells say it for an interrupt
_OUR_FAULT = 3
_MEMORY = "Close other programs and start again; a caseload needs less with --jobs 1."
_ROOM = "Make room, where the results go and where the system keeps what is temporary."
_STILL_WHOLE = "Every result folder is whole, as it was before or finished."


def run(app: typer.Typer) -> None:
    """Run the application and exit with its status."""
    never_refuse()
    sys.exit(_status(app))


def _status(app: typer.Typer) -> int:
    try:
        app()
    except BreathmarkError as error:
        typer.echo(error.shown(), err=True)
        return error.exit_status
    except SystemExit as done:
        if done.code == _STOPPED:  # what an interrupt becomes on its way through typer
            typer.echo("Stopped. What was there before is still there.", err=True)
        return done.code if isinstance(done.code, int) else 0
    except BrokenPipeError:
        # The reader of our output has gone (`| head`); nothing more to say to it.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except MemoryError:
        typer.echo(f"There is not enough memory. {_STILL_WHOLE} {_MEMORY}", err=True)
        return _OUR_FAULT
    except Exception as error:  # noqa: BLE001 - the last line of defence: said in words, kept in a file
        full = isinstance(error, OSError) and error.errno in (errno.ENOSPC, errno.EDQUOT)
        said = f"A disk is full. {_STILL_WHOLE} {_ROOM}" if full else _unforeseen(error)
        typer.echo(said, err=True)
        return _OUR_FAULT
    return 0


def _traces(error: BaseException | None) -> str:
    """The kind of an error and the code it came through, then those of what caused it."""
    parts = []
    while error is not None:
        kind = type(error)
        parts.append(f"{kind.__module__}.{kind.__qualname__}\n")
        parts += traceback.format_tb(error.__traceback__)
        error = error.__cause__ or error.__context__
    return "".join(parts)


def _unforeseen(error: Exception) -> str:
    """Keep where it happened in a file, and say where that is.

    The file holds code and the kinds of the errors, but not their messages, since those may
    quote what somebody wrote about a patient.
    """
    try:  # on a full disk there may be no temporary folder at all
        kept = Path(tempfile.gettempdir()) / "breathmark-fault.txt"
        kept.write_text(_traces(error), encoding="utf-8")
        where = f"What happened is written in {kept}; please report it."
    except OSError:
        where = "Please report it."
    return f"Something went wrong that we did not foresee. {_STILL_WHOLE} {where}"
