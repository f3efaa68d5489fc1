"""The project's own Python environment, made with the standard library alone.

``ready(extras)`` answers at once when ``.venv/`` at the repository's top is as
pyproject.toml wants it, and otherwise makes it so.  Two scripts started together
wait for each other; an interrupted attempt is noticed and begun again.

The module loads under any Python 3.8 or newer, so that :func:`require_python` can
say what is missing instead of a traceback.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import shutil
import subprocess
import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

OLDEST = (3, 11)
"""The oldest Python that Breathmark runs on (pyproject.toml: requires-python)."""

TOP = Path(__file__).resolve().parent.parent
FAULT = 3
"""Exit status when the machine, not the user's file, is in the way."""

STAMP = "breathmark-ready.json"
UNFINISHED = "breathmark-unfinished"
PIP_LOG = "breathmark-install.log"


class EnvironmentTrouble(Exception):
    """The environment cannot be made; the text says why and what would help."""


def require_python(version: tuple[int, ...] = tuple(sys.version_info[:3])) -> None:
    """End with a plain message when this Python is older than :data:`OLDEST`."""
    if version[:2] < OLDEST:
        wanted, found = ".".join(map(str, OLDEST)), ".".join(map(str, version))
        say(f"Breathmark needs Python {wanted} or newer; this is {found} ({sys.executable}).")
        say("Install a newer Python from python.org or your system's packages,")
        say("and run this script with it, for example: python3.12 scripts/demo.py")
        raise SystemExit(FAULT)


def say(text: str = "") -> None:
    """Print a line for the person at the terminal, at once."""
    print(text, flush=True)


def program(name: str, folder: Path = TOP / ".venv") -> Path:
    """Where an installed program lies in the environment, on any system."""
    if os.name == "nt":
        return folder / "Scripts" / f"{name}.exe"
    return folder / "bin" / name


def ready(extras: Sequence[str] = (), *, top: Path = TOP) -> None:
    """Make sure the environment holds the project and ``extras``; end plainly if it cannot."""
    folder = top / ".venv"
    try:
        if not _is_ready(folder, extras, top):
            with _only_one(top / ".venv.lock"):
                if not _is_ready(folder, extras, top):  # another script may just have made it
                    _make(folder, extras, top)
    except EnvironmentTrouble as trouble:
        say(str(trouble))
        raise SystemExit(FAULT) from None
    except OSError as error:
        say(f"The environment in {folder} could not be made: {error}")
        say("Check that the disk has room (about 2 GB) and that the folder may be written to.")
        raise SystemExit(FAULT) from None
    except KeyboardInterrupt:
        say("\nStopped. The next start begins the environment again.")
        raise SystemExit(130) from None


def wanted_hash(top: Path = TOP) -> str:
    """What the environment is made from, as a hash: the project's tables and its folder."""
    import tomllib  # new in 3.11, hence not at the top

    tables = tomllib.loads((top / "pyproject.toml").read_text(encoding="utf-8"))
    made_from = {
        "build-system": tables.get("build-system"),
        "project": tables.get("project"),
        "hatch": tables.get("tool", {}).get("hatch"),
        "top": str(top),
    }
    return hashlib.sha256(json.dumps(made_from, sort_keys=True).encode()).hexdigest()


def _is_ready(folder: Path, extras: Sequence[str], top: Path) -> bool:
    stamp = _stamp(folder)
    python = program("python", folder)
    return (
        stamp is not None
        and not (folder / UNFINISHED).exists()
        and python.exists()
        and stamp.get("hash") == wanted_hash(top)
        and stamp.get("python") == os.path.realpath(python)
        and set(extras) <= set(stamp.get("extras", ()))
    )


