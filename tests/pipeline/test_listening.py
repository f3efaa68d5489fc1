"""Recordings for older ears and with a background, made whole and decoded from outside."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from breathmark.deliver.audio import FORMATS
from breathmark.deliver.handing import Wanted
from breathmark.orders import Made
from breathmark.pipeline import Order, make
from breathmark.proof.verify import verify_folder
from breathmark.routine.listening import Background, Hearing
from breathmark.speech.speakable import sentences, speakable
from tests.outside import decode_with_ffmpeg
from tests.pipeline.short import SHORT, short_routine
from tests.sound.signals import measured_by_ffmpeg

RATE_HZ = 24_000
LENGTH_S = 90


def made(folder: Path, says: str, formats: tuple[str, ...] = ("mp3",)) -> Made:
    """The short routine for a patient whose file says this, in the system's voice."""
    text = SHORT.replace("1 min 15 s", "1 min 30 s").replace("4 s (2 to 8)", "4 s (2 to 30)")
    short_routine(folder, text)
    source = folder / "r-204.yaml"
    source.write_text(f"label: R-204\nroutine: short.yaml\nvoice: system\n{says}\n", "utf-8")
    wanted = Wanted(papers=False, tracks=True)
    return make(Order(source=source, output=folder / "out", formats=formats, wanted=wanted))


@pytest.mark.parametrize("hearing", [Hearing.OLDER, Hearing.HARD_OF_HEARING])
def test_a_recording_for_older_ears(hearing: Hearing, tmp_path: Path) -> None:
    """Exact, proved, and within -19 LUFS by 0.5 and -1 dBTP as ffmpeg measures."""
    built = made(tmp_path, f"hearing: {hearing}")
    assert built.session.hearing is hearing
    assert built.report.passed
    heard = decode_with_ffmpeg(next(built.folder.glob("*.mp3")), RATE_HZ)
    assert len(heard) == LENGTH_S * RATE_HZ
    lufs, peak = measured_by_ffmpeg(heard, RATE_HZ, tmp_path)
    assert lufs == pytest.approx(-19, abs=0.5)
    assert peak <= -1


def test_a_recording_with_a_background(tmp_path: Path) -> None:
    """In every format and as tracks; 20 dB below speech in the decoded file (WCAG 1.4.7)."""
    built = made(tmp_path, "background: quiet", FORMATS)
    assert built.session.background is Background.QUIET
    assert verify_folder(built.folder).passed
    for ending in FORMATS:
        rate_hz = 48_000 if ending == "opus" else RATE_HZ
        path = next(built.folder.glob(f"*.{ending}"))
        assert len(decode_with_ffmpeg(path, rate_hz)) == LENGTH_S * rate_hz
    tracks = sorted((built.folder / "tracks").glob("*.mp3"))
    assert sum(len(decode_with_ffmpeg(path, RATE_HZ)) for path in tracks) == LENGTH_S * RATE_HZ
    heard = decode_with_ffmpeg(next(built.folder.glob("*.mp3")), RATE_HZ)
    lufs, peak = measured_by_ffmpeg(heard, RATE_HZ, tmp_path)
    assert lufs == pytest.approx(-19, abs=0.5)
    assert peak <= -1
    below = [
        _below_db(heard[line.start : line.end])
        for line in built.session.spoken
        if len(sentences(speakable(line.text, {}))) == 2
    ]
    assert below
    assert min(below) >= 20
    print(f"{min(below):.1f} to {max(below):.1f} dB below speech")  # noqa: T201


def _below_db(line: np.ndarray[tuple[int, ...], np.dtype[np.int16]]) -> float:
    """Speech over the quietest 0.3 s of a line, which is inside its pause of 0.6 s."""
    frames = line[: len(line) // 240 * 240].astype(np.float64).reshape(-1, 240)
    power = np.mean(frames**2, axis=1)
    pause = np.convolve(power, np.ones(30) / 30, "valid").min()
    return float(10 * np.log10(power[power > power.max() / 1000].mean() / pause))
