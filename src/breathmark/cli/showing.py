"""What the commands print when all went well."""

from __future__ import annotations

import shutil
import textwrap
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from breathmark.deliver.plan_json import plan_to_json
from breathmark.deliver.plan_svg import plan_svg
from breathmark.deliver.plan_table import schedule_text
from breathmark.deliver.publish import write_text_whole
from breathmark.dose.table import as_data, dose_text

if TYPE_CHECKING:
    from breathmark.dose.checks import CheckResult
    from breathmark.pipeline import Case, Made, Planned
    from breathmark.speech.profiles import VoiceProfile

_NARROW, _WIDE = 80, 120
_LEAST_ABOUT = 20


def table_width() -> int:
    """How wide a table may be on this terminal: 80 to 120 columns."""
    return max(_NARROW, min(_WIDE, shutil.get_terminal_size((100, 24)).columns))


def checked_text(case: Case, source: Path) -> str:
    """What `check` says of files without an error."""
    number = len(case.routine.exercises)
    noun = "exercise" if number == 1 else "exercises"
    remarks = len(case.checked.problems)
    found = f"no errors, {remarks} remark{'s' * (remarks > 1)}" if remarks else "nothing wrong"
    lines = [f"{source}: {found}; “{case.routine.title}”, {number} {noun}."]
    lines += [change.sentence for change in case.changes]
    return "\n".join([*lines, *_findings(case.checked)])


def plan_text(planned: Planned, *, every: bool = False) -> str:
    """The schedule, the dose, and what a colleague would remark."""
    width = table_width()
    parts = [
        schedule_text(planned.session, width=width, full=every),
        dose_text(planned.totals, width=width),
        "\n".join(_findings(planned.case.checked)),
        "\n".join(f"Note: {note}" for note in planned.speaker.notes),
    ]
    return "\n\n".join(part.rstrip("\n") for part in parts if part)


def _findings(checked: CheckResult) -> list[str]:
    """Cautions and notes with their places, then what was accepted and why."""
    found = [problem.shown() for problem in checked.problems]
    for one in checked.accepted:
        found.append(f"accepted: {one.problem.message} [{one.problem.rule}]: {one.because}")
    return found


def result_text(made: Made) -> str:
    """The plan, the proof and where the files lie."""
    rule = "=" * table_width()
    proof = made.report.text(table_width()).rstrip()
    files = "\n".join([*(f"  {path}" for path in made.files), "", *made.said]).rstrip()
    return f"{plan_text(made.planned)}\n\nProof\n{rule}\n{proof}\n\nFiles\n{rule}\n{files}"


def save_plan(planned: Planned, folder: Path) -> tuple[Path, Path]:
    """Write the plan as data and as a picture into a folder; the two files."""
    data, picture = folder / "plan.json", folder / "plan.svg"
    write_text_whole(data, plan_to_json(planned.session, dose=as_data(planned.totals)))
    write_text_whole(picture, plan_svg(planned.session))
    return data, picture


def _pace(voice: VoiceProfile) -> str:
    """How fast a voice speaks to its ears; a person's own is as it was recorded."""
    from breathmark.speech.listening import as_spoken

    if voice.engine == "recorded":
        return "as recorded"
    return f"{as_spoken(voice).pace_wpm} words a minute"


def voices_text(profiles: Sequence[VoiceProfile]) -> str:
    """The voices as a table."""
    rows = [("voice", "engine", "pace", "language", "about")]
    rows += [(one.name, one.engine, _pace(one), one.language, one.about) for one in profiles]
    widths = [max(len(row[column]) for row in rows) for column in range(4)]
    about = max(_LEAST_ABOUT, table_width() - sum(widths) - 2 * len(widths))
    lines = []
    for row in rows:
        first, *others = textwrap.wrap(row[4], about) or [""]
        cells = [*(cell.ljust(width) for cell, width in zip(row, widths, strict=False)), first]
        lines.append("  ".join(cells).rstrip())
        lines += [" " * (sum(widths) + 2 * len(widths)) + other for other in others]
    return "\n".join(lines)


def wrapped(text: str, *, width: int) -> str:
    """Each line of a text broken at words; an item goes on under its own text."""
    lines = []
    for line in text.splitlines():
        hang = "  " if line.startswith("- ") else ""
        lines += textwrap.wrap(line, width, subsequent_indent=hang, break_on_hyphens=False) or [""]
    return "\n".join(lines)
