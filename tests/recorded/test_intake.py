"""Taking in: formats, folders, what is no use, and a recogniser where there is one."""

from __future__ import annotations

import random
import subprocess
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
import soundfile
import soxr

from breathmark.problems import BreathmarkError
from breathmark.speech import intake_hear
from breathmark.speech.intake import Fault, Intake, take_in
from breathmark.speech.intake_hear import Ear, installed_ear, why_no_ear
from breathmark.speech.intake_sound import RecordingProblem, sound_files
from breathmark.speech.intake_split import LOOK_HZ
from tests.listening import Listener
from tests.outside import ffmpeg_binary
from tests.recorded.reading import RATE_HZ, Faults, Sound, read_aloud
from tests.recorded.voices import SESSION_HZ, read_by_system, references_by, sheet_of

TEXTS = (
    "Stand your chair against the wall and wear shoes that grip.",
    "Ready.",
    "Slide your left foot straight back.",
    "Back heel heavy on the floor.",
    "Change sides.",
    "You should feel a mild pull low in the calf, never a sharp pain.",
    "Breathe out slowly.",
    "Lower yourself until you are sitting again.",
    "And rest.",
    "Well done, that is the end of this session.",
)


@pytest.fixture(scope="module")
def clips() -> list[Sound]:
    """The rows as the reader says them: slower than the voice they are compared with."""
    return read_by_system(TEXTS, 140)


@pytest.fixture(scope="module")
def references() -> dict[str, npt.NDArray[np.int16]]:
    """The rows as the system voice says them at its usual pace: quick, and near the reader."""
    return references_by("system", TEXTS)


def taken(intake: Intake) -> set[str]:
    """The texts that came in."""
    return {take.line.text for take in intake.takes}


@pytest.mark.parametrize("ending", ["wav", "mp3", "m4a", "ogg", "flac"])
def test_any_usual_format_will_do(
    tmp_path: Path,
    clips: list[Sound],
    references: dict[str, npt.NDArray[np.int16]],
    ending: str,
) -> None:
    """Written by an outside encoder, in stereo at 44.1 kHz: the same rows come in."""
    wav = tmp_path / "reading.wav"
    soundfile.write(wav, read_aloud(clips, Faults(), random.Random(5)).samples, RATE_HZ)
    path = tmp_path / f"reading-2.{ending}"
    command: list[str | Path] = [
        ffmpeg_binary(),
        "-v",
        "error",
        "-i",
        wav,
        "-ac",
        "2",
        "-ar",
        "44100",
        path,
    ]
    subprocess.run(command, check=True)
    intake = take_in(path, sheet_of(TEXTS), references, rate_hz=SESSION_HZ)
    assert taken(intake) == set(TEXTS)
    assert intake.remarks == ()


@pytest.mark.parametrize(
    ("rate_hz", "subtype", "sides"),
    [
        (8_000, "PCM_24", (1.0,)),
        (44_100, "PCM_24", (1.0, 0.5)),
        (RATE_HZ, "PCM_U8", (1.0, 0.0)),
        (RATE_HZ, "PCM_16", (0.9, -1.0)),
        (RATE_HZ, "PCM_16", (1.0, -1.0)),
    ],
)
def test_any_usual_sampling_will_do(
    tmp_path: Path,
    clips: list[Sound],
    references: dict[str, npt.NDArray[np.int16]],
    rate_hz: int,
    subtype: str,
    sides: tuple[float, ...],
) -> None:
    """A telephone's 8 kHz, 24 bits, 8 bits, a microphone on one side alone, one turned round."""
    reading = read_aloud(clips, Faults(), random.Random(5)).samples
    sampled = soxr.resample(reading, RATE_HZ, rate_hz)
    path = tmp_path / "reading.wav"
    soundfile.write(path, np.stack([side * sampled for side in sides], axis=1), rate_hz, subtype)
    intake = take_in(path, sheet_of(TEXTS), references, rate_hz=SESSION_HZ)
    assert taken(intake) == set(TEXTS)


