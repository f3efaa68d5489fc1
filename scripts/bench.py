"""What Breathmark costs beside the bare cost: ``.venv/bin/python scripts/bench.py``.

Every ratio comes out of one run on one machine: our command and a plain script that
does the bare work (scripts/plain/) take turns, each in a process of its own, and the
medians are compared.  It takes some minutes, and wants a machine with nothing else to
do.  It is no test: nothing fails because a machine is slow.
"""

from __future__ import annotations

import argparse
import copy
import functools
import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import _caseload as clinic
import _environment as environment
import _fitting as fitting
import demo

PLAIN = environment.TOP / "scripts" / "plain"
PAGE_BYTES = 4096


@dataclass(kw_only=True, slots=True)
class Comparison:
    """Two costs in seconds (or megabytes), measured by turns, and what their ratio may be."""

    name: str
    bare_name: str
    unit: str = "s"
    aim: float | None = None
    most: float | None = None
    ours: list[float] = field(default_factory=list)
    bare: list[float] = field(default_factory=list)

    def row(self) -> str:
        """The comparison as a line of the table."""
        ours, bare = statistics.median(self.ours), statistics.median(self.bare)
        ratio = ours / bare
        verdict = "" if self.most is None else ("yes" if ratio <= self.most else "NO")
        wanted = "" if self.most is None else f"aim {self.aim:.2f}, most {self.most:.2f}"
        return (
            f"{self.name:34} {ours:8.3f} {self.unit:2}  {bare:8.3f} {self.unit:2}"
            f"  {ratio:6.2f}  {wanted:20} {verdict:4} {self.bare_name}"
        )


@dataclass(frozen=True, kw_only=True, slots=True)
class Ground:
    """What all measurements stand on: a folder of their own, and what was made there once."""

    folder: Path
    routine: Path
    rounds: int

    def make(self, routine: Path, *, store: str, output: str, voice: str = "calm") -> list[str]:
        """The command that makes ``routine``; its clip store is named in the surroundings."""
        return [
            *("env", f"BREATHMARK_STORE={self.folder / store}"),
            *(str(environment.program("breathmark")), "make", str(routine)),
            *("--voice", voice, "--output", str(self.folder / output)),
        ]

    def mp3(self, output: str) -> Path:
        """The recording that a build wrote."""
        return next((self.folder / output).rglob("*.mp3"))

    def plan(self, output: str) -> dict[str, Any]:
        """The plan that a build wrote."""
        text = next((self.folder / output).rglob("plan.json")).read_text(encoding="utf-8")
        plan: dict[str, Any] = json.loads(text)
        return plan


def main(arguments: list[str]) -> int:
    """Measure everything that was asked for, and print the table."""
    parser = argparse.ArgumentParser(description="Compare Breathmark with the bare cost.")
    parser.add_argument("--rounds", type=int, default=5, help="how often each cost is measured")
    parser.add_argument("--only", nargs="*", choices=MEASUREMENTS, default=list(MEASUREMENTS))
    options = parser.parse_args(arguments)
    with tempfile.TemporaryDirectory() as name:
        ground = Ground(folder=Path(name), routine=demo.DEMO, rounds=options.rounds)
        rows = [row for key in options.only for row in MEASUREMENTS[key](ground)]
    print(f"\n{os.cpu_count()} cores, Python {sys.version.split()[0]}, {options.rounds} rounds,")
    print("medians; ours first, then the bare cost\n")
    print("\n".join(rows))
    return 0


def cold(ground: Ground) -> Iterator[str]:
    """A first build of the demo against Piper saying the same lines and PyAV encoding."""
    seconds_of(ground.make(ground.routine, store="first", output="first"))
    lines, scale = neural_lines(ground)
    bare = [
        *plain("speak.py"),
        str(lines),
        str(scale),
        str(samples_of(ground.folder, ground.mp3("first"))),
    ]
    comparison = Comparison(name="cold make", bare_name="Piper, then PyAV", aim=1.0, most=1.2)
    for at in range(ground.rounds):
        ours = ground.make(ground.routine, store=f"cold-{at}", output=f"cold-{at}")
        comparison.ours.append(seconds_of(ours))
        comparison.bare.append(seconds_of([*bare, str(ground.folder / "bare.mp3")]))
    yield comparison.row()


