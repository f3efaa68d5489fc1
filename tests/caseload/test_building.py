"""Caseloads built for real: one bad patient, taken up again, killed at any moment."""

from __future__ import annotations

import csv
import dataclasses
import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from breathmark.caseload import building, running
from breathmark.caseload.entries import read_caseload
from breathmark.caseload.outcome import Outcome, Result
from breathmark.caseload.running import TableLostError, all_built, build_caseload
from breathmark.caseload.team import cores
from breathmark.cli.caseload import outcomes_text
from breathmark.deliver.handing import Wanted
from breathmark.deliver.locking import only_one
from breathmark.pipeline import Order, make
from breathmark.problems import Fault, UsageProblem
from breathmark.proof.verify import verify_folder
from tests.pipeline.short import SHORT, short_routine

LABELS = ("R-1", "R-2", "R-3", "R-4")
Change = Callable[[Path], object]


@pytest.fixture(scope="module")
def clinic(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the short routine, whose lines are in the store already."""
    folder = tmp_path_factory.mktemp("clinic")
    make(Order(source=short_routine(folder), output=folder / "first"))
    return folder


def table(folder: Path, labels: tuple[str, ...] = LABELS, more: str = "") -> Path:
    """A table of patients who do the short routine, differing in their first side."""
    path = folder / "list.csv"
    rows = "".join(f"{label},short.yaml,\n" for label in labels)
    path.write_text(f"label,routine,length\n{rows}{more}")
    return path


def wanted(output: Path) -> Order:
    """The recording and its record alone, into this folder."""
    return Order(source=Path(), output=output, wanted=Wanted(papers=False))


def build(file: Path, order: Order, jobs: int = 1) -> dict[str, Outcome]:
    """Each label's outcome."""
    order = dataclasses.replace(order, source=file)
    outcomes = build_caseload(order, lambda *_told: None, jobs=jobs)
    return {outcome.shown: outcome for outcome in outcomes}


def results(outcomes: dict[str, Outcome]) -> set[Result]:
    """The sorts of outcomes there are."""
    return {outcome.result for outcome in outcomes.values()}


def inodes(output: Path) -> dict[str, int]:
    """Which recording is which: built again, it is another file."""
    found = [path for path in output.glob("*/*/*.mp3") if not path.parent.name.startswith(".")]
    return {path.parent.parent.name: path.stat().st_ino for path in found}


def test_one_bad_patient_stops_only_that_one(clinic: Path, tmp_path: Path) -> None:
    """The others are built and proved, and the table says what was wrong and where."""
    order = wanted(tmp_path / "out")
    built = build(table(clinic, ("R-1", "R-2"), "R-3,short.yaml,1 mn\n,,\n"), order, jobs=2)
    assert [built[label].result for label in ("R-1", "R-2", "R-3")] == ["built", "built", "refused"]
    assert not all_built(tuple(built.values()))
    for label in ("R-1", "R-2"):
        folder = built[label].folder
        assert folder == tmp_path / "out" / label.lower() / "short-and-sweet-1min15s"
        assert verify_folder(folder).passed
    with (tmp_path / "out" / "caseload.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["label"] for row in rows] == ["R-1", "R-2", "R-3"]
    assert rows[0] == {
        "label": "R-1", "result": "built", "why": "", "length": "1:15", "mail": "",
        "folder": "r-1/short-and-sweet-1min15s",
    }  # fmt: skip
    assert f"{clinic / 'list.csv'}:4:16: `1 mn` is not" in rows[2]["why"]


def test_nothing_is_built_twice_and_all_that_changed_is(clinic: Path, tmp_path: Path) -> None:
    """A second run leaves everything alone; whatever decides a recording has it made anew."""
    order = wanted(tmp_path / "out")
    file = table(clinic, ("R-1", "R-2"))
    assert results(build(file, order)) == {Result.BUILT}
    before = inodes(order.output)
    again = build(file, order)
    assert results(again) == {Result.THERE}
    assert {one.length_ms for one in again.values()} == {75_000}
    assert inodes(order.output) == before
    changed = build(table(clinic, ("R-1",), "R-2,short.yaml,1 min 16 s\n"), order)
    assert {label: one.result.value for label, one in changed.items()} == {
        "R-1": "already there",
        "R-2": "built",
    }


@pytest.mark.parametrize(
    "change",
    [
        lambda folder: (folder / "captions.vtt").unlink(),
        lambda folder: (folder / "short-and-sweet.mp3").write_bytes(b"half"),
        lambda folder: (folder / "record.json").write_text("{}"),
        lambda folder: (folder / "record.json").write_text("[" * 200_000),
        lambda folder: next(folder.parents[1].glob(".breathmark-caseload/*")).write_text("]"),
        lambda folder: next(folder.parents[1].glob(".breathmark-caseload/*")).write_text(
            "[" * 200_000
        ),
    ],
    ids=[
        "a file is gone",
        "half a recording",
        "another record",
        "a deep record",
        "a broken state",
        "a deep state",
    ],
)
def test_what_is_not_whole_is_built_again(clinic: Path, tmp_path: Path, change: Change) -> None:
    """Only a result that is as the record says is left alone."""
    order = wanted(tmp_path / "out")
    folder = build(table(clinic, ("R-1",)), order)["R-1"].folder
    assert folder is not None
    change(folder)
    assert results(build(table(clinic, ("R-1",)), order)) == {Result.BUILT}
    assert verify_folder(folder).passed


@pytest.mark.slow
def test_other_formats_voices_and_routines_are_built_again(tmp_path: Path) -> None:
    """What stays the same in none of these is the recording."""
    order = wanted(tmp_path / "out")
    file = table(tmp_path, ("R-1",))
    routine = short_routine(tmp_path)
    assert results(build(file, order)) == {Result.BUILT}
    as_wav = dataclasses.replace(order, formats=("wav",))
    assert results(build(file, as_wav)) == {Result.BUILT}
    assert results(build(file, as_wav)) == {Result.THERE}
    assert results(build(file, dataclasses.replace(as_wav, voice="system"))) == {Result.BUILT}
    assert results(build(file, as_wav)) == {Result.BUILT}
    with_papers = dataclasses.replace(as_wav, wanted=Wanted(papers=True))
    (whole,) = build(file, with_papers).values()
    assert whole.result is Result.BUILT
    assert whole.folder is not None
    assert (whole.folder / "handout.pdf").exists()
    assert results(build(file, with_papers)) == {Result.THERE}
    (whole.folder / "record.pdf").unlink()
    assert results(build(file, with_papers)) == {Result.BUILT}, "what no record holds counts, too"
    assert results(build(file, as_wav)) == {Result.BUILT}
    routine.write_text(SHORT.replace("after: 4 s", "after: 5 s"))
    assert results(build(file, as_wav)) == {Result.BUILT}
    routine.write_text(f"# a note\n{routine.read_text()}")
    assert results(build(file, as_wav)) == {Result.BUILT}, "the record holds the file's hash"


@pytest.mark.slow
@pytest.mark.parametrize(
    ("limit_bytes", "mail"),
    [(20_000_000, "64 kbit/s"), (900_000, "56 kbit/s"), (400_000, "without the recording")],
)
def test_the_table_says_how_each_recording_goes_by_mail(
    clinic: Path, tmp_path: Path, limit_bytes: int, mail: str
) -> None:
    """At which bit rate, or that it does not; the second time, too, when nothing is built."""
    papers = Wanted(papers=True, mail_bytes=limit_bytes)
    order = dataclasses.replace(wanted(tmp_path / "out"), wanted=papers)
    for result in (Result.BUILT, Result.THERE):
        (one,) = build(table(clinic, ("R-1",)), order).values()
        assert (one.result, one.mail) == (result, mail)
    with (order.output / "caseload.csv").open(encoding="utf-8-sig", newline="") as file:
        assert [row["mail"] for row in csv.DictReader(file)] == [mail]


def test_the_state_knows_labels_and_hashes_only(clinic: Path, tmp_path: Path) -> None:
    """Nothing that was written about a patient is in it."""
    order = wanted(tmp_path / "out")
    file = clinic / "greeted.csv"
    file.write_text("label,routine,greeting,avoid\nR-1,short.yaml,Good day to you.,kneeling\n")
    build(file, order)
    (state,) = (order.output / ".breathmark-caseload").iterdir()
    known = json.loads(state.read_text())
    assert set(known) == {"label", "inputs", "record", "folder", "length_ms", "mail"}
    assert "Good day" not in state.read_text()
    assert {len(known["inputs"]), len(known["record"])} == {64}


def test_what_the_command_asks_for_is_looked_at_first(clinic: Path, tmp_path: Path) -> None:
    """A wrong format or voice, or a table that would be overwritten, costs no time."""
    file = table(clinic, ("R-1",))
    with pytest.raises(UsageProblem, match="mp3"):
        build(file, dataclasses.replace(wanted(tmp_path / "out"), formats=("mp4",)))
    with pytest.raises(UsageProblem, match="calm"):
        build(file, dataclasses.replace(wanted(tmp_path / "out"), voice="clam"))
    own = clinic / "caseload.csv"
    own.write_text(file.read_text())
    with pytest.raises(UsageProblem, match="overwrite"):
        build(own, wanted(clinic))
    assert own.read_text() == file.read_text()
    assert not (tmp_path / "out").exists()


def test_a_table_that_is_open_elsewhere_is_told_before_the_work(
    clinic: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Spreadsheets on Windows lock what they show, and the table of last week is shown."""
    order = wanted(tmp_path / "out")
    order.output.mkdir()
    (order.output / "caseload.csv").write_text("last week")
    real = Path.open

    def locked(self: Path, mode: str = "r", **more: Any) -> Any:
        if self.name == "caseload.csv" and mode != "r":
            raise PermissionError(13, "in use")
        return real(self, mode, **more)

    monkeypatch.setattr(Path, "open", locked)
    with pytest.raises(Fault, match="Close it in the program"):
        build(table(clinic, ("R-1",)), order)
    assert os.listdir(order.output) == ["caseload.csv"]


def test_a_table_that_cannot_be_written_takes_nothing_with_it(
    clinic: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Opened while the caseload was built: what became of each patient is told all the same."""

    def refuse(*_words: object) -> None:
        raise Fault("caseload.csv could not be written: in use", remedy="Close it.")

    monkeypatch.setattr(running, "write_text_whole", refuse)
    with pytest.raises(TableLostError, match="built is in place") as lost:
        build(table(clinic, ("R-1",), "R-2,none.yaml,\n"), wanted(tmp_path / "out"))
    assert [one.result for one in lost.value.outcomes] == [Result.BUILT, Result.REFUSED]
    said = outcomes_text(lost.value.outcomes, tmp_path / "out")
    assert "R-2 was not built" in said
    assert "1 built, 0 already there, 1 refused." in said


def test_two_caseloads_do_not_build_into_one_folder(clinic: Path, tmp_path: Path) -> None:
    """The second is told to wait."""
    (tmp_path / "out").mkdir()
    busy = only_one(tmp_path / "out" / ".breathmark-caseload")
    with busy, pytest.raises(Fault, match="another build"):
        build(table(clinic, ("R-1",)), wanted(tmp_path / "out"))


def start(clinic: Path, output: Path, log: Path) -> subprocess.Popen[bytes]:
    """A caseload in a process group of its own, saying who is built."""
    command = [sys.executable, "-m", "breathmark", "caseload", str(table(clinic))]
    with log.open("ab") as file:
        return subprocess.Popen(
            [*command, "--output", str(output), "--jobs", "2", "--bare"],
            stdout=subprocess.DEVNULL,
            stderr=file,
            start_new_session=True,
        )


def when_some_are_there(output: Path, process: subprocess.Popen[bytes], least: int) -> None:
    """Wait until that many results are in place."""
    for _ in range(6000):
        if len(inodes(output)) >= least or process.poll() is not None:
            return
        time.sleep(0.01)
    pytest.fail("nothing was built in a minute")


def nobody_left(group: int) -> bool:
    """Whether every process of a group has ended, given five seconds."""
    for _ in range(500):
        try:
            os.killpg(group, 0)
        except ProcessLookupError:
            return True
        time.sleep(0.01)
    return False


@pytest.mark.slow
@pytest.mark.skipif(os.name == "nt", reason="there are no such signals")
@pytest.mark.parametrize("how", [signal.SIGKILL, signal.SIGTERM, signal.SIGINT])
def test_stopped_and_taken_up_again(clinic: Path, tmp_path: Path, how: signal.Signals) -> None:
    """Nothing is built twice, nothing is missing, no process outlives the one that was ended."""
    output, log = tmp_path / "out", tmp_path / "log"
    process = start(clinic, output, log)
    when_some_are_there(output, process, 1)
    process.send_signal(how)
    status = process.wait(20)
    assert nobody_left(process.pid)
    before = inodes(output)
    assert before
    assert status == (-signal.SIGKILL if how is signal.SIGKILL else 130)
    assert not (output / "caseload.csv").exists()
    if how is not signal.SIGKILL:
        assert list(output.glob("*/.*.building")) == []
        assert "Traceback" not in log.read_text()
        assert "Stopped." in log.read_text()

    again = build(table(clinic), wanted(output), jobs=2)
    after = inodes(output)
    assert set(after) == {label.lower() for label in LABELS}
    assert {label: after[label] for label in before} == before
    assert {one.shown.lower() for one in again.values() if one.result is Result.THERE} == set(
        before
    )
    assert list(output.glob("**/.*.building")) == []


@pytest.mark.slow
@pytest.mark.skipif(os.name == "nt", reason="there are no such signals")
def test_a_large_machine_gets_as_many_processes_as_can_be_waited_for(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(os, "sched_getaffinity", lambda _process: set(range(96)), raising=False)
    assert cores() == 60


def test_a_patient_for_whom_memory_runs_out_is_told(
    clinic: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With what helps; the next one may find enough of it."""

    def greedy(*_args: object, **_more: object) -> None:
        raise MemoryError

    monkeypatch.setattr(building, "case_of", greedy)
    (entry,) = read_caseload(table(clinic, ("R-1",)))
    outcome = building.Workshop(wanted(tmp_path)).build(entry)
    assert outcome.result is Result.REFUSED
    assert "fewer `--jobs`" in outcome.details


def test_a_process_that_dies_takes_nobody_along(clinic: Path, tmp_path: Path) -> None:
    """The patient it was building is refused, and the others are built by another process."""
    output = tmp_path / "out"
    killed: list[int] = []

    def told(_outcome: Outcome, _done: int, _total: int) -> None:
        children = Path(f"/proc/self/task/{os.getpid()}/children")
        if not killed and children.exists():
            time.sleep(0.2)
            killed.extend(_workers(children))
            for child in killed:
                os.kill(child, signal.SIGKILL)

    outcomes = build_caseload(
        dataclasses.replace(wanted(output), source=table(clinic)), told, jobs=1
    )
    if not killed:
        pytest.skip("this system does not tell its processes")
    assert [one.result.value for one in outcomes] == ["built", "refused", "built", "built"]
    assert "memory" in outcomes[1].why[0]


def _workers(children: Path) -> list[int]:
    """The processes that were spawned to build."""
    pids = [int(pid) for pid in children.read_text().split()]
    lines = {pid: Path(f"/proc/{pid}/cmdline").read_bytes() for pid in pids}
    return [pid for pid, line in lines.items() if b"spawn_main" in line]


def test_a_routine_is_no_patient(clinic: Path, tmp_path: Path) -> None:
    """Typed for a patient's file it would be built without what that patient must avoid."""
    (clinic / "wrong.yaml").write_text("- short.yaml\n")
    outcome = build(clinic / "wrong.yaml", wanted(tmp_path))["short.yaml"]
    assert outcome.result is Result.REFUSED
    assert "`short.yaml` is a routine; a caseload lists patients" in outcome.details
    assert not list(tmp_path.rglob("*.mp3"))


def test_one_patients_recording_never_replaces_anothers(clinic: Path, tmp_path: Path) -> None:
    """`R-20` and `R.20` come to one folder: the second is refused, the first stays."""
    for label in ("R-20", "R.20"):
        path = clinic / f"{label}.yaml"
        more = "length: 1 min 20 s\n" if label == "R.20" else ""  # another folder inside
        path.write_text(f"label: {label}\nroutine: short.yaml\n{more}")
    order = dataclasses.replace(wanted(tmp_path), source=clinic / "R-20.yaml")
    first = make(order).folder
    make(order)  # again, for the same patient
    with pytest.raises(Fault, match="holds a recording of `R-20`"):
        make(dataclasses.replace(order, source=clinic / "R.20.yaml"))
    assert json.loads((first / "record.json").read_text())["patient"]["label"] == "R-20"