@pytest.mark.parametrize("named", [True, False])
def test_a_folder_of_clips(
    tmp_path: Path, clips: list[Sound], references: dict[str, npt.NDArray[np.int16]], named: bool
) -> None:
    """One file a row, by their order or by the numbers they are called; one lacks."""
    for at, clip in enumerate(clips, start=1):
        if at != 4:
            name = str(at) if named else f"take {at + 7}"
            soundfile.write(tmp_path / f"{name}.wav", np.pad(clip, 9_000), RATE_HZ)
    (tmp_path / "notes.txt").write_text("not a sound")
    intake = take_in(tmp_path, sheet_of(TEXTS), references, rate_hz=SESSION_HZ)
    assert taken(intake) == set(TEXTS) - {TEXTS[3]}
    assert [(one.line.text, one.fault) for one in intake.remarks] == [(TEXTS[3], Fault.MISSING)]


def test_files_come_in_the_order_of_their_numbers(tmp_path: Path) -> None:
    """2 comes before 10, and what is no sound is passed over."""
    for name in ("10.wav", "2.mp3", "1.m4a", "cover.jpg", ".hidden.wav"):
        (tmp_path / name).touch()
    assert [path.name for path in sound_files(tmp_path)] == ["1.m4a", "2.mp3", "10.wav"]


def noise(seconds: float, level: float) -> Sound:
    """Noise, and nothing else."""
    white = np.random.default_rng(7).standard_normal(round(seconds * RATE_HZ))
    return (level * white).astype(np.float32)


def knocks() -> Sound:
    """A quiet room in which somebody knocks."""
    room = noise(8.0, 0.0005)
    for at in range(1, 8):
        room[at * RATE_HZ : at * RATE_HZ + 9_600] += noise(0.2, 0.2)
    return room


USELESS = [
    ("silence", np.zeros(3 * RATE_HZ, np.float32), "silent"),
    ("noise", noise(5.0, 0.1), "no speech stands out"),
    ("knocks", knocks(), "no speech was found"),
    ("short", np.zeros(100, np.float32), "too short"),
]


@pytest.mark.parametrize(("name", "sound", "why"), USELESS, ids=[one[0] for one in USELESS])
def test_a_recording_of_no_use_is_said(
    tmp_path: Path,
    references: dict[str, npt.NDArray[np.int16]],
    name: str,
    sound: Sound,
    why: str,
) -> None:
    """Nothing comes in, and the words say what is wrong with it."""
    path = tmp_path / f"{name}.wav"
    soundfile.write(path, sound, RATE_HZ)
    with pytest.raises(RecordingProblem, match=why):
        take_in(path, sheet_of(TEXTS), references, rate_hz=SESSION_HZ)


def test_what_is_no_recording_is_said(
    tmp_path: Path, references: dict[str, npt.NDArray[np.int16]]
) -> None:
    """A missing file, an empty folder and a file that is no sound, each in its words."""
    text = tmp_path / "notes" / "notes.wav"
    text.parent.mkdir()
    text.write_text("This is not a sound.")
    (tmp_path / "empty").mkdir()
    for source, why in (
        (tmp_path / "gone.wav", "no file or folder"),
        (tmp_path / "empty", "no sound file in the folder"),
        (text, "cannot be played: Invalid data"),
    ):
        with pytest.raises(BreathmarkError, match=why):
            take_in(source, sheet_of(TEXTS), references, rate_hz=SESSION_HZ)


def test_every_bad_file_of_a_folder_is_told_at_once(
    tmp_path: Path, references: dict[str, npt.NDArray[np.int16]]
) -> None:
    """An empty clip is said to be empty, and nobody has to try once for each."""
    (tmp_path / "3.wav").touch()
    (tmp_path / "7.wav").write_text("This is not a sound.")
    with pytest.raises(RecordingProblem) as raised:
        take_in(tmp_path, sheet_of(TEXTS), references, rate_hz=SESSION_HZ)
    assert str(raised.value).splitlines()[0] == "3.wav is empty"
    assert "7.wav cannot be played" in str(raised.value)