def warm(ground: Ground) -> Iterator[str]:
    """A build after one changed line against encoding the same samples."""
    routine = ground.folder / "changed.yaml"
    routine.write_text(with_changed_line(ground.routine, 0), encoding="utf-8")
    make = ground.make(routine, store="warm", output="warm")
    seconds_of(make)
    samples = samples_of(ground.folder, ground.mp3("warm"))
    bare = [*plain("encode.py"), str(samples), str(ground.folder / "bare.mp3")]
    comparison = Comparison(name="make, one line changed", bare_name="PyAV", aim=1.0, most=1.5)
    unchanged = Comparison(name="make, nothing changed", bare_name="PyAV")
    for at in range(1, ground.rounds + 1):
        routine.write_text(with_changed_line(ground.routine, at), encoding="utf-8")
        comparison.ours.append(seconds_of(make))
        comparison.bare.append(seconds_of(bare))
        unchanged.ours.append(seconds_of(make))
    unchanged.bare = comparison.bare
    yield comparison.row()
    yield unchanged.row()


def system(ground: Ground) -> Iterator[str]:
    """Our system voice against the script one would write with pyttsx3 and pydub."""
    seconds_of(ground.make(ground.routine, store="s", output="system", voice="system"))
    plan = ground.plan("system")
    lines = [[e["start_ms"], e["text"]] for e in plan["events"] if e["kind"] == "spoken"]
    path = ground.folder / "script.json"
    path.write_text(json.dumps([*lines, [plan["length_ms"], ""]]), encoding="utf-8")
    bare = [*plain("talk.py"), str(path), "150", str(ground.folder / "bare.mp3")]
    comparison = Comparison(
        name="cold make, system voice", bare_name="pyttsx3 and pydub", aim=1.0, most=1.0
    )
    for at in range(ground.rounds):
        ours = ground.make(ground.routine, store=f"s-{at}", output=f"s-{at}", voice="system")
        comparison.ours.append(seconds_of(ours))
        comparison.bare.append(seconds_of(bare))
    yield comparison.row()


def memory(ground: Ground) -> Iterator[str]:
    """Peak memory of a cold build, of the demo and of two hours of its exercises."""
    if not Path("/proc/self/statm").exists():
        yield "memory: not measured, this system has no /proc"
        return
    long = ground.folder / "two-hours.yaml"
    long.write_text(repeated(ground.routine, hours=2), encoding="utf-8")
    peaks = []
    for routine, name in ((ground.routine, "memory-demo"), (long, "memory-long")):
        peak = peak_mb(ground.make(routine, store=name, output=name))
        minutes = ground.plan(name)["length_ms"] / 60_000
        peaks.append(peak)
        verdict = "yes" if peak <= 350 else "NO"
        yield f"{f'peak memory, {minutes:.1f} min':34} {peak:8.1f} MB  most 350.0 MB  {verdict}"
    yield f"{'long over short':34} {peaks[1] / peaks[0]:8.3f}     aim 1.0 (flat)"


def start(ground: Ground) -> Iterator[str]:
    """How long the small commands take, against an interpreter that does nothing."""
    breathmark = str(environment.program("breathmark"))
    nothing = [str(environment.program("python")), "-c", "pass"]
    commands = {
        "--help": [breathmark, "--help"],
        "check": [breathmark, "check", str(ground.routine)],
    }
    for name, command in commands.items():
        comparison = Comparison(name=name, bare_name="python -c pass")
        for _ in range(3 * ground.rounds):
            comparison.ours.append(seconds_of(command))
            comparison.bare.append(seconds_of(nothing))
        yield comparison.row()


