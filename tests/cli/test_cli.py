"""The commands, run as a person runs them: output, exit status, never a traceback."""

from __future__ import annotations

import os
import subprocess
import sys
from datetime import date
from pathlib import Path, PurePosixPath

import pytest
import typer.main

from breathmark.cli.app import app
from breathmark.cli.once import Once, OnceGroup
from breathmark.cli.options import remark_past
from breathmark.cli.pasting import as_typed
from breathmark.cli.showing import voices_text, wrapped
from breathmark.speech.profiles import list_profiles
from tests.pipeline.short import SHORT, short_routine


def breathmark(*words: str | Path, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    """Run a command line in a process of its own."""
    command = [sys.executable, "-m", "breathmark", *map(str, words)]
    done = subprocess.run(command, capture_output=True, text=True, cwd=cwd, check=False)
    assert "Traceback" not in done.stdout + done.stderr
    return done


def test_from_an_empty_folder_to_a_recording(tmp_path: Path) -> None:
    """new, check, plan, make and verify follow one another as the README says."""
    assert breathmark("new", "clinic", cwd=tmp_path).returncode == 0
    routine = Path("clinic") / "routine.yaml"
    checked = breathmark("check", routine, cwd=tmp_path)
    assert (checked.returncode, checked.stderr) == (0, "")
    planned = breathmark("plan", routine, "--save", "drafts", cwd=tmp_path)
    assert planned.returncode == 0
    assert "6:00" in planned.stdout
    assert sorted(path.name for path in (tmp_path / "drafts").iterdir()) == [
        "plan.json",
        "plan.svg",
    ]
    made = breathmark("make", routine, cwd=tmp_path)
    assert made.returncode == 0, made.stderr
    assert "checks passed" in made.stdout
    assert "a-short-start.mp3" in made.stdout
    folder = tmp_path / "output" / "a-short-start-6min"
    assert breathmark("verify", folder).returncode == 0
    with (folder / "captions.vtt").open("a") as file:
        file.write("\nmore\n")
    spoilt = breathmark("verify", folder)
    assert spoilt.returncode == 1
    assert "captions" in spoilt.stdout


def test_quiet_says_nothing(tmp_path: Path) -> None:
    """With --quiet a good build prints nothing at all."""
    made = breathmark("make", short_routine(tmp_path), "--output", tmp_path / "out", "--quiet")
    assert (made.returncode, made.stdout, made.stderr) == (0, "", "")


def test_new_overwrites_nothing(tmp_path: Path) -> None:
    """A second `new` into the same folder leaves the file alone and says so."""
    breathmark("new", tmp_path / "clinic")
    (tmp_path / "clinic" / "routine.yaml").write_text("mine")
    again = breathmark("new", tmp_path / "clinic")
    assert again.returncode == 2
    assert "left as it is" in again.stderr
    assert (tmp_path / "clinic" / "routine.yaml").read_text() == "mine"


@pytest.mark.parametrize(
    ("words", "status", "said"),
    [
        (("check", "no-such.yaml"), 1, "no-such.yaml"),
        (("check",), 2, "ROUTINE"),
        (("mkae", "x.yaml"), 2, "make"),
        (("make", "short.yaml", "--format", "mp4"), 2, "mp3"),
        (("make", "short.yaml", "--format", ","), 2, "--format"),
        (("make", "short.yaml", "--voice", "clam"), 2, "calm"),
        (("make", "short.yaml", "--output", "short.yaml"), 2, "short.yaml is a file. Name"),
        (("make", "short.yaml", "--output", "short.yaml/x"), 2, "short.yaml is a file. Name"),
        (("caseload", "short.yaml", "-o", "short.yaml"), 2, "short.yaml is a file. Name"),
        (("plan", "short.yaml", "--save", "short.yaml"), 2, "Name a folder for --save"),
        (("make", "short.yaml", "--at", "9:30"), 2, "--at needs --from"),
        (("caseload", "short.yaml", "--zone", "Europe/Berlin"), 2, "--zone needs --from"),
        (("make", "short.yaml", "--bare", "--embed"), 2, "Take one out"),
        (("make", "too-short.yaml", "--only", "Knee lift", "--tracks"), 2, "one sample"),
        (("voices", "say", "Hello.", "--to", "x.mp3"), 2, ".wav"),
        (("plan", "a.yaml", "--patient", "b", "--patient=c"), 2, "--patient is given twice"),
        (("make", "a.yaml", "-o", "b", "--output", "c"), 2, "--output is given twice"),
        (("make", "a.yaml", "--format", "mp3", "--format", "m4a"), 2, "mp3, m4a, opus, flac"),
        (("voices", "--voices", "a", "--voices", "b"), 2, "--voices is given twice"),
        (("voices", "say", "Hi.", "--voice", "a", "--voice", "b"), 2, "--voice is given twice"),
        (("verify", "short.yaml"), 2, "folder"),
        (("verify", "empty"), 1, "record"),
        (("voices", "say", "..."), 1, "nothing can be said"),
        (("voices", "say", " "), 2, "nothing to say"),
        (("make", "too-short.yaml", "--from", "30.11.2026"), 2, "--from 2026-12-01"),
        (("make", "too-short.yaml", "--from", "2026-02-30"), 2, "is no day"),
        (("voices", "say", "Hello.", "--to", "no/such/folder/a.wav"), 3, "no/such"),
        (("plan", "broken.yaml"), 1, "broken.yaml:4:11"),
        (("plan", "too-short.yaml"), 1, "too-short.yaml:2:9"),
    ],
)
def test_what_goes_wrong_is_said_with_its_status(
    words: tuple[str, ...], status: int, said: str, tmp_path: Path
) -> None:
    """1 is a file of the user's, 2 the command, 3 us or the machine."""
    short_routine(tmp_path)
    (tmp_path / "empty").mkdir()
    broken = SHORT.replace("kind: reps", "kind: rpes").replace("- name: Toe lift\n    ", "- ")
    (tmp_path / "broken.yaml").write_text(broken)
    (tmp_path / "too-short.yaml").write_text(SHORT.replace("1 min 15 s", "40 s"))
    done = breathmark(*words, cwd=tmp_path)
    assert done.returncode == status, done.stdout + done.stderr
    assert said in done.stdout + done.stderr


def test_what_may_be_repeated_may_be() -> None:
    """Options of many values, switches, and a line that only asks for help."""
    words = ("exercises", "--equipment", "towel", "--equipment", "sturdy chair")
    assert "of 87" in breathmark(*words).stdout
    assert breathmark("plan", "--patient", "a", "--patient", "b", "--help").returncode == 0
    quiet = breathmark("check", "no-such.yaml", "-q", "-q")
    assert (quiet.returncode, "twice" in quiet.stderr) == (1, False)


def test_every_command_refuses_an_option_given_twice() -> None:
    """None was forgotten where commands are listed."""
    tree = [typer.main.get_command(app)]
    for command in tree:
        assert isinstance(command, Once | OnceGroup), command.name
        tree += getattr(command, "commands", {}).values()
    assert len(tree) > 10


def test_a_first_day_that_is_past_is_remarked(capsys: pytest.CaptureFixture[str]) -> None:
    """On the error stream; today is not past, and without a day there is nothing to say."""
    for day in (None, date.today(), date.max):
        remark_past(day)
    assert capsys.readouterr() == ("", "")
    remark_past(date(2020, 2, 1))
    assert "--from 2020-02-01 is past already" in capsys.readouterr().err


@pytest.mark.parametrize("words", [("make", "--bare"), ("caseload",)])
def test_the_remark_comes_with_the_command(words: tuple[str, ...], tmp_path: Path) -> None:
    """Before anything is read, so that it can be stopped."""
    command, *more = words
    done = breathmark(command, tmp_path / "none.yaml", *more, "--from", "2020-02-01", cwd=tmp_path)
    assert done.stderr.startswith("Remark: --from 2020-02-01 is past")
    assert done.returncode == 1


@pytest.mark.skipif(os.name == "nt", reason="asks a POSIX shell")
def test_the_command_that_new_shows_can_be_pasted(tmp_path: Path) -> None:
    """Whatever the folder is called."""
    made = breathmark("new", "a b/c'd", cwd=tmp_path)
    pasted = made.stdout.partition("then: breathmark plan ")[2]
    done = subprocess.run(f"ls {pasted}", shell=True, capture_output=True, text=True, cwd=tmp_path,
                          check=False)  # fmt: skip
    assert done.stdout == "a b/c'd/routine.yaml\n"


@pytest.mark.parametrize(
    ("path", "typed"),
    [("clinic/a.yaml", "clinic/a.yaml"), ("a b/c'd.yaml", '"a b/c\'d.yaml"'), ("a&b", '"a&b"')],
)
def test_paths_on_windows_have_double_quotation_marks(path: str, typed: str) -> None:
    """Where they need any."""
    assert as_typed(PurePosixPath(path), windows=True) == typed


def test_remarks_are_not_called_nothing(tmp_path: Path) -> None:
    """A file with cautions is good enough to make, but `check` does not call it faultless."""
    path = tmp_path / "plain.yaml"
    path.write_text("title: A\nexercises:\n  - {name: B, kind: hold, hold: 90 s}\n")
    done = breathmark("check", path)
    assert done.returncode == 0
    assert "no errors, " in done.stdout
    assert "nothing wrong" not in done.stdout


def test_all_problems_are_shown_at_once_with_a_caret(tmp_path: Path) -> None:
    """Two mistakes, two carets, two remedies."""
    path = tmp_path / "two.yaml"
    path.write_text("titel: A\nexercises:\n  - {name: B, kind: hold, hold: 30}\n")
    done = breathmark("check", path)
    assert done.returncode == 1
    assert done.stderr.count("^") >= 2
    assert "Did you mean `title`?" in done.stderr
    assert "30 s" in done.stderr


def test_voices_are_listed_and_speak(tmp_path: Path) -> None:
    """`voices` lists calm, clear and system; `voices say` writes a sound file."""
    listed = breathmark("voices")
    assert {"calm", "clear", "system"} <= {line.split()[0] for line in listed.stdout.splitlines()}
    said = breathmark("voices", "say", "Heels down.", "--to", "line.wav", cwd=tmp_path)
    assert said.returncode == 0
    assert (tmp_path / "line.wav").read_bytes()[:4] == b"RIFF"


def test_a_closed_pipe_is_no_error(tmp_path: Path) -> None:
    """`breathmark plan … | head -1` ends quietly."""
    command = f"{sys.executable} -m breathmark plan {short_routine(tmp_path)} --quiet | head -1"
    done = subprocess.run(command, shell=True, capture_output=True, text=True, check=False)
    assert "Error" not in done.stderr


def test_lists_fit_a_terminal_of_80_columns(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each column of `voices` under its head, and an item of `compare` under its own text."""
    monkeypatch.setenv("COLUMNS", "80")
    shown = voices_text(list_profiles()).splitlines()
    about = shown[0].index("about")
    assert max(map(len, shown)) <= 80
    assert all(line[:about].strip() for line in shown if line[about - 2 : about].strip())
    text = "- Quad sets, dose: 10 sets of 5 s before, 6 sets of 5 s now.\n\nEnd."
    assert wrapped(text, width=40) == (
        "- Quad sets, dose: 10 sets of 5 s\n  before, 6 sets of 5 s now.\n\nEnd."
    )


def test_a_folder_of_voices_counts_for_the_command_behind_it(tmp_path: Path) -> None:
    """`voices --voices F` lists a voice, and `voices --voices F say` did not know it."""
    (tmp_path / "mine.yaml").write_text("about: x\nengine: system\n", encoding="utf-8")
    words = ("say", "Hello.", "--voice", "mine", "--to", tmp_path / "a.wav")
    assert breathmark("voices", "--voices", tmp_path, *words).returncode == 0
    assert breathmark("voices", *words).returncode == 2


def test_the_help_fills_its_lines(monkeypatch: pytest.MonkeyPatch) -> None:
    """At 80 columns every second line of a paragraph held one word."""
    monkeypatch.setenv("COLUMNS", "80")
    said = breathmark("check", "--help").stdout.split("For example")[0]
    paragraph = said.split("Each problem")[1].strip().splitlines()
    first_words = [line.split()[0] for line in paragraph[1:]]
    lengths = [len(line.strip()) for line in ("Each problem" + paragraph[0], *paragraph[1:-1])]
    for length, following in zip(lengths, first_words, strict=True):
        assert length + 1 + len(following) >= 78, paragraph