def _stamp(folder: Path) -> dict[str, Any] | None:
    try:
        stamp = json.loads((folder / STAMP).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    return stamp if isinstance(stamp, dict) else None


def _make(folder: Path, extras: Sequence[str], top: Path) -> None:
    started = time.monotonic()
    if (folder / UNFINISHED).exists() or not _usable(folder):
        _create(folder)
    (folder / UNFINISHED).touch()
    (folder / STAMP).unlink(missing_ok=True)
    target = f".[{','.join(extras)}]" if extras else "."
    _install(folder, target, top)
    stamp = {
        "hash": wanted_hash(top),
        "python": os.path.realpath(program("python", folder)),
        "extras": sorted(extras),
    }
    (folder / STAMP).write_text(json.dumps(stamp) + "\n", encoding="utf-8")
    (folder / UNFINISHED).unlink()
    say(f"Environment ready after {time.monotonic() - started:.0f} s.\n")


def _usable(folder: Path) -> bool:
    """Whether there is an environment whose Python starts, is new enough and has pip."""
    question = f"import sys, pip; sys.exit(sys.version_info < {OLDEST})"
    try:
        answer = subprocess.run(
            [program("python", folder), "-c", question], capture_output=True, check=False
        )
    except OSError:
        return False
    return answer.returncode == 0


def _create(folder: Path) -> None:
    try:
        import ensurepip
        import venv
    except ImportError:
        raise EnvironmentTrouble(_NO_VENV.format(python=sys.executable)) from None
    _ = ensurepip.version()
    say(f"Making a Python environment in {folder} ...")
    if folder.is_symlink() or folder.is_file():
        folder.unlink()
    elif folder.exists():
        shutil.rmtree(folder)
    folder.mkdir()
    (folder / UNFINISHED).touch()
    # A process of its own: `venv` prints, and ends the interpreter, in its own way.
    answer = subprocess.run(
        [sys.executable, "-m", venv.__name__, str(folder)],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        errors="replace",
        check=False,
    )
    if answer.returncode:
        remedy = _NO_VENV.format(python=sys.executable)
        raise EnvironmentTrouble(f"{answer.stdout.strip()}\n\n{remedy}")


def _install(folder: Path, target: str, top: Path) -> None:
    """Let pip install ``target`` editable, quietly; raise with its output if it fails."""
    command = [
        *(str(program("python", folder)), "-m", "pip", "install", "--editable", target),
        *("--no-input", "--progress-bar", "off", "--disable-pip-version-check"),
    ]
    log = folder / PIP_LOG
    say("Installing Breathmark and what it needs from the package index (some minutes) ...")
    with log.open("wb") as out:
        pip = subprocess.Popen(
            command, cwd=top, stdin=subprocess.DEVNULL, stdout=out, stderr=subprocess.STDOUT
        )
        try:
            status = _wait(pip, log)
        except BaseException:
            pip.terminate()
            pip.wait()
            raise
    if status:
        said = log.read_text(encoding="utf-8", errors="replace").strip()
        raise EnvironmentTrouble(f"{said}\n\npip could not install Breathmark. {_remedy(said)}")


def _wait(pip: subprocess.Popen[bytes], log: Path) -> int:
    """Wait for pip, saying now and then how long it has taken and what it is at."""
    live = sys.stdout.isatty()
    started = time.monotonic()
    pause_s = 1 if live else 20
    while True:
        try:
            status = pip.wait(timeout=pause_s)
        except subprocess.TimeoutExpired:
            line = f"  {time.monotonic() - started:4.0f} s  {_at(log)}"
            print(f"\r{line[:79]:79}" if live else line, end="" if live else "\n", flush=True)
            continue
        if live:
            print("\r" + " " * 79 + "\r", end="", flush=True)
        return status


def _at(log: Path) -> str:
    """The last line pip wrote."""
    lines = log.read_text(encoding="utf-8", errors="replace").split("\n")
    return next((line.strip()[:60] for line in reversed(lines) if line.strip()), "starting")


@contextlib.contextmanager
def _only_one(path: Path) -> Iterator[None]:
    """Hold the lock file ``path``; the system lets go of it when the process ends."""
    with path.open("a+b") as lock:
        if not _try_lock(lock.fileno()):
            say("Another start is making the environment; waiting for it ...")
            while not _try_lock(lock.fileno()):
                time.sleep(0.5)
        yield


def _try_lock(descriptor: int) -> bool:
    try:
        if sys.platform == "win32":
            import msvcrt

            os.lseek(descriptor, 0, os.SEEK_SET)
            msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def _remedy(said: str) -> str:
    """What helps against the failure that pip described."""
    for signs, remedy in _REMEDIES.items():
        if any(sign in said for sign in signs):
            return remedy
    return "What pip said stands above; run the script again when that is mended."


_NO_VENV = (
    "This Python ({python}) cannot make an environment: its `venv` or `ensurepip` is missing.\n"
    "On Debian and Ubuntu: sudo apt install python3-venv, then run this script again.\n"
    "Elsewhere: install Python from python.org, which has both."
)
_REMEDIES: Mapping[tuple[str, ...], str] = {
    ("No space left", "Errno 28"): "The disk is full: free about 2 GB and run the script again.",
    ("Permission denied", "Errno 13", "Read-only file system"): (
        "A folder may not be written to: check who owns this folder and pip's cache."
    ),
    ("ProxyError", "407 Proxy", "Cannot connect to proxy"): (
        "The proxy refused: set HTTPS_PROXY to your network's proxy and run the script again."
    ),
    ("CERTIFICATE_VERIFY_FAILED", "SSLError"): (
        "The connection is not trusted: a company network may need its certificate in PIP_CERT."
    ),
    (
        "Failed to establish a new connection",
        "Name or service not known",
        "Temporary failure in name resolution",
        "getaddrinfo failed",
        "Connection refused",
        "timed out",
        "Network is unreachable",
        "No matching distribution found for hatchling",
    ): "The package index was not reached: connect to the network and run the script again.",
}
