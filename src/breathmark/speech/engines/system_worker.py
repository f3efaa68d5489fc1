"""The process behind a system voice: requests on standard input, audio on standard output.

A request is a line of JSON (text, rate, voice, language, service, limit_s); the answer a line of
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
from collections.abc import Iterable
from pathlib import Path
from types import SimpleNamespace
from typing import Any, BinaryIO

FORKS = sys.platform == "linux"

_NO_VOICE = 3
"""The exit status of a child that found no such voice."""


class _NoVoiceError(ValueError):
    """The system lacks the voice that was asked for."""


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
        if status == _NO_VOICE:
            return b"", f"a line could not be said: {_no_voice(request)}"
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
    except _NoVoiceError:
        status = _NO_VOICE
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
    with tempfile.TemporaryDirectory(prefix="breathmark-", ignore_cleanup_errors=True) as folder:
        path = Path(folder) / "clip.wav"
        try:
            _speak(request, str(path))
            return path.read_bytes(), ""
        except (OSError, RuntimeError, ValueError, KeyError, AssertionError) as error:
            return b"", f"{type(error).__name__}: {error}"


def _speak(request: dict[str, Any], path: str) -> None:
    import pyttsx3

    engine = pyttsx3.init(request["service"])
    voice = wanted_voice(
        engine.getProperty("voices"), engine.getProperty("voice"),
        request["voice"], request["language"],
    )  # fmt: skip
    if voice is None:
        raise _NoVoiceError(_no_voice(request))
    if voice:
        engine.setProperty("voice", voice)
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


def _no_voice(request: dict[str, Any]) -> str:
    if request["voice"]:
        return f"this system has no voice `{request['voice']}`"
    return f"this system has no voice for the language `{request['language']}`"


def wanted_voice(voices: Iterable[Any], usual: object, name: str, language: str) -> str | None:
    """The id of the voice to speak with; empty for the ``usual`` one, ``None`` for none.

    By ``name`` (or id) if there is one, for pyttsx3 takes a bad one without a word; else
    by language: the usual voice if it speaks it, the very tag, the tag of the language's
    own country (``fr-FR`` for ``fr``), the shortest tag of the language.  Where no voice
    tells its language, the usual one speaks.
    """
    if name:
        named = (v for v in voices if name.lower() in (str(v.id).lower(), str(v.name).lower()))
        return next((str(voice.id) for voice in named), None)
    wanted = _tag(language)
    primary = wanted.split("-", maxsplit=1)[0]
    told = [(voice, _tag(tag)) for voice in voices for tag in voice.languages or () if tag]
    fitting = [(str(v.id), tag) for v, tag in told if tag.split("-", maxsplit=1)[0] == primary]
    if not told or str(usual) in (voice for voice, _ in fitting):
        return ""
    own = (primary, f"{primary}-{primary}")
    ranked = [(tag != wanted, tag not in own, len(tag), voice) for voice, tag in fitting]
    return min(ranked)[3] if ranked else None


def _tag(language: object) -> str:
    """A language tag in one form; systems write ``de_DE`` or bytes with a count before them."""
    text = language.decode("ascii", "ignore") if isinstance(language, bytes) else str(language)
    return "".join(char for char in text if char.isprintable()).replace("_", "-").lower()


if __name__ == "__main__":
    with contextlib.suppress(BrokenPipeError, KeyboardInterrupt):
        main()
