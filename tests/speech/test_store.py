"""The store: whole entries or none, whoever else is writing, whatever happens to the disk."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from breathmark.problems import Fault
from breathmark.speech.store import FOLDER_VARIABLE, ClipStore, default_store_folder, key_of

CLIP = np.arange(-500, 500, dtype=np.int16)
KEY = key_of("a line")


def kept(folder: Path) -> tuple[ClipStore, Path]:
    """A store with one clip, and the clip's file."""
    store = ClipStore(folder)
    store.put(KEY, CLIP)
    (path,) = [path for path in folder.rglob("*") if path.is_file()]
    return store, path


def flip(data: bytes, at: int) -> bytes:
    """``data`` with one bit turned over."""
    changed = bytearray(data)
    changed[at] ^= 1
    return bytes(changed)


def test_what_is_put_is_got(tmp_path: Path) -> None:
    """The same samples, and nothing for another key."""
    store, _ = kept(tmp_path)
    got = store.get(KEY)
    assert got is not None
    assert got.dtype == np.int16
    assert np.array_equal(got, CLIP)
    assert store.get(key_of("another line")) is None


DAMAGES: dict[str, Callable[[bytes], bytes]] = {
    "emptied": lambda _: b"",
    "cut in the head": lambda data: data[:20],
    "cut by one byte": lambda data: data[:-1],
    "one byte more": lambda data: data + b"\0",
    "a bit of the payload": lambda data: flip(data, -1),
    "a bit of the hash": lambda data: flip(data, 20),
    "a bit of the length": lambda data: flip(data, 8),
    "another kind": lambda data: b"RIFF" + data[4:],
    "zeroes, as after a power cut": lambda data: bytes(len(data)),
}


@pytest.mark.parametrize("damage", DAMAGES.values(), ids=DAMAGES)
def test_a_damaged_entry_is_missing_and_removed(
    damage: Callable[[bytes], bytes], tmp_path: Path
) -> None:
    """It is noticed, taken away, and can be put anew."""
    store, path = kept(tmp_path)
    path.write_bytes(damage(path.read_bytes()))
    assert store.get(KEY) is None
    assert not path.exists()
    store.put(KEY, CLIP)
    assert store.get(KEY) is not None


def test_a_note_is_no_clip(tmp_path: Path) -> None:
    """What is kept under one kind does not come back as the other."""
    store = ClipStore(tmp_path)
    store.note(KEY, "1.75")
    assert store.recall(KEY) == "1.75"
    assert store.get(KEY) is None


def test_several_processes_share_a_store(tmp_path: Path) -> None:
    """All write and read the same keys at once; nobody ever gets half a clip."""
    code = (
        "import sys, numpy as np; from pathlib import Path\n"
        "from breathmark.speech.store import ClipStore, key_of\n"
        "store = ClipStore(Path(sys.argv[1]))\n"
        "for turn in range(40):\n"
        "    for n in range(5):\n"
        "        got = store.get(key_of(str(n)))\n"
        "        assert got is None or (len(got) == 5000 and (got == n).all())\n"
        "        store.put(key_of(str(n)), np.full(5000, n, np.int16))\n"
        "    store.sweep()\n"
    )
    runs = [subprocess.Popen([sys.executable, "-c", code, str(tmp_path)]) for _ in range(3)]
    assert [run.wait(60) for run in runs] == [0, 0, 0]
    assert list(tmp_path.rglob("*.part")) == []


def test_sweeping_clears_what_ended_builds_left(tmp_path: Path) -> None:
    """A part file goes when it is old or its process has ended; one at work keeps its own."""
    store, path = kept(tmp_path)
    ended = subprocess.Popen([sys.executable, "-c", ""])
    ended.wait()
    dead = path.with_name(f".{KEY}.{ended.pid}.0a1b2c3d.part")
    alive = path.with_name(f".{KEY}.{os.getpid()}.0a1b2c3d.part")
    old = path.with_name(f".{KEY}.{os.getpid()}.ffffffff.part")
    for part in (dead, alive, old):
        part.write_bytes(b"half")
    two_hours_ago = time.time() - 7200
    os.utime(old, (two_hours_ago, two_hours_ago))
    store.sweep()
    assert not dead.exists()
    assert not old.exists()
    assert alive.exists()
    assert store.get(KEY) is not None


def test_sweeping_lets_the_longest_unused_go(tmp_path: Path) -> None:
    """When the store is full; reading an old entry makes it recent again."""
    store = ClipStore(tmp_path)
    for age, name in enumerate("cba"):
        store.put(key_of(name), CLIP)
        when = time.time() - 10_000 * (3 - age)
        path = tmp_path / key_of(name)[:2] / key_of(name)
        os.utime(path, (when, when))
    assert store.get(key_of("c")) is not None
    store.sweep(most_bytes=2 * (len(CLIP) * 2 + 100))
    assert [store.get(key_of(name)) is not None for name in "cba"] == [True, False, True]


def test_a_full_disk_is_a_fault_with_a_remedy(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And no litter stays."""

    def full(path: Path, data: bytes) -> int:
        with path.open("wb") as file:
            file.write(data[:10])
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(Fault, match="No space left") as raised:
        ClipStore(tmp_path).put(KEY, CLIP)
    assert "BREATHMARK_STORE" in raised.value.remedy
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == []


def test_a_file_where_the_folder_should_be_is_a_fault(tmp_path: Path) -> None:
    """It is neither removed nor written over."""
    (tmp_path / "store").write_text("mine")
    store = ClipStore(tmp_path / "store")
    assert store.get(KEY) is None
    with pytest.raises(Fault):
        store.put(KEY, CLIP)
    store.sweep()
    assert (tmp_path / "store").read_text() == "mine"


def test_the_environment_names_the_folder(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Else it is in the user's cache folder (XDG base directory specification)."""
    monkeypatch.setenv("BREATHMARK_STORE", str(tmp_path))
    assert default_store_folder() == tmp_path
    monkeypatch.delenv("BREATHMARK_STORE")
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    assert default_store_folder() == tmp_path / "cache" / "breathmark" / "clips"


def test_a_system_that_tells_no_home_is_a_fault_with_a_remedy(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Tasks that a system starts by itself may have neither HOME nor a name."""

    def homeless() -> Path:
        raise RuntimeError("Could not determine home directory.")

    for name in (FOLDER_VARIABLE, "XDG_CACHE_HOME", "LOCALAPPDATA"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr(Path, "home", homeless)
    with pytest.raises(Fault, match=FOLDER_VARIABLE):
        default_store_folder()


def test_a_key_knows_where_its_parts_end() -> None:
    """And takes any text, even one that is no valid Unicode."""
    keys = {key_of("a", "b"), key_of("ab"), key_of("ab", ""), key_of("", "ab"), key_of("\ud800")}
    assert len(keys) == 5
