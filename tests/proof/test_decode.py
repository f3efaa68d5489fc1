"""What is decoded is what is heard, sample for sample, in every format."""

from __future__ import annotations

import shutil
import tracemalloc
from dataclasses import replace
from pathlib import Path
from typing import TypeVar

import numpy as np
import pytest

from breathmark.deliver.audio import FORMATS
from breathmark.proof.chapters import read_chapters
from breathmark.proof.check import Check
from breathmark.proof.decode import UnreadableError, decode, sound_file
from breathmark.proof.listen import listen
from breathmark.proof.verify import verify_folder
from breathmark.script.session import Block, Session, Span
from tests.outside import decode_with_ffmpeg, ffprobe_chapters
from tests.plan_sessions import many_exercises
from tests.proof.results import NAME, Result, brief_session, small_session, sound_of

Timed = TypeVar("Timed", Span, Block)


@pytest.mark.parametrize("format", FORMATS)
def test_another_decoder_hears_the_same(format: str, tmp_path: Path) -> None:
    """The count and the samples are those of ffmpeg, to one step of 16 bits of rounding."""
    path = Result(formats=(format,)).written(tmp_path) / f"{NAME}.{format}"
    ours = decode(path)
    theirs = decode_with_ffmpeg(path, ours.rate_hz)
    assert len(ours.samples) == len(theirs)
    assert len(theirs) == brief_session().length * ours.rate_hz // brief_session().rate_hz
    assert np.abs(ours.samples - theirs / np.float32(32768)).max() < 1.6 / 32768


@pytest.mark.parametrize("format", ["flac", "wav"])
def test_nothing_is_lost_where_nothing_should_be(format: str, tmp_path: Path) -> None:
    """FLAC and WAV give back the very samples that were written."""
    path = Result(formats=(format,)).written(tmp_path) / f"{NAME}.{format}"
    assert np.array_equal(decode(path).samples * 32768, sound_of(brief_session()))


@pytest.mark.parametrize("format", FORMATS)
def test_the_quick_way_hears_the_same(format: str, tmp_path: Path) -> None:
    """In whole blocks from FFmpeg's source, or frame by frame: the same samples."""
    folder = Result(session=small_session(), formats=(format,)).written(tmp_path)
    sound = sound_file(folder / f"{NAME}.{format}")
    strict, quick = list(sound.blocks()), list(sound.blocks(past_damage=True))
    assert [len(block) for block in quick] == [len(block) for block in strict]
    assert all(map(np.array_equal, quick, strict))


@pytest.mark.parametrize("format", FORMATS)
def test_nothing_is_decoded_in_threads_of_the_decoder(format: str, tmp_path: Path) -> None:
    """Those of FLAC ended the whole process in one decoding of some hundred."""
    tasks = Path("/proc/self/task")
    if not tasks.exists():
        pytest.skip("threads have no names to be listed here")
    folder = Result(formats=(format,)).written(tmp_path)
    blocks = sound_file(folder / f"{NAME}.{format}").blocks(past_damage=True)
    assert len(next(blocks))
    names = [(task / "comm").read_text() for task in tasks.iterdir()]
    assert not [name for name in names if name.startswith("av:")]


@pytest.mark.parametrize("format", ["mp3", "m4a", "opus"])
def test_the_quick_way_leaves_out_what_is_damaged(format: str, tmp_path: Path) -> None:
    """Samples are missing then, and never too many; so the listening goes the strict way."""
    session = small_session()
    folder = Result(session=session, formats=(format,)).written(tmp_path)
    path = folder / f"{NAME}.{format}"
    data = bytearray(path.read_bytes())
    middle = len(data) // 2
    data[middle : middle + 2_000] = bytes(2_000)
    path.write_bytes(data)
    sound = sound_file(path)
    quick = sum(map(len, sound.blocks(past_damage=True)))
    assert quick < session.length * sound.rate_hz // session.rate_hz
    assert verify_folder(folder).failed


