"""A patient's first name and label, looked for in every byte that a build leaves anywhere.

The name stands in the greeting, where the clinician put it to be spoken: it may be found in
the words of the recording and nowhere else.  The label may be found in the names of folders
and in the record, and with `--no-label` nowhere.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import pytest
import typer

from breathmark.cli.boundary import run
from breathmark.deliver.audio import FORMATS
from breathmark.deliver.message import message_eml
from breathmark.deliver.record import Prescribed
from breathmark.deliver.reminders import reminders_ics
from breathmark.pipeline import Order, plan
from breathmark.proof.tags import read_fields
from tests.pipeline.short import SHORT
from tests.privacy.unpacked import count, inside, places

NAME, LABEL = "Quixolantha", "ZQX-7391"
GREETING = f"Good morning, {NAME}."
ROUTINE = SHORT.replace("1 min 15 s", "1 min 30 s") + "frequency: 3 days a week\n"

SPOKEN = re.compile(
    r"captions\.vtt|plan\.(json|svg)|player\.html( > .*)?"
    r"|(message\.eml > )?handout[\w-]*\.pdf( > .*)?"
)
"""Files in which every spoken line is written on purpose, so the greeting too: the handout
also where it is attached; the words of the message itself never hold it."""

RECORDING = re.compile(rf".*\.({'|'.join(FORMATS)})")
"""Sound files: there the greeting stands in the lyrics, and nowhere else in them."""

LABELLED = re.compile(r"record\.(json|pdf)( > .*)?")
"""Files in which the label is written on purpose."""

EVERYTHING = ("--tracks", "--embed", "--from", "2026-12-01")
"""What asks for everything that can be handed over."""

SET_ASIDE = {"BREATHMARK_STORE", "CI", "ORT_DISABLE_TELEMETRY", "ORT_RUNNING_UNIT_TESTS"}
"""Not handed on: a folder for clips, and all that keeps libraries quiet in tests alone."""

# Runs the command with everything that is opened for writing noted down.
WATCHED = """
import os, sys
seen = os.open(sys.argv.pop(1), os.O_WRONLY | os.O_CREAT | os.O_APPEND)
def watch(event, details):
    if event == "open" and isinstance(details[0], (str, bytes)):
        mode, flags = details[1] or "", details[2] or 0
        if set(mode) & set("wax+") or flags & (os.O_WRONLY | os.O_RDWR):
            os.write(seen, os.fsencode(details[0]) + b"\\n")
sys.addaudithook(watch)
from breathmark.cli import main
main()
"""


@dataclass(frozen=True, kw_only=True, slots=True)
class Home:
    """A user's whole world in a folder: files, caches, temporary files, working directory."""

    folder: Path

    @property
    def output(self) -> Path:
        """Where results go."""
        return self.folder / "work" / "results"

    @property
    def store(self) -> Path:
        """Where clips are kept."""
        return self.folder / "cache" / "breathmark" / "clips"

    @property
    def log(self) -> Path:
        """Our own list of what was opened for writing."""
        return self.folder / "opened.txt"

    def clips(self) -> set[str]:
        """The names of what is in the store."""
        return {path.name for path in self.store.rglob("*") if path.is_file()}

    def breathmark(self, *words: str) -> subprocess.CompletedProcess[str]:
        """Run a command here, with nothing else of this machine to write to."""
        surroundings = {
            **{key: value for key, value in os.environ.items() if key not in SET_ASIDE},
            **{"HOME": str(self.folder), "XDG_CACHE_HOME": str(self.folder / "cache")},
            **{"LOCALAPPDATA": str(self.folder / "cache"), "TMPDIR": str(self.folder / "temp")},
        }
        return subprocess.run(
            [sys.executable, "-B", "-c", WATCHED, str(self.log), *words],
            capture_output=True,
            text=True,
            cwd=self.folder / "work",
            env=surroundings,
            check=False,
        )

    def written(self) -> Iterator[Path]:
        """Everything that Python opened for writing, wherever it was."""
        for line in self.log.read_text().splitlines():
            if line != os.devnull:
                yield Path(os.path.abspath(self.folder / "work" / line))

    def forget_inputs(self) -> None:
        """Take away what the clinician wrote, so that only what was made is left."""
        for path in (self.folder / "work").glob("*.yaml"):
            path.unlink()


def settled(folder: Path, patient_file: str) -> Home:
    """A home with a routine and the patient's file in it."""
    home = Home(folder=folder)
    for name in ("work", "cache", "temp"):
        (folder / name).mkdir()
    (folder / "work" / "short.yaml").write_text(ROUTINE, encoding="utf-8")
    (folder / "work" / patient_file).write_text(
        f"label: {LABEL}\nroutine: short.yaml\ngreeting: {GREETING}\nhelper: yes\n"
        "changes:\n  Toe lift: {reps: 3}\n",
        encoding="utf-8",
    )
    return home


