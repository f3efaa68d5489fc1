"""The system's own voice through pyttsx3: SAPI 5, macOS voices or eSpeak NG.

pyttsx3 says the same text differently the second time in one process, hangs on some
faults and crashes on others; so every clip is spoken by a process of its own, with a
time limit, two at a time (:mod:`breathmark.speech.engines.system_worker`).
"""

from __future__ import annotations

import io
import json
import subprocess
import sys
import threading
import wave
from collections.abc import Iterator, Mapping, Sequence
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import IO, Any

import numpy as np
from numpy.typing import NDArray

from breathmark.problems import Fault
from breathmark.speech.engines.base import RawSpeech, require_words
from breathmark.speech.engines.budget import THREADS, Job, spread
from breathmark.speech.rumble import LOWEST_HZ, without_rumble

SERVICES = {"win32": "sapi5", "darwin": "nsss"}
"""pyttsx3's driver on each platform; eSpeak NG elsewhere."""

LIMIT_S = 20.0
"""Time for one sentence; a thousand times what it takes."""

_WORKER = Path(__file__).with_name("system_worker.py")
"""Run as a file, not as a module of ours: it starts three times as fast (measured)."""

_REMEDY = {
    "sapi5": "Check that a voice is installed under Settings, Time and language, Speech.",
    "nsss": "Check that a voice is installed under System Settings, Accessibility.",
    "espeak": "Reinstall the package espeakng-loader, which brings eSpeak NG.",
}


class SystemEngine:
    """The system voice at one rate; ``voice`` is its name or id.

    Without a name it is the system's usual voice if that speaks ``language``, else the
    first that does.
    """

    def __init__(
        self, voice: str, *, rate_wpm: int, language: str = "en", limit_s: float = LIMIT_S
    ) -> None:
        self._voice, self._rate_wpm, self._limit_s = voice, rate_wpm, limit_s
        self._language = language
        self._service = SERVICES.get(sys.platform, "espeak")
        self._idle: list[_Worker] = []
        self._lock = threading.Lock()

    @property
    def model(self) -> str:
        """The system's speech service, as pyttsx3 calls it."""
        return self._service

    def fingerprint(self) -> Mapping[str, str]:
        """The speech service, the versions we can know, and the settings."""
        return {
            "engine": "system",
            "pyttsx3": version("pyttsx3"),
            "espeakng-loader": _version_or_none("espeakng-loader"),
            "model": self._service,
            "voice of the system": self._voice or f"for {self._language}",
            "rate": str(self._rate_wpm),
            "lowest": f"{LOWEST_HZ:g} Hz",
        }

    def speak(self, sentences: Sequence[str]) -> Iterator[tuple[int, RawSpeech]]:
        """Say each sentence; see :class:`~breathmark.speech.engines.base.Engine`."""
        require_words(sentences)
        jobs = [Job(index=at, cost=1.0, work=text) for at, text in enumerate(sentences)]
        yield from spread(jobs, self._say, most=float(THREADS))

    def close(self) -> None:
        """End the helper processes."""
        with self._lock:
            idle, self._idle = self._idle, []
        for worker in idle:
            worker.end()

    def _say(self, text: str) -> RawSpeech:
        with self._lock:
            worker = self._idle.pop() if self._idle else None
        worker = worker or _Worker()
        try:
            data = worker.ask(self._request(text), self._limit_s, _REMEDY[self._service])
        except BaseException:
            worker.end()
            raise
        if worker.usable:
            with self._lock:
                self._idle.append(worker)
        else:
            worker.end()
        raw = decoded(data)
        return RawSpeech(without_rumble(raw.samples, raw.rate_hz), raw.rate_hz)

    def _request(self, text: str) -> dict[str, Any]:
        return {
            "text": text, "rate": self._rate_wpm, "voice": self._voice,
            "language": self._language, "service": self._service, "limit_s": self._limit_s,
        }  # fmt: skip


class _Worker:
    """One helper process: it says a line on request, each in a process of its own."""

    def __init__(self) -> None:
        self._process = subprocess.Popen(
            [sys.executable, "-P", str(_WORKER)],  # its neighbours must not stand in for others
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        self.usable = True

    def ask(self, request: dict[str, Any], limit_s: float, remedy: str) -> bytes:
        """The audio file that the worker made, as bytes, whatever its format."""
        watch = threading.Timer(limit_s + 5.0, self._process.kill)
        watch.start()
        try:
            sink, source = _pipes(self._process)
            sink.write(json.dumps(request).encode("ascii") + b"\n")
            sink.flush()
            answer = source.readline()
            head = json.loads(answer) if answer else {"error": "it ended without a word"}
            data = source.read(int(head.get("bytes", 0)))
        except (OSError, ValueError) as error:
            head, data = {"error": str(error)}, b""
        finally:
            watch.cancel()
        self.usable = bool(head.get("again"))
        if head.get("error"):
            raise Fault(f"the system voice failed: {head['error']}", remedy=remedy)
        return data

    def end(self) -> None:
        """End the process and let go of its pipes."""
        self._process.kill()
        self._process.communicate()


def _pipes(process: subprocess.Popen[bytes]) -> tuple[IO[bytes], IO[bytes]]:
    if process.stdin is None or process.stdout is None:
        raise OSError("the helper process has no pipes")
    return process.stdin, process.stdout


def decoded(data: bytes) -> RawSpeech:
    """An audio file's samples, by what is in it: WAV, or AIFF as macOS writes it.

    Raises :class:`~breathmark.problems.Fault` when it is neither or holds no sound.
    """
    if data[:4] == b"RIFF" and data[8:12] == b"WAVE":
        return _wav(data)
    if data[:4] == b"FORM" and data[8:12] in (b"AIFF", b"AIFC"):
        return _aiff(data)
    raise Fault("the system voice gave no audio that we know",
                remedy="Choose another voice with --voice.")  # fmt: skip


def _wav(data: bytes) -> RawSpeech:
    try:
        with wave.open(io.BytesIO(data)) as file:
            width, channels, rate_hz = (
                file.getsampwidth(), file.getnchannels(), file.getframerate(),
            )  # fmt: skip
            frames = file.readframes(file.getnframes())
    except (wave.Error, EOFError) as error:
        raise Fault(f"the system voice gave a damaged WAV: {error}") from error
    if width != 2:
        raise Fault(f"the system voice gave samples of {8 * width} bits, not 16")
    whole = np.frombuffer(frames, dtype="<i2").astype(np.float32) / 32768.0
    return RawSpeech(_mono(whole.reshape(-1, channels)), rate_hz)


def _aiff(data: bytes) -> RawSpeech:
    import av

    try:
        with av.open(io.BytesIO(data), mode="r") as file:
            rate_hz = file.streams.audio[0].rate
            resampler = av.AudioResampler(format="flt", layout="mono", rate=rate_hz)
            parts = [
                part.to_ndarray().reshape(-1)
                for frame in [*file.decode(audio=0), None]
                for part in resampler.resample(frame)
            ]
    except (av.FFmpegError, IndexError) as error:
        raise Fault(f"the system voice gave a damaged AIFF: {error}") from error
    return RawSpeech(np.concatenate(parts).astype(np.float32), int(rate_hz))


def _mono(frames: NDArray[np.float32]) -> NDArray[np.float32]:
    mono: NDArray[np.float32] = frames.mean(axis=1, dtype=np.float32)
    return mono


def _version_or_none(package: str) -> str:
    try:
        return version(package)
    except PackageNotFoundError:
        return "none"