def caseload(ground: Ground) -> Iterator[str]:
    """A hundred patients of five routines whose lines are in the store, against encoding.

    Recording, plan and record are compared with the bare encode, both at once on one core;
    then what more cores gain, by turns; then they are built with their papers, and twenty
    of them are stopped and taken up again.
    """
    folder = ground.folder
    table = clinic.write_caseload(folder, PATIENTS)
    few = clinic.write_caseload(folder, FEW)  # every routine in every variant there is
    seconds_of(clinic.build(folder, few, "caseload-first", "--bare"))
    samples = [samples_of(folder, path) for path in clinic.recordings(folder / "caseload-first")]
    yield from _on_one_core(ground, table, samples)
    yield from _on_all_cores(ground, few, samples)
    again = seconds_of(clinic.build(folder, table, "whole", "--bare"))
    yield f"{'the same again, nothing to do':34} {again:8.3f} s   for {PATIENTS} patients"
    papers = seconds_of(clinic.build(folder, table, "whole")) / PATIENTS
    yield f"{'a patient with papers and all':34} {papers:8.3f} s"
    command = clinic.build(folder, table, "killed", "--bare")
    before, twice, there = clinic.stopped_and_taken_up(command, folder / "killed", PATIENTS // 2)
    verdict = "yes" if (twice, there) == (0, PATIENTS) else "NO"
    yield (
        f"{'killed, then taken up again':34} {before} built before, {twice} built twice, "
        f"{PATIENTS - there} missing  {verdict}"
    )


PATIENTS, FEW = 100, 20
BARE_PATIENTS = PATIENTS * 13 // 10
"""As many take the bare encode about as long as ours take: the two share the core throughout."""


def _on_one_core(ground: Ground, table: Path, samples: list[Path]) -> Iterator[str]:
    """Processor time a patient, ours and the bare encode, both at once on the same core.

    A machine's speed drifts by a third within the minutes that either takes; side by side
    they meet the same machine, and by turns the ratio came out between 1.17 and 1.40.
    """
    if not hasattr(os, "wait4"):
        yield "a patient, one core: not measured, this system has no wait4"
        return
    build = clinic.build(ground.folder, table, "whole", "--bare")
    bare = _encoding((samples * PATIENTS)[:BARE_PATIENTS], ground.folder / "bare.mp3")
    commands = [clinic.on_one_core(build), clinic.on_one_core(bare)]
    with ThreadPoolExecutor() as side_by_side:
        ours_s, bare_s = side_by_side.map(processor_seconds_of, commands)
    yield Comparison(
        name="a patient, processor time",
        bare_name="PyAV, on the same core",
        aim=1.0,
        most=1.3,
        ours=[ours_s / PATIENTS],
        bare=[bare_s / BARE_PATIENTS],
    ).row()


def _on_all_cores(ground: Ground, table: Path, samples: list[Path]) -> Iterator[str]:
    """A patient on one core and on all, by turns: what the cores gain, and the bare encode."""
    folder = ground.folder
    bare = _encoding(samples, folder / "bare.mp3")
    halves = [_encoding(samples[at::2], folder / f"bare-{at}.mp3") for at in (0, 1)]
    one = Comparison(name="a patient, one core", bare_name="PyAV, one core")
    both = Comparison(name="a patient, all cores", bare_name="PyAV, two processes")
    for at in range(ground.rounds):
        build = clinic.build(folder, table, f"one-{at}", "--bare")
        one.ours.append(seconds_of(clinic.on_one_core(build)) / FEW)
        one.bare.append(seconds_of(clinic.on_one_core(bare)) / FEW)
        both.ours.append(seconds_of(clinic.build(folder, table, f"both-{at}", "--bare")) / FEW)
        both.bare.append(seconds_of_all(halves) / FEW)
    yield one.row()
    yield both.row()
    gain = statistics.median(one.ours) / statistics.median(both.ours)
    ceiling = statistics.median(one.bare) / statistics.median(both.bare)
    verdict = "yes" if gain >= 1.7 else "NO"
    yield f"{'all cores over one':34} {gain:8.3f}     least 1.70      {verdict}"
    yield f"{'the same of the bare encode':34} {ceiling:8.3f}"


def _encoding(samples: list[Path], mp3: Path) -> list[str]:
    """The bare command that encodes samples, one after the other, into the same file."""
    return [*plain("encode.py"), *(str(path) for each in samples for path in (each, mp3))]


def fit(ground: Ground) -> Iterator[str]:
    """Fits of thirty exercises with wide ranges, each with its proof, wall and processor time.

    The solver alone stands against the same programs without whole numbers, the whole
    planner against reading the routine's file.
    """
    from breathmark.routine.reading import read_routine

    solver = [Comparison(name=f"fit, solver{of}", bare_name="not whole") for of in ("", ", busy")]
    whole = [Comparison(name=f"fit, all{of}", bare_name="read it") for of in ("", ", busy")]
    proofs = []
    for case in fitting.cases(ground.folder):
        solved: list[tuple[dict[str, Any], Any]] = []
        with fitting.watched(solved):
            case.fitted()
        proofs += [fitting.is_proved(result) for _, result in solved]
        relaxed = functools.partial(fitting.relaxed, [program for program, _ in solved])
        read = functools.partial(read_routine, case.path)
        for pair, ours, bare in ((solver, case.fitted, relaxed), (whole, case.planned, read)):
            both = zip(*map(fitting.seconds_of_both, (ours, bare)), strict=True)
            for comparison, (ours_s, bare_s) in zip(pair, both, strict=True):
                comparison.ours.append(ours_s)
                comparison.bare.append(bare_s)
    yield from (comparison.row() for comparison in (*solver, *whole))
    for comparison in solver:
        median_s, most_s = statistics.median(comparison.ours), max(comparison.ours)
        verdict = "yes" if median_s < 1 else "NO"
        name = f"{comparison.name}, median under 1 s"
        yield f"{name:34} {median_s:8.3f} s   longest {most_s:.3f} s  {verdict}"
    verdict = "yes" if all(proofs) else "NO"
    yield f"{'fit, steps proved optimal':34} {sum(proofs):8} of {len(proofs)}  {verdict}"


MEASUREMENTS: dict[str, Callable[[Ground], Iterator[str]]] = {
    "cold": cold,
    "warm": warm,
    "system": system,
    "memory": memory,
    "start": start,
    "caseload": caseload,
    "fit": fit,
}


def plain(script: str) -> list[str]:
    """The command that runs a plain script."""
    return [str(environment.program("python")), str(PLAIN / script)]


def seconds_of(command: list[str]) -> float:
    """Wall time of a command; ends the run with its output if it fails."""
    started = time.perf_counter()
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    took_s = time.perf_counter() - started
    if done.returncode:
        sys.exit(f"{' '.join(command)} ended with {done.returncode}:\n{done.stdout}{done.stderr}")
    print(f"{took_s:8.3f} s  {' '.join(Path(word).name for word in command[:8])}", flush=True)
    return took_s


def processor_seconds_of(command: list[str]) -> float:
    """Processor time of a command and all its processes; ends the run if it fails."""
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL)
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode:
        sys.exit(f"{' '.join(command[:12])} ended with {process.returncode}")
    took_s = used.ru_utime + used.ru_stime
    print(f"{took_s:8.3f} s  {' '.join(Path(word).name for word in command[:12])}", flush=True)
    return took_s


