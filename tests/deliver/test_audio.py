"""Every format holds exactly the promised samples, chapters and tags, the same each time.

The judges are decoders that share nothing with the writers: the system's ffmpeg, the
ffmpeg inside imageio-ffmpeg, libsndfile (with its own MP3, Opus and FLAC decoders) and
the standard library's wave module.  The encoders' own library is not asked.
"""

from __future__ import annotations

import hashlib
import shutil
import subprocess
import sys
import wave
from collections.abc import Callable
from pathlib import Path
from typing import Any

import imageio_ffmpeg
import numpy as np
import numpy.typing as npt
import pytest
import soundfile

from breathmark.deliver.audio import FORMATS, Chapter, Recording, Tags, open_writer
from breathmark.problems import Fault
from tests.outside import decode_with_ffmpeg, ffprobe_chapters, ffprobe_tags, outside_tool

RATE_HZ = 24_000
Samples = npt.NDArray[np.int16]
FORMAT = pytest.mark.parametrize("format_name", FORMATS)


def clicks(length: int) -> Samples:
    """A quiet tone with bursts of random loudness, so that a shift cannot hide."""
    time = np.arange(length)
    loudness = np.random.default_rng(5).uniform(0, 9_000, length // 1_500 + 1).repeat(1_500)
    bursts = loudness[:length] * (time % 1_500 < 300)
    sound = 500 * np.sin(time * (2 * np.pi * 440 / RATE_HZ))
    sound += bursts * np.sin(time * (2 * np.pi * 1_900 / RATE_HZ))
    samples: Samples = sound.astype(np.int16)
    return samples


def recording(length: int, *, chapters: int = 4, rate_hz: int = RATE_HZ) -> Recording:
    """A recording cut into even chapters, the last a little longer."""
    each = length // max(chapters, 1)
    return Recording(
        rate_hz=rate_hz,
        length=length,
        chapters=tuple(
            Chapter(
                title=f"Übung {index + 1} ✓",
                start=index * each,
                length=each if index < chapters - 1 else length - index * each,
            )
            for index in range(chapters)
        ),
        tags=Tags(title="Steady on your feet", album="R-204", comment="Stop if it hurts."),
        lyrics="[00:00.00]Sit tall.\n[00:01.00]Fuß vor.\n",
    )


def written(
    folder: Path, format_name: str, plan: Recording, sound: Samples, block: int = 5_000
) -> Path:
    """The file that comes out when `sound` is fed in blocks."""
    path = folder / f"out.{format_name}"
    with open_writer(format_name, path, plan) as writer:
        for start in range(0, sound.size, block):
            writer.add(sound[start : start + block])
    return path


def _with_ffmpeg(binary: str, rate_hz: int) -> Callable[[Path], Samples]:
    return lambda path: decode_with_ffmpeg(path, rate_hz, binary=Path(binary))


def _with_libsndfile(path: Path) -> Samples:
    decoded: Samples = soundfile.read(path, dtype="int16")[0]
    return decoded


def _with_wave(path: Path) -> Samples:
    with wave.open(str(path)) as file:
        return np.frombuffer(file.readframes(file.getnframes()), "<i2").astype(np.int16)


def decoders(format_name: str, rate_hz: int) -> dict[str, Callable[[Path], Samples]]:
    """Two independent decoders or more; `rate_hz` is the rate the file plays at."""
    found = {"packaged ffmpeg": _with_ffmpeg(imageio_ffmpeg.get_ffmpeg_exe(), rate_hz)}
    system = shutil.which("ffmpeg")
    if system:
        found["system ffmpeg"] = _with_ffmpeg(system, rate_hz)
    if format_name != "m4a":
        found["libsndfile"] = _with_libsndfile
    if format_name == "wav":
        found["wave"] = _with_wave
    if len(found) < 2:
        outside_tool("ffmpeg")
    return found


def played_rate_hz(format_name: str, rate_hz: int = RATE_HZ) -> int:
    """Opus always plays at 48 kHz (RFC 7845, 5.1)."""
    return 48_000 if format_name == "opus" else rate_hz


# Lengths: residues of every frame size (576 and 1152 in MP3, 1024 in AAC, 480 in Opus at
# 24 kHz), the range 1 to 46 that MP3's muxer gets wrong, and the remainders that the
# lengths 7:03, 10:00, 12:30, 18:25 and 61:01 leave.
FRAMES = 9_216  # the least common multiple of 576 and 1024
REMAINDERS = sorted(
    {minutes * RATE_HZ % FRAMES for minutes in (423, 600, 750, 1105, 3661)}
    | {0, 1, 2, 20, 45, 46, 47, 48, 575, 577, 1023, 1025, 4_321}
)


@FORMAT
@pytest.mark.parametrize("remainder", REMAINDERS)
def test_it_decodes_to_exactly_the_promised_samples(
    tmp_path: Path, format_name: str, remainder: int
) -> None:
    length = 2 * FRAMES + remainder
    path = written(tmp_path, format_name, recording(length), clicks(length))
    rate_hz = played_rate_hz(format_name)
    expected = length * rate_hz // RATE_HZ
    for name, decode in decoders(format_name, rate_hz).items():
        assert decode(path).size == expected, name


@FORMAT
@pytest.mark.parametrize("length", [48_000, 2 * 1152 + 46, 30_001])
def test_recordings_at_48_khz_are_exact_too(tmp_path: Path, format_name: str, length: int) -> None:
    path = written(tmp_path, format_name, recording(length, rate_hz=48_000), clicks(length))
    for name, decode in decoders(format_name, 48_000).items():
        assert decode(path).size == length, name


@FORMAT
@pytest.mark.parametrize("length", [30_000, 30_011])
def test_nothing_is_shifted(tmp_path: Path, format_name: str, length: int) -> None:
    """The decoded sound fits the fed one best without any shift, and closely.

    Opus decoders differ by a sample at 48 kHz among themselves (measured).
    """
    most = 1 if format_name == "opus" else 0
    sound = clicks(length)
    path = written(tmp_path, format_name, recording(length), sound)
    rate_hz = played_rate_hz(format_name)
    for name, decode in decoders(format_name, rate_hz).items():
        heard = decode(path)[:: rate_hz // RATE_HZ].astype(float)
        spectra = np.fft.rfft(heard, 2 * length) * np.fft.rfft(sound, 2 * length).conj()
        likeness = np.fft.irfft(spectra)
        shift = (np.argmax(likeness) + length) % (2 * length) - length
        assert abs(shift) <= most, name
        assert likeness.max() > 0.9 * np.linalg.norm(heard) * np.linalg.norm(sound), name


@pytest.mark.parametrize("format_name", ["flac", "wav"])
def test_nothing_is_lost_where_nothing_should_be(tmp_path: Path, format_name: str) -> None:
    sound = np.random.default_rng(7).integers(-32_768, 32_768, 50_001).astype(np.int16)
    path = written(tmp_path, format_name, recording(50_001), sound)
    for name, decode in decoders(format_name, RATE_HZ).items():
        assert np.array_equal(decode(path), sound), name


@pytest.mark.slow
@FORMAT
@pytest.mark.parametrize("seconds", [423, 600, 750, 1105, 3661])
def test_whole_sessions_are_exact(tmp_path: Path, format_name: str, seconds: int) -> None:
    """7:03, 10:00, 12:30, 18:25 and 61:01."""
    length = seconds * RATE_HZ
    path = tmp_path / f"out.{format_name}"
    second = clicks(RATE_HZ)
    with open_writer(format_name, path, recording(length, chapters=9)) as writer:
        for _ in range(seconds):
            writer.add(second)
    rate_hz = played_rate_hz(format_name)
    for name, decode in decoders(format_name, rate_hz).items():
        assert decode(path).size == seconds * rate_hz, name


@FORMAT
def test_the_same_samples_give_the_same_bytes_in_blocks_of_any_size(
    tmp_path: Path, format_name: str
) -> None:
    length = 60_007
    plan, sound = recording(length), clicks(length)
    seen = {
        hashlib.sha256(written(tmp_path, format_name, plan, sound, block).read_bytes()).hexdigest()
        for block in (length, 24_000, 7_001, 480, 97)
    }
    assert len(seen) == 1


# Chapters and tags


@FORMAT
@pytest.mark.parametrize("count", [1, 4, 255])
def test_chapters_are_read_in_order_at_their_times(
    tmp_path: Path, format_name: str, count: int
) -> None:
    plan = recording(255 * 240 + 7, chapters=count)
    path = written(tmp_path, format_name, plan, clicks(plan.length))
    found = ffprobe_chapters(path)
    assert [chapter.title for chapter in found] == [chapter.title for chapter in plan.chapters]
    for read, planned in zip(found, plan.chapters, strict=True):
        assert read.start_ms == pytest.approx(planned.start / 24, abs=1)
    for read, planned in zip(found[:-1], plan.chapters, strict=False):
        assert read.end_ms == pytest.approx(planned.end / 24, abs=1)
    # Ogg has no ends; ffprobe takes the file's duration, which is before trimming.
    assert found[-1].end_ms == pytest.approx(plan.length / 24, abs=30)


TITLES = (
    "x",
    "a" * 255,
    "日" * 85,
    "مقعد ثابت",
    'Wadenheben — links & rechts; \\ = # "q" <b>',
    "🦵 stretch",
    "e\u0301",
)


@FORMAT
def test_titles_of_any_script_and_length_come_back_whole(tmp_path: Path, format_name: str) -> None:
    chapters = tuple(
        Chapter(title=title, start=index * 4_800, length=4_800)
        for index, title in enumerate(TITLES)
    )
    plan = Recording(
        rate_hz=RATE_HZ, length=4_800 * len(TITLES), chapters=chapters, tags=Tags(title=TITLES[4])
    )
    path = written(tmp_path, format_name, plan, clicks(plan.length))
    assert tuple(chapter.title for chapter in ffprobe_chapters(path)) == TITLES
    assert ffprobe_tags(path)["title"] == TITLES[4]


@FORMAT
def test_a_recording_may_have_no_chapters(tmp_path: Path, format_name: str) -> None:
    path = written(tmp_path, format_name, recording(24_000, chapters=0), clicks(24_000))
    assert ffprobe_chapters(path) == ()


@FORMAT
def test_the_tags_hold_what_was_handed_in_and_nothing_else(
    tmp_path: Path, format_name: str
) -> None:
    path = written(tmp_path, format_name, recording(24_000), clicks(24_000))
    tags = ffprobe_tags(path)
    assert tags["title"] == "Steady on your feet"
    assert tags["album"] == "R-204"
    assert tags.get("comment", tags.get("description")) == "Stop if it hurts."
    known = {"title", "album", "comment", "description", "language"}
    of_the_container = {"major_brand", "minor_version", "compatible_brands", "handler_name",
                        "vendor_id", "encoder"}  # fmt: skip
    lyrics = {name for name in tags if name.startswith("lyrics")}
    chapters = {name for name in tags if name.startswith("chapter")}
    assert set(tags) <= known | of_the_container | lyrics | chapters
    assert len(lyrics) == (format_name != "wav")
    for name in lyrics:
        assert tags[name].splitlines() == ["[00:00.00]Sit tall.", "[00:01.00]Fuß vor."]


# Promises


@FORMAT
@pytest.mark.parametrize("fed", [0, 23_999])
def test_too_few_samples_are_refused_and_no_file_is_left(
    tmp_path: Path, format_name: str, fed: int
) -> None:
    with pytest.raises(Fault, match=f"24000 samples were promised and {fed} came"):
        written(tmp_path, format_name, recording(24_000), clicks(fed))
    assert not any(tmp_path.iterdir())


@FORMAT
def test_too_many_samples_are_refused_at_once(tmp_path: Path, format_name: str) -> None:
    with pytest.raises(Fault, match="24000 samples were promised and at least 25000 came"):
        written(tmp_path, format_name, recording(24_000), clicks(30_000))
    assert not any(tmp_path.iterdir())


@FORMAT
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


@FORMAT
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


@FORMAT
def test_a_full_disk_is_a_clear_fault(full_disk: Path, format_name: str) -> None:
    sound = clicks(240_000)
    with (
        pytest.raises(Fault, match="full could not be written"),
        open_writer(format_name, full_disk, recording(sound.size)) as writer,
    ):
        writer.add(sound)
    assert not full_disk.is_symlink()


@FORMAT
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
