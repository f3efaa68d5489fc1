"""What the proof finds: one finding for each check of each file, and the report of all."""

from __future__ import annotations

import enum
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import PurePosixPath


class Check(enum.StrEnum):
    """The ids of the checks."""

    FOLDER = "folder"
    """The folder is there, with a plan and at least one recording in it."""
    PLAN = "plan"
    """`plan.json` can be read, and agrees with itself."""
    RECORD = "record"
    """`record.json` is as it was made, says what the plan says and lists what was made; every
    file still has its check sum."""
    READABLE = "readable"
    """The file is what its ending says: one channel of sound that can be decoded."""
    LENGTH = "length"
    """The decoded sound has exactly the planned number of samples."""
    CHAPTERS = "chapters"
    """Every planned chapter is there by name, in order, in its place."""
    TAGS = "tags"
    """The file says what it may say, and nothing else."""
    TONES = "tones"
    """Every planned tone is heard, of its kind and in its place."""
    LINES = "lines"
    """Every planned line has a voice in it, from its beginning to its end."""
    BREATHS = "breaths"
    """Every planned breath can be heard."""
    SILENCE = "silence"
    """No silence is longer than the plan's, so that nobody wonders whether it stopped."""
    QUIET = "quiet"
    """Nothing sounds where the plan has nothing."""
    BACKGROUND = "background"
    """The background, if the plan has one, is far enough below speech while something is said."""
    LOUDNESS = "loudness"
    """The whole is as loud as it should be."""
    PEAK = "peak"
    """The wave, between the samples too, stays under the ceiling."""
    CAPTIONS = "captions"
    """The captions say every line once, word for word and in its time."""
    MESSAGE = "message"
    """The recording in the message is the one in the folder, or passes the same checks."""
    TRACKS = "tracks"
    """The tracks are all there, each with exactly its chapter's samples, and listed in order."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Finding:
    """What one check found in one file.

    ``detail`` is a sentence with figures; ``measured`` and ``allowed`` are the same in
    short, for the table.
    """

    check: Check
    file: str
    passed: bool
    detail: str
    measured: str = ""
    allowed: str = ""


@dataclass(frozen=True, slots=True)
class Report:
    """All findings, in the order in which they were made."""

    findings: tuple[Finding, ...]

    @property
    def passed(self) -> bool:
        """Whether something was checked and nothing failed."""
        return bool(self.findings) and not self.failed

    @property
    def failed(self) -> tuple[Finding, ...]:
        """The findings that did not pass."""
        return tuple(finding for finding in self.findings if not finding.passed)

    def text(self, width: int | None = None) -> str:
        """The findings as a plain table, then a sentence for each that failed.

        In a table that would be wider than ``width`` columns, file names are shortened.
        The text ends with a line that says how many checks there were.
        """
        rows = [("check", "file", "verdict", "measured", "allowed")]
        rows += [_row(finding) for finding in self.findings]
        if width is not None:
            over = sum(max(map(len, column)) + 2 for column in zip(*rows, strict=True)) - 2 - width
            most = max(_LEAST_NAME, max(len(row[1]) for row in rows) - max(0, over))
            rows = [(row[0], _shortened(row[1], most), *row[2:]) for row in rows]
        widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
        cells = [rows[0], tuple("-" * width for width in widths), *rows[1:]]
        lines = [
            "  ".join(f"{cell:{width}}" for cell, width in zip(row, widths, strict=True)).rstrip()
            for row in cells
        ]
        for finding in self.failed:
            lines += ["", f"{finding.file}, {finding.check}: {finding.detail}"]
        return "\n".join([*lines, "", self._ending()]) + "\n"

    def _ending(self) -> str:
        if not self.findings:
            return "Nothing was there to check, so nothing is proved."
        if self.failed:
            return f"{len(self.failed)} of {len(self.findings)} checks failed."
        return f"All {len(self.findings)} checks passed."


def _shortened(name: str, most: int) -> str:
    """A file's name in at most so many characters: its beginning and its ending."""
    if len(name) <= most:
        return name
    ending = PurePosixPath(name).suffix
    return f"{name[: most - len(ending) - 1]}…{ending}"


def _row(finding: Finding) -> tuple[str, str, str, str, str]:
    verdict = "pass" if finding.passed else "FAIL"
    return finding.check, finding.file, verdict, finding.measured, finding.allowed


def finding(
    check: Check,
    file: str,
    problems: Sequence[str],
    *,
    good: str,
    measured: str = "",
    allowed: str = "",
) -> Finding:
    """The finding of a check that collected ``problems``; ``good`` is said when there are none.

    Both are clauses without a capital or a full stop.  The first three problems are
    said, and how many more there are.
    """
    detail = good
    if problems:
        more = len(problems) - _SHOWN
        shown = [*problems[:_SHOWN], *([f"and {more} more"] if more > 0 else [])]
        detail = "; ".join(shown)
    return Finding(
        check=check,
        file=file,
        passed=not problems,
        detail=f"{detail[:1].upper()}{detail[1:]}.",
        measured=measured,
        allowed=allowed,
    )


_SHOWN = 3
_LEAST_NAME = 8
