"""Consoles and files in old code pages: what they cannot show ends no command."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

from breathmark.cli.boundary import run
from tests.cli.test_cli import breathmark

ROUTINE = """\
title: Ruhig — “ganz” → ≤ 膝
exercises:
  - name: Kőhalmi’s hold ½
    kind: hold
    hold: 5 s
    sets: 1
    setup: Sit tall.
"""


@pytest.fixture
def routine(tmp_path: Path) -> Path:
    path = tmp_path / "routine.yaml"
    path.write_text(ROUTINE, encoding="utf-8")
    return path


@pytest.mark.parametrize("code_page", ["cp1252", "cp437", "cp850", "utf-16"])
def test_a_code_page_that_lacks_a_sign_ends_no_command(
    routine: Path, code_page: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On Windows a redirected output is written in one of these."""
    monkeypatch.setenv("PYTHONIOENCODING", code_page)
    command = [sys.executable, "-m", "breathmark", "check", str(routine)]
    done = subprocess.run(command, capture_output=True, check=False)
    assert done.returncode == 0, done.stderr
    said = done.stdout.decode(code_page)
    assert "Ruhig" in said
    assert ("膝" in said) == (code_page == "utf-16")


def test_a_name_that_is_no_text_can_be_shown(tmp_path: Path) -> None:
    """A file name of another system may hold bytes that are no UTF-8."""
    done = breathmark("check", tmp_path / os.fsdecode(b"\xff.yaml"))
    assert done.returncode == 1
    assert "there is no file" in done.stderr


def test_a_fault_is_told_where_no_file_can_be_written(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """On a full disk there is no temporary folder, and still no traceback."""

    def nowhere() -> str:
        raise FileNotFoundError("No usable temporary directory found")

    def broken() -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(tempfile, "gettempdir", nowhere)
    with pytest.raises(SystemExit) as ended:
        run(broken)  # type: ignore[arg-type] # anything that can be called
    assert ended.value.code == 3
    assert "did not foresee" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("error", "said"),
    [(OSError(errno.ENOSPC, "No space left on device"), "disk is full"), (MemoryError(), "memory")],
    ids=["disk", "memory"],
)
def test_what_a_machine_lacks_is_said(
    error: Exception, said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Wherever it is met: the person at the keyboard can do something about it."""

    def poor() -> None:
        raise error

    with pytest.raises(SystemExit) as ended:
        run(poor)  # type: ignore[arg-type] # anything that can be called
    assert ended.value.code == 3
    assert said in capsys.readouterr().err
