"""A recorded voice: its clips on disk, and a speaker that falls back line by line."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from breathmark.problems import Fault, InputProblems, UsageProblem
from breathmark.speech.finish import LEAD_MS, TRAIL_MS
from breathmark.speech.profiles import (
    COMMA_PAUSE_MS,
    RECORDED,
    VoiceProfile,
    load_profile,
    read_profile,
)
from breathmark.speech.recorded import (
    INDEX_NAME,
    PRIVATE_NAME,
    Recordings,
    load_recordings,
    profile_text,
    require_voice_name,
    store_clips,
)
from breathmark.speech.recorded_speaker import RecordedSpeaker, speaker_for
from breathmark.speech.sheet import SheetLine
from breathmark.speech.speaker import Clip
from breathmark.units import samples
from tests.sound.signals import sine

RATE_HZ = 24_000
OTHER = VoiceProfile(name="system", engine="system")


def clip(hz: float = 300.0, seconds: float = 0.5) -> Clip:
    """A tone for a voice."""
    return (sine(hz, -10.0, seconds, 48_000) * 32767).astype(np.int16)


def row(text: str, *, private: bool = False) -> SheetLine:
    """A row of a sheet."""
    return SheetLine(label="1", text=text, private=private)


def stored(folder: Path, *texts: str, private: str = "") -> Recordings:
    """Some rows, recorded as tones."""
    rows = [row(text) for text in texts] + ([row(private, private=True)] if private else [])
    clips = [(line, clip(200.0 + 50 * at)) for at, line in enumerate(rows)]
    return store_clips(folder / "mine", clips, profile=profile_text("mine", OTHER))


def own_speaker(folder: Path) -> RecordedSpeaker:
    """The recorded voice of a folder, as commands get it."""
    profile = load_profile("mine", (folder,))
    speaker = speaker_for(
        profile, (folder, Path(__file__).resolve().parents[2] / "voices"),
        rate_hz=RATE_HZ, store=None,
    )  # fmt: skip
    assert isinstance(speaker, RecordedSpeaker)
    return speaker


def test_what_is_stored_is_found_again(tmp_path: Path) -> None:
    """Clips come back by their text, whatever its spaces; another text is not there."""
    kept = stored(tmp_path, "Sit tall.", "Breathe out.")
    again = load_recordings(tmp_path / "mine")
    assert again == kept
    assert again.says("Sit  tall. Breathe out.")
    assert not again.says("Sit tall. Stand up.")
    assert not again.says("…")
    raw = again.read("Sit tall.")
    assert raw is not None
    assert raw.rate_hz == 48_000
    assert np.array_equal(np.rint(raw.samples * 32768).astype(np.int16), clip(200.0))


def test_a_second_recording_adds_and_replaces(tmp_path: Path) -> None:
    """What is read again takes the place of the old clip, whose file goes."""
    stored(tmp_path, "Sit tall.", "Breathe out.")
    store_clips(tmp_path / "mine", [(row("Sit tall."), clip(700.0))], profile="")
    again = load_recordings(tmp_path / "mine")
    assert set(again.clips) == {"Sit tall.", "Breathe out."}
    files = {path.name for path in (tmp_path / "mine").glob("*.wav")}
    assert files == {entry.file for entry in again.clips.values()}
    profile = read_profile(tmp_path / "mine.yaml")
    assert (profile.engine, profile.clips, profile.otherwise) == (RECORDED, "mine", "system")


def test_nothing_of_a_failed_recording_comes_in(tmp_path: Path) -> None:
    """When writing stops half-way, the index is the old one and the profile too."""
    stored(tmp_path, "Sit tall.")
    before = (tmp_path / "mine" / INDEX_NAME).read_bytes()

    def clips() -> object:
        yield row("Breathe out."), clip(400.0)
        raise OSError(28, "No space left on device")

    with pytest.raises(Fault, match="No space"):
        store_clips(tmp_path / "mine", clips(), profile="")  # type: ignore[arg-type]
    assert (tmp_path / "mine" / INDEX_NAME).read_bytes() == before
    assert load_recordings(tmp_path / "mine").read("Sit tall.") is not None


def test_a_patients_line_leaves_no_words(tmp_path: Path) -> None:
    """A private row is found by its text, but no file or index tells what it says."""
    kept = stored(tmp_path, "Sit tall.", private="Good morning, Sam.")
    assert kept.has("Good morning, Sam.")
    for path in tmp_path.rglob("*"):
        assert "Sam" not in path.name
        assert not path.is_file() or b"Sam" not in path.read_bytes()
    folder = tmp_path / "mine" / PRIVATE_NAME
    assert len(list(folder.glob("*.wav"))) == 1
    assert (folder / ".gitignore").read_text() == "*\n"
    assert kept.fingerprint() == stored(tmp_path / "other", "Sit tall.").fingerprint()


@pytest.mark.parametrize(
    "text", ["", "{}", "[]", '{"clips": {"a": {"file": "../x.wav"}}}', "{", "[" * 200_000]
)
def test_a_damaged_index_is_said(tmp_path: Path, text: str) -> None:
    """An index that is not ours is no empty voice, and names no file elsewhere."""
    stored(tmp_path, "Sit tall.")
    (tmp_path / "mine" / INDEX_NAME).write_text(text)
    with pytest.raises(Fault, match="damaged"):
        load_recordings(tmp_path / "mine")


def test_each_line_is_said_by_who_can(tmp_path: Path) -> None:
    """Recorded lines in the own voice, all others in the other one; both are told."""
    stored(tmp_path, "Sit tall.", "Breathe out.")
    speaker = own_speaker(tmp_path)
    lines = ["Sit tall.", "Stand up.", "Breathe out."]
    assert [speaker.voice_of(line) for line in lines] == ["mine", "system", "mine"]
    lengths = speaker.measure(lines)
    assert all(len(speaker.clip(line)) == lengths[line] for line in lines)
    assert abs(lengths["Sit tall."] - samples(500 + LEAD_MS + TRAIL_MS, RATE_HZ)) < RATE_HZ // 50
    assert [one["voice"] for one in speaker.fingerprints()] == ["mine", "system"]
    assert speaker.fingerprint()["clips"] == "2"


def test_pieces_are_joined_with_their_pauses(tmp_path: Path) -> None:
    """Sentences with the profile's pause, breaths of one sentence with a short one."""
    long = (
        "Stand beside the counter with one hand on it, keep the chair behind you and the other "
        "hand free."
    )
    long_parts = (
        "Stand beside the counter with one hand on it,",
        "keep the chair behind you and the other hand free.",
    )
    stored(tmp_path, "Sit tall.", "Breathe out.",
           *long_parts)  # fmt: skip
    speaker = own_speaker(tmp_path)
    one, two = (len(speaker.clip(text)) for text in ("Sit tall.", "Breathe out."))
    edges = samples(LEAD_MS + TRAIL_MS, RATE_HZ)
    assert len(speaker.clip("Sit tall. Breathe out.")) == one + two + samples(600, RATE_HZ) - edges
    assert speaker.voice_of(long) == "mine"
    parts = [len(speaker.clip(text)) for text in long_parts]
    pause = samples(COMMA_PAUSE_MS, RATE_HZ)
    assert len(speaker.clip(long)) == sum(parts) + pause - edges


