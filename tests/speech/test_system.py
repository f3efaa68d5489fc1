"""What is particular to the system voice: helper processes that may fail, files of two kinds."""

from __future__ import annotations

import io
import os
import subprocess
import sys
import wave
from pathlib import Path

import numpy as np
import pytest

from breathmark.problems import Fault
from breathmark.speech.engines.system import SystemEngine, decoded

TONE = (8000 * np.sin(np.arange(2205) / 10)).astype("<i2")


def wav(*, channels: int = 1, width: int = 2) -> bytes:
    """A tenth of a second as a WAV file."""
    data = io.BytesIO()
    with wave.open(data, "wb") as file:
        file.setnchannels(channels)
        file.setsampwidth(width)
        file.setframerate(22_050)
        file.writeframes(np.repeat(TONE, channels).astype("<i2" if width == 2 else "i1").tobytes())
    return data.getvalue()


def aiff() -> bytes:
    """The same as an AIFF file (Apple, AIFF 1.3), as macOS writes it: big-endian samples."""
    rate = bytes.fromhex("400DAC44000000000000")  # 22 050 as an 80-bit extended number
    comm = (1).to_bytes(2) + len(TONE).to_bytes(4) + (16).to_bytes(2) + rate
    sound = bytes(8) + TONE.astype(">i2").tobytes()
    chunks = b"COMM" + len(comm).to_bytes(4) + comm + b"SSND" + len(sound).to_bytes(4) + sound
    return b"FORM" + (len(chunks) + 4).to_bytes(4) + b"AIFF" + chunks


@pytest.mark.parametrize("data", [wav(), wav(channels=2), aiff()], ids=["wav", "stereo", "aiff"])
def test_a_file_is_known_by_what_is_in_it(data: bytes) -> None:
    """Whatever its name was; the samples are the same."""
    raw = decoded(data)
    assert raw.rate_hz == 22_050
    assert np.allclose(raw.samples, TONE / 32768.0, atol=1e-4)


@pytest.mark.parametrize(
    "data",
    [b"", b"ID3\x04", wav()[:30], wav(width=1), aiff()[:40]],
    ids=["empty", "mp3", "cut wav", "8 bits", "cut aiff"],
)
def test_a_file_that_is_no_good_is_a_fault(data: bytes) -> None:
    """Said in words."""
    with pytest.raises(Fault, match="the system voice gave"):
        decoded(data)


def test_a_line_that_takes_too_long_is_ended() -> None:
    """pyttsx3 can hang for ever; the helper process is then stopped, and the next one speaks."""
    engine = SystemEngine("", rate_wpm=150, limit_s=0.001)
    with pytest.raises(Fault, match="longer than") as raised:
        list(engine.speak(["Sit tall."]))
    assert raised.value.remedy
    engine.close()


def test_an_unknown_voice_is_a_fault() -> None:
    """pyttsx3 takes it without a word and speaks with another."""
    engine = SystemEngine("nobody", rate_wpm=150)
    with pytest.raises(Fault, match="could not be said"):
        list(engine.speak(["Sit tall."]))
    engine.close()


def test_another_voice_sounds_different() -> None:
    """By the name that the system has for it."""
    texts = ["Sit tall."]
    engines = [SystemEngine(voice, rate_wpm=150) for voice in ("", "English (America)")]
    ours, american = (next(iter(engine.speak(texts)))[1] for engine in engines)
    assert not np.array_equal(ours.samples, american.samples)
    for engine in engines:
        engine.close()


def test_a_helper_that_dies_is_a_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever ended it."""
    monkeypatch.setattr(sys, "executable", "/bin/false")
    engine = SystemEngine("", rate_wpm=150)
    with pytest.raises(Fault, match="the system voice failed"):
        list(engine.speak(["Sit tall."]))
    engine.close()


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere a temporary file is needed")
def test_no_file_is_written(tmp_path: Path) -> None:
    """A line may hold a patient's name: it is spoken in memory."""
    code = (
        "import os, sys\n"
        "from breathmark.speech.engines.system import SystemEngine\n"
        "engine = SystemEngine('', rate_wpm=150)\n"
        "print(sum(len(raw.samples) for _, raw in engine.speak(['Good morning.'])))\n"
        "engine.close()\n"
    )
    environment = {**os.environ, "TMPDIR": str(tmp_path), "HOME": str(tmp_path)}
    command = [sys.executable, "-c", code]
    done = subprocess.run(
        command, cwd=tmp_path, env=environment, capture_output=True, text=True,
        check=True, timeout=60,
    )  # fmt: skip
    assert int(done.stdout) > 5_000
    assert list(tmp_path.iterdir()) == []


def test_helpers_end_with_the_engine() -> None:
    """None is left behind."""
    engine = SystemEngine("", rate_wpm=150)
    list(engine.speak(["One.", "Two.", "Three."]))
    processes = [worker._process for worker in engine._idle]
    assert processes
    engine.close()
    assert all(process.poll() is not None for process in processes)


@pytest.mark.slow
def test_no_clip_of_hundreds_is_cut_short() -> None:
    """pyttsx3 left to itself loses the rate or the end of one in a hundred, more under load."""
    engine = SystemEngine("", rate_wpm=120)
    lengths = {len(raw.samples) for _, raw in engine.speak(["Sit tall in your chair."] * 600)}
    engine.close()
    assert len(lengths) == 1
