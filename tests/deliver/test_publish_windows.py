"""Results on Windows, where what is open cannot be moved and what is read-only not removed."""

from __future__ import annotations

import os
import shutil
import stat
import time
from pathlib import Path

import pytest

from breathmark import disk
from breathmark.deliver import publish
from breathmark.deliver.publish import publishing
from breathmark.problems import Fault
from tests.deliver.published import build, shown, without_exchange


@pytest.fixture
def on_windows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A final folder on a disk where somebody opens every new file for a moment."""
    monkeypatch.setattr(publish, "_exchange", without_exchange)
    monkeypatch.setattr(publish, "WINDOWS", True)
    monkeypatch.setattr(disk, "WINDOWS", True)
    monkeypatch.setattr(time, "sleep", lambda _s: None)
    rename, tried = Path.rename, set()

    def held_at_first(self: Path, target: Path) -> Path:
        if self.name not in tried:
            tried.add(self.name)
            raise PermissionError(13, "in use")
        tried.discard(self.name)
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", held_at_first)
    return tmp_path / "x"


def test_a_file_that_is_held_for_a_moment_is_waited_for(on_windows: Path) -> None:
    build(on_windows, a="one")
    build(on_windows, a="two")
    assert shown(on_windows) == {"a": "two"}
    assert os.listdir(on_windows.parent) == ["x"]


def test_a_file_that_stays_open_is_told(on_windows: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The old recording plays while the new one is made."""
    build(on_windows, a="one")
    rename = Path.rename

    def held(self: Path, target: Path) -> Path:
        if self == on_windows:
            raise PermissionError(13, "in use")
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", held)
    with pytest.raises(Fault, match="open in another program"):
        build(on_windows, a="two")
    assert shown(on_windows) == {"a": "one"}
    assert os.listdir(on_windows.parent) == ["x"]


def test_a_path_too_long_for_windows_is_told(on_windows: Path) -> None:
    final = on_windows.joinpath(*["long" * 15] * 4)
    with pytest.raises(Fault, match="shorter --output"), publishing(final):
        raise FileNotFoundError(2, "The system cannot find the path specified")


def test_read_only_files_of_somebody_else_are_no_obstacle(
    on_windows: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Windows removes no read-only file: the old folder would stay in the way for ever."""
    build(on_windows, a="one")
    (on_windows / "mine").write_text("mine")
    (on_windows / "mine").chmod(0o444)
    remove = shutil.rmtree

    def particular(folder: Path) -> None:
        if any(not path.stat().st_mode & stat.S_IWRITE for path in folder.rglob("*")):
            raise PermissionError(13, "read-only")
        remove(folder)

    monkeypatch.setattr(shutil, "rmtree", particular)
    build(on_windows, a="two")
    build(on_windows, a="three")
    assert shown(on_windows) == {"a": "three", "mine": "mine"}
    assert os.listdir(on_windows.parent) == ["x"]
