"""A caseload to measure: a hundred patients who do five short routines, and the bare cost."""

from __future__ import annotations

import csv
import itertools
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import _environment as environment

ROUTINES = (
    ("Ankle circles", "Seated march"),
    ("Heel raises",),
    ("Standing side leg lift",),
    ("Bridge",),
    ("Tandem stance", "Seated glute squeeze"),
)
"""Exercises of the starter library; each routine lasts some three minutes."""


def write_caseload(folder: Path, patients: int) -> Path:
    """The routines and a table of patients, who differ in their first side and coaching."""
    for number, names in enumerate(ROUTINES):
        uses = "".join(f"  - use: {name}\n" for name in names)
        path = folder / f"routine-{number}.yaml"
        path.write_text(f"title: Routine {number}\nexercises:\n{uses}", encoding="utf-8")
    variants = itertools.product(("left", "right"), ("fading", "light"), range(len(ROUTINES)))
    path = folder / f"patients-{patients}.csv"
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(("label", "routine", "first side", "coaching"))
        for number, (side, coaching, routine) in zip(
            range(patients), itertools.cycle(variants), strict=False
        ):
            writer.writerow((f"R-{number:03}", f"routine-{routine}.yaml", side, coaching))
    return path


def build(folder: Path, table: Path, output: str, *options: str) -> list[str]:
    """The command that builds a caseload, with a clip store of the measurement's own."""
    return [
        *("env", f"BREATHMARK_STORE={folder / 'caseload-store'}"),
        *(str(environment.program("breathmark")), "caseload", str(table), "--quiet"),
        *("--output", str(folder / output), *options),
    ]


def on_one_core(command: list[str]) -> list[str]:
    """The command, kept to one core where the system can do that."""
    if not hasattr(os, "sched_setaffinity"):
        return command
    core = min(os.sched_getaffinity(0))
    pinned = (
        f"import os, sys; os.sched_setaffinity(0, [{core}]); os.execvp(sys.argv[1], sys.argv[1:])"
    )
    return [sys.executable, "-c", pinned, *command]


def recordings(folder: Path) -> list[Path]:
    """The recording of each patient, in the order of the labels."""
    found = folder.glob("*/*/*.mp3")
    return sorted(path for path in found if not path.parent.name.startswith("."))


def stopped_and_taken_up(command: list[str], output: Path, at: int) -> tuple[int, int, int]:
    """Kill a build when ``at`` recordings are there, and start it again.

    How many there were then, how many of these were built again, how many there are now.
    """
    process = subprocess.Popen(command, start_new_session=True)
    while len(recordings(output)) < at and process.poll() is None:
        time.sleep(0.02)
    process.send_signal(signal.SIGKILL)
    process.wait()
    time.sleep(1)  # its processes end with it
    before = {path: path.stat().st_ino for path in recordings(output)}
    subprocess.run(command, check=True)
    after = recordings(output)
    again = sum(path not in after or path.stat().st_ino != node for path, node in before.items())
    return len(before), again, len(after)
