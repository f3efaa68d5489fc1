"""What the commands print when all went well."""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from breathmark.deliver.plan_json import plan_to_json
from breathmark.deliver.plan_svg import plan_svg
from breathmark.deliver.plan_table import schedule_text
from breathmark.deliver.publish import write_text_whole

if TYPE_CHECKING:
    from breathmark.pipeline import Made
    from breathmark.script.session import Session
    from breathmark.speech.profiles import VoiceProfile

_NARROW, _WIDE = 80, 120


def table_width() -> int:
    """How wide a table may be on this terminal: 80 to 120 columns."""
    return max(_NARROW, min(_WIDE, shutil.get_terminal_size((100, 24)).columns))


def result_text(made: Made) -> str:
    """The schedule, the proof and where the files lie."""
    files = "\n".join(f"  {path}" for path in made.files)
    extra = [f"Note: {note}" for note in made.notes if note not in made.session.notes]
    parts = [
        schedule_text(made.session, width=table_width()),
        f"Proof\n{'=' * table_width()}\n{made.report.text()}",
        *extra,
        f"Files\n{'=' * table_width()}\n{files}",
    ]
    return "\n\n".join(part.rstrip("\n") for part in parts)


def save_plan(session: Session, folder: Path) -> tuple[Path, Path]:
    """Write the plan as data and as a picture into a folder; the two files."""
    data, picture = folder / "plan.json", folder / "plan.svg"
    write_text_whole(data, plan_to_json(session))
    write_text_whole(picture, plan_svg(session))
    return data, picture


def voices_text(profiles: Sequence[VoiceProfile]) -> str:
    """The voices as a table."""
    rows = [("voice", "engine", "pace", "language", "about")]
    rows += [
        (one.name, one.engine, f"{one.pace_wpm} words a minute", one.language, one.about)
        for one in profiles
    ]
    widths = [max(len(row[column]) for row in rows) for column in range(4)]
    lines = [
        "  ".join([*(cell.ljust(width) for cell, width in zip(row, widths, strict=False)), row[4]])
        for row in rows
    ]
    return "\n".join(line.rstrip() for line in lines)