def seconds_of_all(commands: list[list[str]]) -> float:
    """Wall time of commands that run side by side."""
    with ThreadPoolExecutor(len(commands)) as side_by_side:
        return max(side_by_side.map(seconds_of, commands))


def peak_mb(command: list[str]) -> float:
    """Most resident memory of a command and its children together, in megabytes (2^20).

    Pages that they share are counted for each: an upper bound.
    """
    with tempfile.TemporaryFile() as said:
        process = subprocess.Popen(command, stdout=said, stderr=subprocess.STDOUT)
        most_pages = 0
        while process.poll() is None:
            most_pages = max(most_pages, sum(map(_resident_pages, _tree(process.pid))))
            time.sleep(0.01)
        if process.returncode:
            said.seek(0)
            sys.exit(f"{' '.join(command)} failed:\n{said.read().decode(errors='replace')}")
    return most_pages * PAGE_BYTES / 2**20


def _tree(pid: int) -> Iterator[int]:
    yield pid
    try:
        texts = [p.read_text() for p in Path(f"/proc/{pid}/task").glob("*/children")]
    except OSError:
        return
    for child in " ".join(texts).split():
        yield from _tree(int(child))


def _resident_pages(pid: int) -> int:
    try:
        return int(Path(f"/proc/{pid}/statm").read_text().split()[1])
    except (OSError, IndexError):
        return 0