def test_another_sheet_is_noticed(tmp_path: Path, clips: list[Sound]) -> None:
    """A recording of other rows brings nothing in."""
    path = tmp_path / "reading.wav"
    soundfile.write(path, read_aloud(clips, Faults(), random.Random(5)).samples, RATE_HZ)
    others = (
        "Hold on to the counter.", "Turn your head until you can see over your shoulder.",
        "Seven.", "Let your shoulders sink away from your ears.", "Last one, slowly.",
        "Bend both knees a little.", "Look far ahead.", "Fold your arms over your chest, and wait.",
        "Come back up.", "Now close your eyes if that feels safe.",
    )  # fmt: skip
    with pytest.raises(RecordingProblem, match="does not fit the sheet"):
        take_in(path, sheet_of(others), references_by("system", others), rate_hz=SESSION_HZ)


class Recogniser:
    """The tests' listener as the ear of an intake."""

    def __init__(self, listener: Listener) -> None:
        self._listener = listener

    def hear(self, samples: npt.NDArray[np.float32]) -> str:
        """See :class:`Ear`."""
        quiet = np.zeros(LOOK_HZ // 4)
        padded = np.concatenate([quiet, samples * (0.5 / np.abs(samples).max()), quiet])
        return self._listener.hear((padded * 32767).astype(np.int16), LOOK_HZ)


@pytest.mark.slow
def test_a_recogniser_tells_missing_doubled_and_misread(
    tmp_path: Path,
    clips: list[Sound],
    references: dict[str, npt.NDArray[np.int16]],
    listener: Listener,
) -> None:
    """Another text of the same length, a row left out and one read twice are told apart."""
    other = "Take a shorter step if that hurts."
    faults = Faults(misread={2: other}, missing=(6,), repeats=(7,), coughs=(4,))
    said = read_by_system([other], 140)
    reading = read_aloud(clips, faults, random.Random(9), others={other: said[0]})
    path = tmp_path / "reading.wav"
    soundfile.write(path, reading.samples, RATE_HZ)
    ear: Ear = Recogniser(listener)
    intake = take_in(path, sheet_of(TEXTS), references, rate_hz=SESSION_HZ, ear=ear)
    assert taken(intake) == set(TEXTS) - {TEXTS[2], TEXTS[6]}
    told = {remark.line.text: remark for remark in intake.remarks}
    assert told[TEXTS[2]].fault is Fault.MISREAD
    assert "shorter step" in told[TEXTS[2]].heard.lower()
    assert told[TEXTS[6]].fault is Fault.MISSING
    assert [line.text for line in intake.repeats] == [TEXTS[7]]


def test_where_no_recogniser_listens_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    """It knows English alone; and where it is not installed, how to get it stands there."""
    monkeypatch.setattr(intake_hear, "_is_installed", lambda: True)
    assert installed_ear("en-GB") is not None
    assert why_no_ear("en-GB") == ""
    assert installed_ear("de") is None
    assert "English alone" in why_no_ear("de-AT")
    monkeypatch.setattr(intake_hear, "_is_installed", lambda: False)
    assert installed_ear("en") is None
    assert "pip install faster-whisper" in why_no_ear("en")


class Parrot:
    """An ear that hears what it is told to, call by call."""

    def __init__(self, texts: Sequence[str]) -> None:
        self._texts = iter(texts)

    def hear(self, samples: npt.NDArray[np.float32]) -> str:
        """The next of the texts."""
        assert samples.ndim == 1
        return next(self._texts, "")


def test_an_ear_alone_does_not_reject(
    tmp_path: Path, clips: list[Sound], references: dict[str, npt.NDArray[np.int16]]
) -> None:
    """What a recogniser mishears, but sounds like the row, is still used."""
    path = tmp_path / "reading.wav"
    soundfile.write(path, read_aloud(clips, Faults(), random.Random(5)).samples, RATE_HZ)
    ear = Parrot(["What a nice day it is."])
    intake = take_in(path, sheet_of(TEXTS), references, rate_hz=SESSION_HZ, ear=ear)
    assert taken(intake) >= set(TEXTS) - {TEXTS[0], TEXTS[1]}