def test_without_the_quick_way_it_is_heard_as_well(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A build of FFmpeg need not have that source."""
    folder = Result().written(tmp_path)

    def lacking(*_arguments: object, **_options: object) -> None:
        raise ValueError("no filter amovie")

    monkeypatch.setattr("av.filter.Graph.add", lacking, raising=False)
    assert not list(sound_file(folder / f"{NAME}.mp3").blocks(past_damage=True))
    assert verify_folder(folder).failed == ()


@pytest.mark.parametrize("format", FORMATS)
def test_another_reader_lists_the_same_chapters(format: str, tmp_path: Path) -> None:
    """Both of our readings agree with ffprobe's."""
    path = Result(formats=(format,)).written(tmp_path) / f"{NAME}.{format}"
    theirs = [(one.title, one.start_ms) for one in ffprobe_chapters(path)]
    for reading in read_chapters(sound_file(path)):
        assert [(one.title, one.start_ms) for one in reading.chapters] == theirs, reading.where


@pytest.mark.parametrize("format", FORMATS)
def test_a_good_recording_passes_in_every_format(format: str, tmp_path: Path) -> None:
    """Every tone, line and breath of a session with all of them is found."""
    report = verify_folder(Result(session=small_session(), formats=(format,)).written(tmp_path))
    assert report.failed == ()


@pytest.mark.parametrize("format", FORMATS)
def test_the_higher_rate_passes_too(format: str, tmp_path: Path) -> None:
    """A session at 48 kHz is proved like one at 24."""
    session = at_double_rate(brief_session())
    folder = Result(session=session, formats=(format,)).written(tmp_path)
    assert verify_folder(folder).failed == ()


def test_a_recording_at_another_rate_is_refused(tmp_path: Path) -> None:
    """A plan at 48 kHz is not met by a file at 24."""
    low = Result(formats=("wav",)).written(tmp_path / "low")
    high = Result(session=at_double_rate(brief_session()), formats=("wav",))
    folder = Result(
        session=high.session,
        formats=(),
        after=lambda at: put(low / f"{NAME}.wav", at),
    ).written(tmp_path / "high")
    report = verify_folder(folder)
    assert [one.check for one in report.failed] == [Check.READABLE]
    assert "24000 samples a second where 48000 are due" in report.failed[0].detail


def put(file: Path, folder: Path) -> None:
    """Copy a file into a folder."""
    shutil.copy(file, folder)


def at_double_rate(session: Session) -> Session:
    """The same session at 48 kHz."""
    return replace(
        session,
        rate_hz=2 * session.rate_hz,
        length=2 * session.length,
        blocks=tuple(
            replace(doubled(block), spans=tuple(map(doubled, block.spans)))
            for block in session.blocks
        ),
        events=tuple(
            replace(event, start=2 * event.start, length=2 * event.length)
            for event in session.events
        ),
    )


def doubled(part: Timed) -> Timed:
    return replace(part, start=2 * part.start, length=2 * part.length)


def test_endings_that_are_no_recordings_are_refused(tmp_path: Path) -> None:
    """The ending decides how a file is read; others are not tried."""
    path = tmp_path / "a.txt"
    path.write_bytes(b"RIFF")
    with pytest.raises(UnreadableError, match="no recording ends in"):
        sound_file(path)


def test_a_folder_with_a_recordings_name_is_a_finding(tmp_path: Path) -> None:
    """A folder called .mp3 is no recording, and no error of ours."""
    folder = Result().written(tmp_path)
    (folder / "more.mp3").mkdir()
    report = verify_folder(folder)
    assert {one.check for one in report.failed} == {Check.READABLE, Check.RECORD}


@pytest.mark.slow
def test_memory_stays_flat(tmp_path: Path) -> None:
    """Listening to half an hour takes no more memory than to five minutes, within 3 MB."""
    peaks = []
    for length_s in (300, 1800):
        session = many_exercises(2, end_s=length_s)
        path = tmp_path / f"{length_s}.wav"
        _write_silence(path, session.length)
        tracemalloc.start()
        listen(sound_file(path), session)
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
    assert peaks[1] - peaks[0] < 3_000_000


def _write_silence(path: Path, length: int) -> None:
    import wave

    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(24_000)
        for _ in range(length // 24_000):
            file.writeframes(bytes(48_000))