def test_a_damaged_clip_is_told_and_not_used(tmp_path: Path) -> None:
    """A clip that changed on disk is said by the other voice; a note tells so."""
    kept = stored(tmp_path, "Sit tall.", "Breathe out.")
    (tmp_path / "mine" / kept.clips["Sit tall."].file).write_bytes(b"RIFF")
    speaker = own_speaker(tmp_path)
    assert speaker.voice_of("Sit tall.") == "system"
    assert speaker.voice_of("Breathe out.") == "mine"
    assert ["Sit tall." in note for note in speaker.notes] == [True]


def test_an_old_clip_that_is_being_played_is_no_obstacle(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Windows removes nothing that is open; the new clip is in place already."""
    stored(tmp_path, "Sit tall.")
    remove = Path.unlink

    def held(self: Path, missing_ok: bool = False) -> None:
        if self.suffix == ".wav":
            raise PermissionError(13, "in use")
        remove(self, missing_ok=missing_ok)

    monkeypatch.setattr(Path, "unlink", held)
    (tmp_path / "mine" / ("0" * 20 + ".wav")).write_bytes(b"old")
    assert stored(tmp_path, "Sit tall.").has("Sit tall.")


def test_a_patients_clip_stays_with_its_note(tmp_path: Path) -> None:
    """The note on a damaged private clip does not tell its words."""
    stored(tmp_path, "Sit tall.", private="Good morning, Sam.")
    for path in (tmp_path / "mine" / PRIVATE_NAME).glob("*.wav"):
        path.write_bytes(b"")
    speaker = own_speaker(tmp_path).with_private(frozenset({"Good morning, Sam."}))
    assert speaker.voice_of("Good morning, Sam.") == "system"
    assert speaker.notes
    assert "Sam" not in "".join(speaker.notes)


@pytest.mark.parametrize("name", ["", "Mine", "my voice", "../x", "lexicon-en", "con", "a" * 41])
def test_a_name_that_cannot_be_a_file_is_refused(name: str) -> None:
    """The name becomes a file and a folder on every system."""
    with pytest.raises(UsageProblem, match="no name for a voice"):
        require_voice_name(name)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("about: a\nengine: piper\nclips: mine\n", "belongs to the engine"),
        ("about: a\nengine: recorded\nclips: ../mine\n", "not the name of a folder"),
        ("about: a\nengine: recordd\n", "recorded"),
    ],
)
def test_a_wrong_profile_is_told_by_line(tmp_path: Path, text: str, message: str) -> None:
    """The keys of a recorded voice are checked like all others."""
    path = tmp_path / "mine.yaml"
    path.write_text(text)
    with pytest.raises(InputProblems, match=message):
        read_profile(path)


def test_a_recorded_voice_cannot_fall_back_to_another(tmp_path: Path) -> None:
    """The voice for what lacks must be able to say everything, in the same language."""
    (tmp_path / "mine.yaml").write_text("about: a\nengine: recorded\notherwise: yours\n")
    (tmp_path / "yours.yaml").write_text("about: a\nengine: recorded\n")
    with pytest.raises(UsageProblem, match="recorded itself"):
        own_speaker(tmp_path)
    (tmp_path / "mine.yaml").write_text("about: a\nengine: recorded\notherwise: nobody\n")
    with pytest.raises(UsageProblem, match="nobody"):
        own_speaker(tmp_path)
    (tmp_path / "mine.yaml").write_text(
        "about: a\nengine: recorded\nlanguage: de\notherwise: calm\n"
    )
    with pytest.raises(UsageProblem, match="speaks `en`"):
        own_speaker(tmp_path)


def test_the_index_is_plain(tmp_path: Path) -> None:
    """A clinician can read which text is which file."""
    kept = stored(tmp_path, "Sit tall.")
    document = json.loads((tmp_path / "mine" / INDEX_NAME).read_text(encoding="utf-8"))
    assert document["clips"]["Sit tall."]["file"] == kept.clips["Sit tall."].file
