"""Commands that write a new file leave none behind when the disk refuses it."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from breathmark.cli.lexicon_command import lexicon
from breathmark.cli.starting import start_folder
from breathmark.problems import Fault


@pytest.fixture(autouse=True)
def full_disk(monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_handle: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)


def test_no_half_routine_is_left_to_start_from(tmp_path: Path) -> None:
    """The next `new` would say that a routine is there already."""
    with pytest.raises(Fault, match="No space left"):
        start_folder(tmp_path / "clinic")
    assert list((tmp_path / "clinic").iterdir()) == []


def test_no_half_lexicon_is_left(tmp_path: Path) -> None:
    with pytest.raises(Fault, match="No space left"):
        lexicon(voice="calm", export=tmp_path / "a.pls")
    assert list(tmp_path.iterdir()) == []
