"""Where errors become words and an exit status: nobody at a keyboard sees a traceback."""

from __future__ import annotations

import os
import sys
import tempfile
import traceback
from pathlib import Path

import typer

from breathmark.problems import BreathmarkError

_STOPPED = 130  # as shells say it for an interrupt
_OUR_FAULT = 3


def run(app: typer.Typer) -> None:
    """Run the application and exit with its status."""
    sys.exit(_status(app))


def _status(app: typer.Typer) -> int:
    try:
        app()
    except BreathmarkError as error:
        typer.echo(error.shown(), err=True)
        return error.exit_status
    except SystemExit as done:
        return done.code if isinstance(done.code, int) else 0
    except KeyboardInterrupt:
        typer.echo("Stopped. What was there before is still there.", err=True)
        return _STOPPED
    except BrokenPipeError:
        # The reader of our output has gone (`| head`); nothing more to say to it.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except Exception:  # noqa: BLE001 - the last line of defence: said in words, kept in a file
        typer.echo(_unforeseen(), err=True)
        return _OUR_FAULT
    return 0


def _unforeseen() -> str:
    """Keep the traceback in a file (it holds code, no patient's words) and say where."""
    kept = Path(tempfile.gettempdir()) / "breathmark-fault.txt"
    try:
        kept.write_text(traceback.format_exc(), encoding="utf-8")
        where = f"What happened is written in {kept}; please report it."
    except OSError:
        where = "Please report it."
    return f"Something went wrong that we did not foresee. Nothing was changed. {where}"
