"""Recordings as devices write them: odd names, old tags, sound of unknown kinds."""

from __future__ import annotations

import wave
from pathlib import Path

import av
import numpy as np
import pytest

from breathmark.speech.intake_sound import TAKE_RATE_HZ, RecordingProblem, hear_file

SECOND = np.sin(np.arange(TAKE_RATE_HZ) * 0.05) * 8_000


def wav(path: Path, more: bytes = b"") -> Path:
    """A second of sound, and ``more`` chunks behind it."""
    with wave.open(str(path), "wb") as file:
        file.setparams((1, 2, TAKE_RATE_HZ, 0, "NONE", ""))
        file.writeframes(SECOND.astype("<i2").tobytes())
    data = bytearray(path.read_bytes() + more)
    data[4:8] = (len(data) - 8).to_bytes(4, "little")
    path.write_bytes(data)
    return path


def test_a_tag_in_an_old_encoding_does_no_harm(tmp_path: Path) -> None:
    """A title in Latin-1, as recorders write it into a LIST chunk of a WAV."""
    title = b"INFOINAM" + (6).to_bytes(4, "little") + "Übung".encode("latin-1") + b"\0"
    path = wav(tmp_path / "a.wav", b"LIST" + len(title).to_bytes(4, "little") + title)
    assert len(hear_file(path).samples) == TAKE_RATE_HZ


def test_a_colon_in_a_name_makes_it_no_protocol(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    wav(tmp_path / "file: one.wav")
    monkeypatch.chdir(tmp_path)
    assert len(hear_file(Path("file: one.wav")).samples) == TAKE_RATE_HZ


def test_sound_of_an_unknown_kind_is_told(tmp_path: Path) -> None:
    path = tmp_path / "a.m4a"
    with av.open(str(path), "w", format="ipod") as file:
        stream = file.add_stream("aac", rate=TAKE_RATE_HZ, layout="mono")
        frame = av.AudioFrame.from_ndarray(
            SECOND.astype(np.float32)[None] / 32_768, format="fltp", layout="mono"
        )
        frame.sample_rate = TAKE_RATE_HZ
        file.mux(stream.encode(frame))
        file.mux(stream.encode(None))
    path.write_bytes(path.read_bytes().replace(b"stsd", b"free"))
    with pytest.raises(RecordingProblem, match="no sound in"):
        hear_file(path)


def test_two_recordings_of_different_make_in_one_file_are_told(tmp_path: Path) -> None:
    """Joined byte for byte, the sound changes its rate on the way."""
    joined = b""
    for rate in (44_100, 24_000):
        part = tmp_path / f"{rate}.mp3"
        with av.open(str(part), "w", format="mp3") as file:
            stream = file.add_stream("libmp3lame", rate=rate, layout="mono")
            frame = av.AudioFrame.from_ndarray(
                SECOND.astype(np.float32)[None] / 32_768, format="fltp", layout="mono"
            )
            frame.sample_rate = rate
            file.mux(stream.encode(frame))
            file.mux(stream.encode(None))
        joined += part.read_bytes()
    path = tmp_path / "joined.mp3"
    path.write_bytes(joined)
    with pytest.raises(RecordingProblem, match="cannot be played"):
        hear_file(path)
