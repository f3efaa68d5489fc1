"""A result is published whole or not at all, whatever happens to the build."""

from __future__ import annotations

import errno
import os
import random
import subprocess
import sys
import time
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from breathmark.deliver import publish
from breathmark.deliver.publish import (
    publishing,
    safe_name,
    write_bytes_whole,
    write_new_text,
    write_text_whole,
)
from breathmark.problems import Fault
from tests.deliver.published import build, shown, without_exchange


def half_way(staging: Path, error: type[BaseException]) -> None:
    (staging / "a").write_text("half")
    raise error("stop")


@pytest.fixture(params=["exchange", "two renames"])
def final(request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A final folder, on a system that can exchange folders and on one that cannot."""
    if request.param == "two renames":
        monkeypatch.setattr(publish, "_exchange", without_exchange)
    return tmp_path / "out" / "routine-12min"


def test_a_build_takes_the_place_of_the_last_and_leaves_nothing_else(final: Path) -> None:
    build(final, a="one", b="one")
    build(final, a="two", c="two")
    assert shown(final) == {"a": "two", "c": "two"}
    assert os.listdir(final.parent) == [final.name]


def test_files_that_no_build_made_are_carried_over(final: Path) -> None:
    build(final, a="one")
    (final / "notes").mkdir()
    (final / "notes" / "by hand.txt").write_text("call on Tuesday")
    (final / "link").symlink_to("a")
    build(final, a="two")
    assert shown(final) == {"a": "two", "link": "two", "notes/by hand.txt": "call on Tuesday"}
    assert (final / "link").is_symlink()
    build(final, a="three")
    assert shown(final)["notes/by hand.txt"] == "call on Tuesday"


def test_a_folder_that_was_there_before_us_loses_nothing(final: Path) -> None:
    final.mkdir(parents=True)
    (final / "letter.txt").write_text("mine")
    build(final, a="one")
    assert shown(final) == {"a": "one", "letter.txt": "mine"}


@pytest.mark.parametrize("new", ["a", "notes"])
def test_a_file_of_somebody_else_in_the_way_stops_the_build(final: Path, new: str) -> None:
    final.mkdir(parents=True)
    (final / "notes").mkdir()
    (final / "notes" / "x").write_text("mine")
    (final / "a").write_text("mine")
    with pytest.raises(Fault, match="not made by Breathmark"):
        build(final, **{new: "ours"})
    assert shown(final) == {"a": "mine", "notes/x": "mine"}
    assert os.listdir(final.parent) == [final.name]


@pytest.mark.parametrize("error", [ValueError, KeyboardInterrupt, Fault])
def test_a_failing_build_leaves_the_old_result(final: Path, error: type[BaseException]) -> None:
    build(final, a="one")
    with pytest.raises(error), publishing(final) as staging:
        half_way(staging, error)
    assert shown(final) == {"a": "one"}
    assert os.listdir(final.parent) == [final.name]


def test_a_disk_that_refuses_at_any_moment_is_a_clear_fault(final: Path) -> None:
    """Whatever was being written: papers, a message, the record."""
    build(final, a="one")
    with pytest.raises(Fault, match="No space left") as raised, publishing(final):
        raise OSError(errno.ENOSPC, "No space left on device")
    assert "disk full" in raised.value.remedy
    assert shown(final) == {"a": "one"}
    with pytest.raises(BrokenPipeError), publishing(final):
        raise BrokenPipeError  # `breathmark make … | head` has nothing to do with a disk


def test_a_disk_that_cannot_be_asked_to_hold_a_folder_will_do(
    final: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Disks in a network and sticks may know no such thing."""

    def refuse(_handle: int) -> None:
        raise OSError(errno.EINVAL, "Invalid argument")

    monkeypatch.setattr(os, "fsync", refuse)
    build(final, a="one")
    assert shown(final) == {"a": "one"}


def test_a_failing_first_build_leaves_nothing(final: Path) -> None:
    with pytest.raises(ValueError, match="stop"), publishing(final):
        raise ValueError("stop")
    assert not final.parent.exists()  # its name may be a patient's label


def test_a_failing_build_leaves_a_folder_around_that_was_there(final: Path) -> None:
    final.parent.mkdir()
    with pytest.raises(ValueError, match="stop"), publishing(final):
        raise ValueError("stop")
    assert os.listdir(final.parent) == []


def test_a_second_build_into_the_same_place_is_refused(final: Path) -> None:
    with publishing(final) as staging:
        (staging / "a").write_text("first")
        with pytest.raises(Fault, match="another build is writing"), publishing(final):
            pass
    assert shown(final) == {"a": "first"}


def test_builds_into_different_places_do_not_meet(tmp_path: Path) -> None:
    with publishing(tmp_path / "one"), publishing(tmp_path / "other"):
        pass
    assert sorted(os.listdir(tmp_path)) == ["one", "other"]


def test_the_lock_of_a_dead_build_is_no_obstacle(final: Path) -> None:
    final.parent.mkdir(parents=True)
    (final.parent / f".{final.name}.lock").write_text("1\n")
    build(final, a="one")
    assert os.listdir(final.parent) == [final.name]


def test_a_link_to_a_folder_is_followed(tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    (tmp_path / "link").symlink_to("real")
    build(tmp_path / "link", a="one")
    assert (tmp_path / "link").is_symlink()
    assert shown(tmp_path / "real") == {"a": "one"}


def test_a_file_where_the_folder_should_be_is_a_clear_fault(tmp_path: Path) -> None:
    (tmp_path / "x").write_text("mine")
    with pytest.raises(Fault, match="is a file"), publishing(tmp_path / "x"):
        pass
    with pytest.raises(Fault, match="could not be written"), publishing(tmp_path / "x" / "y"):
        pass
    assert (tmp_path / "x").read_text() == "mine"


def test_a_failing_swap_puts_the_old_folder_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(publish, "_exchange", without_exchange)
    final = tmp_path / "x"
    build(final, a="one")
    rename = Path.rename

    def failing(self: Path, target: Path) -> Path:
        if self.name.endswith(".building"):
            raise PermissionError(13, "in use")
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", failing)
    with pytest.raises(Fault, match="in use"):
        build(final, a="two")
    assert shown(final) == {"a": "one"}
    assert os.listdir(tmp_path) == ["x"]


# Killed builds: a child builds again and again, each time with the number of the build
# in every file, and is killed at a random moment.

CHILD = """
import sys
from pathlib import Path
from breathmark import disk
from breathmark.deliver import publish
if sys.argv[2] == "two renames":
    publish._exchange = lambda one, other: False
final, number = Path(sys.argv[1]), 0
while True:
    number += 1
    with publish.publishing(final) as staging:
        for index in range(8):
            with (staging / f"{index}.txt").open("w") as file:
                file.write(f"{number} ")
                file.flush()
                file.write("whole")
    if number == 1:
        print("built", flush=True)
"""


def kill_and_look(final: Path, system: str, moment_s: float) -> None:
    child = subprocess.Popen(
        [sys.executable, "-c", CHILD, str(final), system], stdout=subprocess.PIPE, text=True
    )
    assert child.stdout is not None
    with child, child.stdout:
        assert child.stdout.readline() == "built\n"
        time.sleep(moment_s)
        child.kill()
    if system == "two renames" and not final.exists():
        # Killed between the two renames: the next build starts by putting it back.
        with pytest.raises(ValueError, match="stop"), publishing(final):
            raise ValueError("stop")
    files = shown(final)
    assert sorted(files) == [f"{index}.txt" for index in range(8)]
    assert len(set(files.values())) == 1, files
    assert files["0.txt"].endswith("whole")
    build(final, done="yes")
    assert shown(final) == {"done": "yes"}
    assert os.listdir(final.parent) == [final.name]


@pytest.mark.skipif(os.name == "nt", reason="kills as POSIX does")
@pytest.mark.parametrize("system", ["exchange", "two renames"])
@pytest.mark.parametrize("kills", [4, pytest.param(50, marks=pytest.mark.slow)])
def test_a_build_killed_at_any_moment_leaves_one_whole_result(
    tmp_path: Path, system: str, kills: int
) -> None:
    moments = random.Random(2024)
    for number in range(kills):
        kill_and_look(tmp_path / str(number) / "x", system, moments.uniform(0, 0.03))


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="needs renameat2")
def test_the_folder_is_never_missing_while_it_is_replaced(tmp_path: Path) -> None:
    final = tmp_path / "x"
    build(final, a="0")
    watcher = subprocess.Popen(
        [sys.executable, "-c", "import os,sys\nprint(flush=True)\n"
         "while os.path.exists(sys.argv[1]): pass\nsys.exit(3)", str(final / "a")],
        stdout=subprocess.PIPE,
    )  # fmt: skip
    assert watcher.stdout is not None
    with watcher, watcher.stdout:
        watcher.stdout.readline()
        for number in range(100):
            build(final, a=str(number))
        seen_missing = watcher.poll()
        watcher.kill()
    assert seen_missing is None


def test_single_files_are_written_whole(tmp_path: Path) -> None:
    path = tmp_path / "new" / "plan.json"
    write_text_whole(path, "é\n")
    write_bytes_whole(path, path.read_bytes() * 2)
    assert path.read_bytes() == "é\né\n".encode()
    assert os.listdir(path.parent) == ["plan.json"]


def test_a_new_file_is_whole_or_not_there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What a full disk left half would be taken for somebody's own the next time."""
    path = tmp_path / "new" / "routine.yaml"

    def full(_handle: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", full)
        with pytest.raises(Fault, match="No space left"):
            write_new_text(path, "ours")
    assert os.listdir(path.parent) == []
    assert write_new_text(path, "ours")
    assert not write_new_text(path, "again")
    assert path.read_text() == "ours"


def test_a_single_file_that_cannot_be_written_is_a_clear_fault(tmp_path: Path) -> None:
    (tmp_path / "folder").mkdir()
    with pytest.raises(Fault, match="could not be written"):
        write_text_whole(tmp_path / "folder", "x")
    assert os.listdir(tmp_path) == ["folder"]


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("Steady on your feet", "steady-on-your-feet"),
        ("R-204", "r-204"),
        ("Straße, Ærø & Łódź", "strasse-aero-lodz"),
        ("../../etc/passwd", "etc-passwd"),
        ("con", "con-1"),
        ("COM¹", "com1-1"),
        ("½ turn", "1-2-turn"),
        ("a" * 59 + " b", f"{'a' * 51}-9d2d5182"),
        ("a" * 58 + " b", f"{'a' * 58}-b"),
        ("日本", "untitled-cf2abf0c"),
        ("", "untitled-e3b0c442"),
    ],
)
def test_names_for_files(text: str, name: str) -> None:
    assert safe_name(text) == name


@given(st.text(alphabet=st.characters(), max_size=200))
def test_a_name_is_legal_everywhere(text: str) -> None:
    """Legal on FAT and Windows: letters, digits, hyphens (Microsoft, "Naming Files")."""
    name = safe_name(text)
    assert 1 <= len(name) <= 60
    assert set(name) <= set("abcdefghijklmnopqrstuvwxyz0123456789-")
    assert not name.startswith("-")
    assert not name.endswith("-")
    assert safe_name(name) == name
