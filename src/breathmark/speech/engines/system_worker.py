"""The process behind a system voice: requests on standard input, audio on standard output.

A request is a line of JSON (text, rate, voice, service, limit_s); the answer a line of
JSON (``error``, or ``bytes``; ``again`` when another request may follow) and then the
audio file's bytes.  On Linux a child is forked for every line from a process that has
loaded everything and spoken nothing; elsewhere a worker speaks one line and ends.
Nothing is written to a disk on Linux; elsewhere a temporary file lives while the line
is spoken.
"""

from __future__ import annotations

import contextlib
import ctypes
import json
import os
import signal
import sys
import tempfile
from pathlib import Path
from types import SimpleNamespace
from typing import Any, BinaryIO

FORKS = sys.platform == "linux"


def main() -> None:
    """Answer requests until standard input ends."""
    answers = os.fdopen(os.dup(1), "wb")  # ours alone: pyttsx3 prints on standard output
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    problem = _prepare() if FORKS else ""
    for line in sys.stdin.buffer:
        request = json.loads(line)
        if problem:
            _answer(answers, b"", error=problem)
        elif FORKS:
            _answer(answers, *_in_a_child(request), again=True)
        else:
            _answer(answers, *_on_disk(request))
            return


def _answer(answers: BinaryIO, data: bytes, error: str = "", *, again: bool = False) -> None:
    head = {"error": error, "again": again, "bytes": len(data)}
    answers.write(json.dumps(head).encode("ascii") + b"\n" + data)
    answers.flush()


def _prepare() -> str:
    """Load eSpeak NG from its package, and pyttsx3; what went wrong, if anything."""
    try:
        import espeakng_loader

        # By its SONAME pyttsx3 then finds this library.  Not RTLD_GLOBAL: its names
        # would take the place of those in Piper's own copy.
        ctypes.CDLL(espeakng_loader.get_library_path(), mode=ctypes.RTLD_LOCAL)
        os.environ.setdefault("ESPEAK_DATA_PATH", espeakng_loader.get_data_path())
    except ImportError:
        pass  # the system's own eSpeak NG may be there
    except (OSError, RuntimeError) as error:
        return f"eSpeak NG cannot be loaded: {error}"
    try:
        from pyttsx3.drivers import espeak

        # It naps 10 ms for each clip, half of what a clip takes; _settle() waits instead.
        espeak.time = SimpleNamespace(sleep=lambda _seconds: None)
    except (ImportError, OSError, RuntimeError) as error:
        return f"pyttsx3 cannot be loaded: {error}"
    return ""


def _in_a_child(request: dict[str, Any]) -> tuple[bytes, str]:
    """Speak into memory in a forked child, which is ended at its time limit."""
    memory = os.memfd_create("clip")
    try:
        child = os.fork()
        if child == 0:
            _speak_and_exit(request, f"/proc/self/fd/{memory}")
        status = _waited(child, float(request["limit_s"]))
        if status is None:
            return b"", f"a line took longer than {request['limit_s']:g} s"
        if status != 0:
            return b"", f"a line could not be said (status {status})"
        os.lseek(memory, 0, os.SEEK_SET)
        with os.fdopen(os.dup(memory), "rb") as file:
            return file.read(), ""
    finally:
        os.close(memory)


def _speak_and_exit(request: dict[str, Any], path: str) -> None:
    status = 1
    try:
        _speak(request, path)
        status = 0
    finally:
        os._exit(status)  # no clean-up of the parent's: it is still at work


def _waited(child: int, limit_s: float) -> int | None:
    """The child's exit status, or ``None`` when it had to be ended."""
    signal.signal(signal.SIGALRM, _time_is_up)
    signal.setitimer(signal.ITIMER_REAL, limit_s)
    try:
        status = os.waitpid(child, 0)[1]
    except TimeoutError:
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        return None
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
    return os.waitstatus_to_exitcode(status)


def _time_is_up(_number: int, _frame: object) -> None:
    raise TimeoutError


def _on_disk(request: dict[str, Any]) -> tuple[bytes, str]:
    """Speak into a temporary file, in this process, which then ends."""
    with tempfile.TemporaryDirectory(prefix="breathmark-") as folder:
        path = Path(folder) / "clip.wav"
        try:
            _speak(request, str(path))
            return path.read_bytes(), ""
        except (OSError, RuntimeError, ValueError, KeyError, AssertionError) as error:
            return b"", f"{type(error).__name__}: {error}"


def _speak(request: dict[str, Any], path: str) -> None:
    import pyttsx3

    engine = pyttsx3.init(request["service"])
    if request["voice"]:
        engine.setProperty("voice", _voice_id(engine, request["voice"]))
    engine.setProperty("rate", int(request["rate"]))
    engine.proxy.setBusy(False)  # carry out what is queued, now
    _settle(request["service"])
    engine.proxy.setBusy(True)
    engine.save_to_file(request["text"], path)
    engine.runAndWait()
    _settle(request["service"])


def _settle(service: str) -> None:
    """Wait until eSpeak NG, which works in a thread of its own, has done what it was told.

    pyttsx3 does not wait: its loop ends while the clip is still being made, and on
    ending cancels whatever it finds at work, the change of rate too.  One clip in a
    hundred is then cut short or spoken at the wrong rate (measured).
    """
    if service == "espeak":
        from pyttsx3.drivers import _espeak

        _espeak.dll.espeak_Synchronize()


def _voice_id(engine: Any, wanted: str) -> str:
    """The id of the voice with that id or name; pyttsx3 takes a bad one without a word."""
    for voice in engine.getProperty("voices"):
        if wanted.lower() in (str(voice.id).lower(), str(voice.name).lower()):
            return str(voice.id)
    raise ValueError(f"this system has no voice `{wanted}`")


if __name__ == "__main__":
    with contextlib.suppress(BrokenPipeError, KeyboardInterrupt):
        main()
