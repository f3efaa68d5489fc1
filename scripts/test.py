"""Check the whole project: ``python3 scripts/test.py [--quick] [--jobs N] [-- PYTEST ARGUMENTS]``.

Makes ``.venv/`` at the repository's top when it is not there, then runs the style
checks, the type checks and the tests, goes on after a failure, and ends with a
status other than zero if any step failed.
"""

from __future__ import annotations

import argparse
import os
import re
import subprocess
import sys
import time
from pathlib import Path

import _environment as environment

MOST_JOBS = 4
"""Processes that test side by side, at most: each may hold a voice and a recogniser (1 GB)."""

CLOSING = re.compile(r"\d+ (passed|failed|skipped|deselected|error).* in [\d.]+s|no tests ran")
COLOUR = re.compile(r"\x1b\[[\d;]*m")


def main(arguments: list[str]) -> int:
    """Run every step; return 0 when all of them passed, else 1."""
    environment.require_python()
    options = _options(arguments)
    environment.ready(["dev"])
    os.chdir(environment.TOP)
    rows: list[tuple[str, float, bool]] = []
    closing = ""
    for name, command in _steps(options):
        environment.say(f"-- {name}: {' '.join([Path(command[0]).name, *command[1:]])}")
        started = time.monotonic()
        status, closing = _run(command, watch=name == "tests")
        rows.append((name, time.monotonic() - started, status == 0))
    environment.say()
    for name, took_s, passed in rows:
        environment.say(f"{name:8} {'passed' if passed else 'FAILED'} {took_s:7.1f} s")
    if closing:
        environment.say(closing)
    return 0 if all(passed for _, _, passed in rows) else 1


def _options(arguments: list[str]) -> argparse.Namespace:
    own, extra = arguments, []
    if "--" in arguments:
        at = arguments.index("--")
        own, extra = arguments[:at], arguments[at + 1 :]
    parser = argparse.ArgumentParser(description="Check the whole project.")
    parser.add_argument("--quick", action="store_true", help="leave out the slow tests")
    parser.add_argument(
        "--jobs",
        type=int,
        default=min(os.cpu_count() or 1, MOST_JOBS),
        help="processes that test side by side (%(default)s); 1 for a debugger",
    )
    parser.epilog = "What follows -- goes to pytest, for example: -- -k import -x"
    options = parser.parse_args(own)
    options.pytest = extra
    return options


def _steps(options: argparse.Namespace) -> list[tuple[str, list[str]]]:
    ruff, mypy = str(environment.program("ruff")), str(environment.program("mypy"))
    pytest = [str(environment.program("python")), "-m", "pytest", "--cov"]
    if sys.stdout.isatty():
        pytest.append("--color=yes")
    if options.jobs > 1:  # a file's tests stay together: they share what they have made
        pytest += ["-n", str(options.jobs), "--dist", "loadfile"]
        pytest += ["--max-worker-restart", "0"]  # after a crash it would wait for ever
    if options.quick:
        pytest += ["-m", "not slow"]
    return [
        ("style", [ruff, "check", "."]),
        ("format", [ruff, "format", "--check", "."]),
        ("types", [mypy]),
        ("tests", [*pytest, *options.pytest]),
    ]


def _run(command: list[str], *, watch: bool) -> tuple[int, str]:
    """Run one step; with ``watch`` also catch the line with which pytest closes."""
    if not watch:
        return subprocess.call(command, env=_surroundings()), ""
    reading, writing = os.pipe()
    process = subprocess.Popen(command, env=_surroundings(), stdout=writing)
    os.close(writing)
    tail = b""
    while chunk := os.read(reading, 65_536):
        sys.stdout.buffer.write(chunk)
        sys.stdout.flush()
        tail = (tail + chunk)[-4_000:]
    os.close(reading)
    lines = COLOUR.sub("", tail.decode(errors="replace")).splitlines()
    return process.wait(), next((line for line in reversed(lines) if CLOSING.search(line)), "")


def _surroundings() -> dict[str, str]:
    """The environment of the steps: no clip store, model hub or settings of the user's."""
    store = environment.TOP / ".pytest_cache" / "clips"
    columns = os.get_terminal_size().columns if sys.stdout.isatty() else 100
    return {
        **os.environ,
        "BREATHMARK_STORE": str(store),
        "HF_HUB_OFFLINE": "1",
        "PYTHONUTF8": "1",
        "COLUMNS": str(columns),
    }


if __name__ == "__main__":
    try:
        sys.exit(main(sys.argv[1:]))
    except KeyboardInterrupt:
        sys.exit(130)
