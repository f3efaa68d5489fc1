"""`breathmark compare`, run as a person runs it."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from breathmark.deliver.record import record_text
from tests.deliver.handed import prescribed


def compare(folder: Path, *names: str) -> subprocess.CompletedProcess[str]:
    """Run the command in a folder."""
    command = [sys.executable, "-m", "breathmark", "compare", *names]
    done = subprocess.run(command, capture_output=True, text=True, cwd=folder, check=False)
    assert "Traceback" not in done.stdout + done.stderr
    return done


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Two results that differ in their week, and a file that is none."""
    for name, week in (("one", 1), ("two", 2)):
        record = json.loads(record_text(prescribed(), {}, []))
        (tmp_path / name).mkdir()
        path = tmp_path / name / "record.json"
        path.write_text(json.dumps({**record, "week": week}), encoding="utf-8")
    (tmp_path / "other.json").write_text("{}")
    return tmp_path


def test_it_says_what_differs(folder: Path) -> None:
    """Folders or files, in either form; a difference is no error."""
    for names in (("one", "two"), ("one/record.json", "two")):
        done = compare(folder, *names)
        assert (done.returncode, done.stderr) == (0, "")
        assert done.stdout.endswith("\n- Week: 1 before, 2 now.\n")
    assert "Nothing differs" in compare(folder, "one", "one").stdout


@pytest.mark.parametrize(
    ("names", "status", "said"),
    [
        (("one", "gone"), 2, "no such folder or file"),
        (("one", "."), 2, "no record.json in it"),
        (("other.json", "one"), 1, "no record of a recording"),
        (("one",), 2, "NOW"),
    ],
)
def test_what_goes_wrong_is_said(
    folder: Path, names: tuple[str, ...], status: int, said: str
) -> None:
    done = compare(folder, *names)
    assert done.returncode == status
    assert said in done.stderr
    assert done.stdout == ""