def neural_lines(ground: Ground) -> tuple[Path, float]:
    """The distinct sentences that the demo's calm voice says, as Piper gets them, and its pace."""
    from breathmark.speech.lexicon import load_lexicon
    from breathmark.speech.pace import setting_for
    from breathmark.speech.profiles import load_profile
    from breathmark.speech.speakable import sentences, speakable
    from breathmark.speech.speaker import lexicon_for

    profile = load_profile("calm")
    lexicon = lexicon_for(profile, load_lexicon(profile.lexicon))
    said = [
        sentence
        for event in ground.plan("first")["events"]
        if event["kind"] == "spoken"
        for sentence in sentences(speakable(event["text"], lexicon))
    ]
    path = ground.folder / "lines.json"
    path.write_text(json.dumps(list(dict.fromkeys(said))), encoding="utf-8")
    return path, setting_for(profile, None)[0]


def samples_of(folder: Path, mp3: Path) -> Path:
    """The samples of an MP3, decoded once and laid into the folder."""
    import av
    import numpy as np

    with av.open(str(mp3)) as container:
        to_int16 = av.AudioResampler(format="s16", layout="mono")
        frames = [
            whole.to_ndarray().reshape(-1)
            for frame in container.decode(audio=0)
            for whole in to_int16.resample(frame)
        ]
    path = folder / f"{'-'.join(mp3.relative_to(folder).parts[:2])}.npy"
    np.save(path, np.concatenate(frames))
    return path


def with_changed_line(routine: Path, number: int) -> str:
    """The routine with one cue of its first exercise that was never said before."""
    tree = _tree_of(routine)
    first = next(exercise for exercise in tree["exercises"] if exercise.get("cues"))
    first["cues"][0] = f"{first['cues'][0].rstrip('.')}, {WORDS[number % len(WORDS)]}."
    return _text_of(tree)


WORDS = ("softly", "slowly", "gently", "calmly", "easily", "smoothly", "lightly", "evenly", "well")


def repeated(routine: Path, *, hours: float) -> str:
    """The routine with its exercises again and again, under names of their own."""
    tree = _tree_of(routine)
    exercises = tree["exercises"]
    tree.pop("length", None)
    times = max(1, round(hours * 3600 / 680))  # the demo's exercises take about 680 s
    tree["exercises"] = []
    for turn in range(times):
        for exercise in copy.deepcopy(exercises):  # the routine language has no aliases
            exercise["name"] += f" {turn}" if turn else ""
            tree["exercises"].append(exercise)
    return _text_of(tree)


def _tree_of(routine: Path) -> Any:
    import yaml

    return yaml.load(routine.read_text(encoding="utf-8"), yaml.BaseLoader)


def _text_of(tree: Any) -> str:
    import yaml

    return yaml.safe_dump(tree, allow_unicode=True, sort_keys=False, width=10_000)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
