"""A line spoken into a file."""

from __future__ import annotations

import errno
import wave
from pathlib import Path

import pytest

from breathmark.problems import Fault
from breathmark.speech.profiles import load_profile
from breathmark.speech.say import say


def test_a_line_is_written_as_a_wav(tmp_path: Path) -> None:
    """Mono, 16 bits, at the session's rate, as long as was said."""
    path = tmp_path / "hello.wav"
    seconds = say(load_profile("system"), "Sit tall in your chair.", path)
    with wave.open(str(path)) as file:
        assert (file.getnchannels(), file.getsampwidth(), file.getframerate()) == (1, 2, 24_000)
        assert file.getnframes() == pytest.approx(seconds * 24_000, abs=1)
    assert 1.0 < seconds < 4.0
    assert [entry.name for entry in tmp_path.iterdir()] == ["hello.wav"]


def test_a_place_that_cannot_be_written_is_a_fault(tmp_path: Path) -> None:
    """And nothing is left there."""
    with pytest.raises(Fault, match="cannot be written"):
        say(load_profile("system"), "Sit tall.", tmp_path / "nowhere" / "hello.wav")


def test_a_folder_in_its_place_is_a_fault(tmp_path: Path) -> None:
    """It stays as it is, and the half-written file goes."""
    (tmp_path / "hello.wav").mkdir()
    with pytest.raises(Fault, match="cannot be written"):
        say(load_profile("system"), "Sit tall.", tmp_path / "hello.wav")
    assert [entry.name for entry in tmp_path.iterdir()] == ["hello.wav"]


def test_a_disk_that_is_read_only_is_a_fault(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It refuses to remove what was never written, too."""

    def refuse(*_args: object, **_more: object) -> None:
        raise OSError(errno.EROFS, "Read-only file system")

    monkeypatch.setattr(Path, "unlink", refuse)
    with pytest.raises(Fault, match="cannot be written"):
        say(load_profile("system"), "Sit tall.", tmp_path / "nowhere" / "hello.wav")
