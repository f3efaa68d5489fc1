"""`breathmark caseload` as a person runs it: what it says, and its status."""

from __future__ import annotations

from pathlib import Path

from tests.cli.test_cli import breathmark
from tests.pipeline.short import short_routine


def test_it_ends_with_a_table_and_tells_what_was_wrong(tmp_path: Path) -> None:
    """Refused patients come with file, line, column and a mark; status 1, then 0 when mended."""
    short_routine(tmp_path)
    path = tmp_path / "tuesday.csv"
    path.write_text("label,routine,avoid\nR-1,short.yaml,\nR-2,short.yaml,standng\n")
    done = breathmark("caseload", "tuesday.csv", "--jobs", "1", cwd=tmp_path)
    assert done.returncode == 1
    assert "R-2 was not built:\ntuesday.csv:3:16: error:" in done.stdout
    assert "Did you mean `standing`?" in done.stdout
    assert "1 built, 0 already there, 1 refused." in done.stdout
    assert "1 of 2  R-1: built" in done.stderr
    quiet = breathmark("caseload", "tuesday.csv", "--quiet", cwd=tmp_path)
    assert (quiet.returncode, quiet.stdout) == (1, "")
    assert "tuesday.csv:3:16" in quiet.stderr
    path.write_text("label,routine\nR-1,short.yaml\n")
    mended = breathmark("caseload", "tuesday.csv", cwd=tmp_path)
    assert mended.returncode == 0
    rows = [line.split() for line in mended.stdout.splitlines()]
    assert [
        "R-1",
        "already",
        "there",
        "1:15",
        "64",
        "kbit/s",
        "r-1/short-and-sweet-1min15s",
    ] in rows


def test_a_file_that_is_wrong_as_a_whole(tmp_path: Path) -> None:
    """Status 1 for the file, 2 for the command."""
    (tmp_path / "a.csv").write_text("labl\nR-1\n")
    done = breathmark("caseload", "a.csv", cwd=tmp_path)
    assert done.returncode == 1
    assert "a.csv:1:1" in done.stderr
    assert "`label`" in done.stderr
    assert breathmark("caseload", "none.csv", cwd=tmp_path).returncode == 1
    assert breathmark("caseload", "a.csv", "--jobs", "0", cwd=tmp_path).returncode == 2
    assert breathmark("caseload", "a.csv", "--format", "mp4", cwd=tmp_path).returncode == 2