@dataclass(frozen=True, kw_only=True, slots=True)
class Built:
    """What is left of a build, and what was said on the way."""

    home: Home
    said: str
    warned: str
    clips_without: set[str]


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Built:
    """First built with a greeting to anybody, then to one: in every format, with all there is."""
    home = settled(tmp_path_factory.mktemp("home"), "zqx-7391.yaml")
    patient = home.folder / "work" / "zqx-7391.yaml"
    whole = patient.read_text()
    command = ("make", patient.name, "-o", "results", "--format", ",".join(FORMATS), *EVERYTHING)
    patient.write_text(whole.replace(GREETING, "Good morning to you."))
    before = home.breathmark(*command)
    assert before.returncode == 0, before.stderr
    clips = home.clips()
    patient.write_text(whole)
    done = home.breathmark(*command)
    assert done.returncode == 0, done.stderr
    home.forget_inputs()
    return Built(home=home, said=done.stdout, warned=done.stderr, clips_without=clips)


def own(where: str) -> str:
    """A place without the folders of the result around it."""
    return re.sub(r"^(work/results/)?[\w-]+/[\w-]+/", "", where)


def is_spoken(where: str) -> bool:
    """Whether a place is one in which the spoken words are written on purpose."""
    *_, last = re.split(r" > (?=.*\.)", own(where))
    return bool(SPOKEN.fullmatch(own(where)) or RECORDING.fullmatch(last))


@pytest.mark.slow
def test_the_name_is_found_only_where_the_words_are(built: Built) -> None:
    """In captions, plan and lyrics; not in a name, a tag, the record, a cache or what is left."""
    found = places(NAME, built.home.folder)
    assert {where for where in found if not is_spoken(where)} == set()
    names = {own(where).split(" > ")[0].rpartition(".")[2] for where in found}
    assert {"vtt", "json", "svg", *FORMATS} - {"wav"} <= names  # WAV has no field for words
    left = {path.relative_to(built.home.output).as_posix() for path in built.home.output.rglob("*")}
    made = {own(f"work/results/{name}") for name in left}
    assert {"plan.png", "reminders.ics", "player.html", "tracks/01-opening.mp3"} <= made
    heard_in = {own(where) for where in found if "tracks/" in where}
    assert heard_in == {"tracks/01-opening.mp3"}  # where the greeting is said, and no other track
    page = (built.home.output / next(name for name in left if name.endswith(".html"))).read_bytes()
    assert len(page) > 500_000, "the recording is not inside"


@pytest.mark.slow
def test_a_caseload_keeps_the_name_where_it_is_said(tmp_path: Path) -> None:
    """A table with the greeting in it: not in the table that comes out, nor in the state."""
    home = settled(tmp_path, "p.yaml")
    table = home.folder / "work" / "list.csv"
    rows = (f"{LABEL},short.yaml,{GREETING!r},", f"{LABEL}-2,short.yaml,{GREETING!r},1 mn")
    table.write_text("label,routine,greeting,length\n" + "\n".join(rows).replace("'", '"') + "\n")
    done = home.breathmark("caseload", table.name, "-o", "results", "--jobs", "1", "--tracks")
    assert done.returncode == 1, done.stderr  # the second is refused, with the line as written
    table.unlink()
    home.forget_inputs()
    found = places(NAME, home.folder)
    assert {where for where in found if not is_spoken(where)} == set()
    assert any(where.endswith("captions.vtt") for where in found)
    listed = (home.output / "caseload.csv").read_text(encoding="utf-8-sig")
    assert LABEL in listed
    assert "`1 mn`" in listed
    (state,) = (home.output / ".breathmark-caseload").iterdir()
    assert state.name == f"{LABEL.lower()}.json"
    assert NAME not in done.stderr


@pytest.mark.slow
def test_in_a_recording_the_name_stands_in_the_lyrics_alone(built: Built, tmp_path: Path) -> None:
    """As many times in the whole file, mail and pages included, as in its field of words."""
    sounds = [
        (where, data)
        for path in sorted(built.home.output.rglob("*"))
        if path.is_file()
        for where, data in inside(path.name, path.read_bytes())
        if RECORDING.fullmatch(where)
    ]
    assert {where.rpartition(".")[2] for where, _ in sounds} >= set(FORMATS)
    for number, (where, data) in enumerate(sounds):
        path = tmp_path / f"{number}.{where.rpartition('.')[2]}"
        path.write_bytes(data)
        fields = read_fields(path)
        lyrics = sum(field.text.count(NAME) for field in fields if field.name == "lyrics")
        assert [field for field in fields if NAME in field.text and field.name != "lyrics"] == []
        assert count(NAME, data) == lyrics, where


