"""The commands, run as a person runs them: output, exit status, never a traceback."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

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
        (("make", "short.yaml", "--output", "short.yaml"), 3, "folder"),
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
