"""A writer keeps its promise or leaves no file, and says clearly what cannot be."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from breathmark.deliver.audio import FORMATS, open_writer
from breathmark.problems import Fault
from tests.deliver.sound_files import EACH_FORMAT, Samples, clicks, recording, written


@EACH_FORMAT
@pytest.mark.parametrize("fed", [0, 23_999])
def test_too_few_samples_are_refused_and_no_file_is_left(
    tmp_path: Path, format_name: str, fed: int
) -> None:
    with pytest.raises(Fault, match=f"24000 samples were promised and {fed} came"):
        written(tmp_path, format_name, recording(24_000), clicks(fed))
    assert not any(tmp_path.iterdir())


@EACH_FORMAT
def test_too_many_samples_are_refused_at_once(tmp_path: Path, format_name: str) -> None:
    with pytest.raises(Fault, match="24000 samples were promised and at least 25000 came"):
        written(tmp_path, format_name, recording(24_000), clicks(30_000))
    assert not any(tmp_path.iterdir())


@EACH_FORMAT
@pytest.mark.parametrize("error", [KeyboardInterrupt, ValueError])
def test_a_failing_build_leaves_no_file(
    tmp_path: Path, format_name: str, error: type[BaseException]
) -> None:
    plan = recording(48_000)
    with pytest.raises(error), open_writer(format_name, tmp_path / "x", plan) as writer:
        feed_and_fail(writer.add, error)
    assert not any(tmp_path.iterdir())


def feed_and_fail(add: Callable[[Samples], None], error: type[BaseException]) -> None:
    add(clicks(30_000))
    raise error("stop")


@EACH_FORMAT
def test_a_folder_that_is_not_there_is_a_clear_fault(tmp_path: Path, format_name: str) -> None:
    with (
        pytest.raises(Fault, match="could not be written"),
        open_writer(format_name, tmp_path / "missing" / "x", recording(24_000)),
    ):
        pass


@pytest.fixture
def full_disk(tmp_path: Path) -> Path:
    """A path that takes nothing: the system's own full device."""
    if not Path("/dev/full").exists():
        pytest.skip("the system has no /dev/full")
    link = tmp_path / "full"
    link.symlink_to("/dev/full")
    return link


@EACH_FORMAT
def test_a_full_disk_is_a_clear_fault(
    full_disk: Path, format_name: str, capfd: pytest.CaptureFixture[str]
) -> None:
    sound = clicks(240_000)
    with (
        pytest.raises(Fault, match="full could not be written"),
        open_writer(format_name, full_disk, recording(sound.size)) as writer,
    ):
        writer.add(sound)
    assert not full_disk.is_symlink()
    assert "Traceback" not in capfd.readouterr().err  # of a library that goes on by itself


@EACH_FORMAT
def test_only_rows_of_16_bit_samples_are_taken(tmp_path: Path, format_name: str) -> None:
    wrong: Any = np.zeros(10, np.float32)
    with (
        pytest.raises(Fault, match="16-bit"),
        open_writer(format_name, tmp_path / "x", recording(24_000)) as writer,
    ):
        writer.add(wrong)


def test_several_formats_are_fed_in_one_pass(tmp_path: Path) -> None:
    """Writers do not disturb one another: the same bytes as when alone."""
    plan, sound = recording(30_000), clicks(30_000)
    writers = [open_writer(name, tmp_path / f"many.{name}", plan) for name in FORMATS]
    for writer in writers:
        writer.__enter__()
    for start in range(0, 30_000, 1_000):
        for writer in writers:
            writer.add(sound[start : start + 1_000])
    for writer in writers:
        writer.__exit__(None, None, None)
    for name in FORMATS:
        alone = written(tmp_path, name, plan, sound).read_bytes()
        assert (tmp_path / f"many.{name}").read_bytes() == alone


@pytest.mark.parametrize(
    ("format_name", "bit_rate", "message"),
    [
        ("ogg", None, "no such sound format"),
        ("mp3", 70_000, "no bit rate of 70000"),
        ("m4a", 500_000, "not 500000"),
        ("opus", 1_000, "not 1000"),
        ("flac", 64_000, "no bit rate"),
        ("wav", 64_000, "no bit rate"),
    ],
)
def test_what_a_format_cannot_do_is_a_clear_fault(
    tmp_path: Path, format_name: str, bit_rate: int | None, message: str
) -> None:
    with pytest.raises(Fault, match=message):
        open_writer(format_name, tmp_path / "x", recording(24_000), bit_rate=bit_rate)


@pytest.mark.parametrize(("format_name", "low", "high"), [
    ("mp3", 32_000, 96_000), ("m4a", 24_000, 96_000), ("opus", 12_000, 64_000),
])  # fmt: skip
def test_the_bit_rate_decides_the_size(
    tmp_path: Path, format_name: str, low: int, high: int
) -> None:
    sound = np.random.default_rng(1).normal(0, 3_000, 120_000).astype(np.int16)
    sizes = []
    for bit_rate in (low, high):
        path = tmp_path / str(bit_rate)
        with open_writer(
            format_name, path, recording(sound.size, chapters=0), bit_rate=bit_rate
        ) as writer:
            writer.add(sound)
        sizes.append(path.stat().st_size)
    assert sizes[0] * 1.8 < sizes[1]
    assert sizes[1] * 8 / 5 == pytest.approx(high, rel=0.2)


def test_choosing_one_format_loads_no_other(tmp_path: Path) -> None:
    """The package itself loads no encoder, so that help is quick."""
    program = (
        "import sys; import breathmark.deliver.audio as audio;"
        " print(sorted(m for m in sys.modules if m in {'av', 'soxr', 'mutagen', 'numpy'}))"
    )
    loaded = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True, cwd=tmp_path
    )
    assert loaded.stdout.strip() == "[]"