@pytest.mark.slow
def test_the_greeting_is_in_no_store(built: Built) -> None:
    """With the name spoken, not one clip more is kept than without it."""
    assert built.home.clips() == built.clips_without
    assert built.clips_without


@pytest.mark.slow
def test_nothing_is_written_anywhere_else(built: Built) -> None:
    """Results, clips and temporary files: no path is outside them."""
    written = set(built.home.written())
    assert any(built.home.store in path.parents for path in written)
    places_for_it = (built.home.output, built.home.store, built.home.folder / "temp")
    odd = {path for path in written if not any(place in path.parents for place in places_for_it)}
    assert odd == set()


@pytest.mark.slow
def test_nothing_else_is_left(built: Built) -> None:
    """No library leaves a file of its own: results and clips are all that there is.

    ONNX Runtime, from 1.29 on, leaves an identifier in the cache and one in the temporary
    folder when it reports on its use to its maker.
    """
    home = built.home
    left = {path for path in home.folder.rglob("*") if path.is_file()}
    kept = {path for path in left if {home.output, home.store} & set(path.parents)}
    assert left - kept == {home.log}


@pytest.mark.slow
def test_the_name_is_said_to_the_clinician_once_and_logged_never(built: Built) -> None:
    """The plan shows every line that is said; what goes to a log does not."""
    assert NAME not in built.warned
    assert built.said.count(NAME) == 1


@pytest.mark.slow
def test_the_label_is_in_folder_names_and_the_record_alone(built: Built) -> None:
    """Not in the name of a file, not in a tag, not in a clip."""
    found = places(LABEL, built.home.folder)
    found.pop(built.home.log.name)
    assert f"name of work/results/{LABEL.lower()}" in found
    allowed = {where for where in found if LABELLED.fullmatch(own(where))}
    folder, lock = f"work/results/{LABEL.lower()}", ".lock"
    names = {where for where in found if where in {f"name of {folder}", f"name of {folder}{lock}"}}
    assert set(found) - allowed - names == set()
    assert any("record.json" in where for where in allowed)


@pytest.mark.slow
def test_without_a_label_nothing_says_whose_it_is(tmp_path: Path) -> None:
    """`--no-label`: neither in a name nor in a file nor on the screen."""
    home = settled(tmp_path, "p.yaml")
    done = home.breathmark("make", "p.yaml", "-o", "results", "--no-label")
    assert done.returncode == 0, done.stderr
    home.forget_inputs()
    assert places(LABEL, home.folder) == {}  # the list of what was opened counts, too
    assert LABEL.lower() not in (done.stdout + done.stderr).lower()
    assert (home.output / "short-and-sweet-1min30s" / "record.json").is_file()


@pytest.mark.slow
def test_message_and_reminders_know_nobody(tmp_path: Path) -> None:
    """Neither the name nor the label is in what is sent and read by others."""
    home = settled(tmp_path, "p.yaml")
    planned = plan(Order(source=home.folder / "work" / "p.yaml"))
    prescribed = Prescribed(
        routine=planned.case.routine,
        session=planned.session,
        voices=[],
        gain_db=0.0,
        totals=planned.totals,
        checked=planned.case.checked,
        patient=planned.case.patient,
        changes=planned.case.changes,
    )
    assert any(NAME in line.text for line in planned.session.spoken)
    texts = {
        "message.eml": message_eml(prescribed, ()),
        "reminders.ics": reminders_ics(prescribed, start=date(2026, 12, 1)).encode(),
    }
    for name, data in texts.items():
        for where, part in inside(name, data):
            assert count(NAME, part) == count(LABEL, part) == 0, where


def test_what_went_wrong_is_kept_without_anybodys_words(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """An error nobody foresaw may quote a line; its file holds where it came from, no more."""
    app = typer.Typer(pretty_exceptions_enable=False)

    @app.command()
    def fail() -> None:
        try:
            int(GREETING)
        except ValueError as error:
            raise RuntimeError(GREETING) from error

    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    monkeypatch.setattr(sys, "argv", ["breathmark"])
    with pytest.raises(SystemExit) as ended:
        run(app)
    assert ended.value.code == 3
    kept = (tmp_path / "breathmark-fault.txt").read_text()
    assert "RuntimeError" in kept
    assert "ValueError" in kept
    assert "test_patient.py" in kept
    said = capsys.readouterr()
    assert NAME not in kept + said.out + said.err
