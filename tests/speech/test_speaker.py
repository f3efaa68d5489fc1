"""The speaker: only what is missing is synthesised, and nothing private is kept."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

import numpy as np
import pytest

from breathmark.problems import Fault
from breathmark.speech import speaker as speaker_module
from breathmark.speech.engines.base import RawSpeech, UnspeakableError
from breathmark.speech.finish import LEAD_MS, TRAIL_MS
from breathmark.speech.profiles import VoiceProfile
from breathmark.speech.speaker import Speaker
from breathmark.speech.store import ClipStore

RATE = 24_000
MORNING = "Good morning, R. Sit tall."


class Whistle:
    """An engine that whistles: 10 ms a letter, the last sentence first."""

    model = "whistle"

    def __init__(self) -> None:
        self.said: list[str] = []
        self.broken = False
        self.closed = 0

    def fingerprint(self) -> Mapping[str, str]:
        return {"engine": "whistle", "model": self.model}

    def speak(self, sentences: Sequence[str]) -> Iterator[tuple[int, RawSpeech]]:
        for index, text in reversed(list(enumerate(sentences))):
            if self.broken:
                raise Fault("the whistle broke")
            self.said.append(text)
            at = np.arange(240 * len(text))
            yield index, RawSpeech((0.3 * np.sin(at / 20)).astype(np.float32), RATE)

    def close(self) -> None:
        self.closed += 1


@pytest.fixture
def whistle(monkeypatch: pytest.MonkeyPatch) -> Whistle:
    """The engine behind every speaker of the test."""
    whistle = Whistle()
    monkeypatch.setattr(speaker_module, "engine_for", lambda _profile, _setting: whistle)
    return whistle


def speaker(
    store: Path | None, *, pause_ms: int = 600, private: frozenset[str] = frozenset()
) -> Speaker:
    """A speaker over the store in a folder."""
    profile = VoiceProfile(name="test", sentence_pause_ms=pause_ms, calibrated=None)
    kept = ClipStore(store) if store else None
    return Speaker(profile, rate_hz=RATE, store=kept, private=private)


@pytest.fixture(autouse=True)
def no_calibration(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whistles have no pace."""
    monkeypatch.setattr(speaker_module, "setting_for", lambda _profile, _store: (1.0, ()))


def test_lengths_are_those_of_the_clips(whistle: Whistle, tmp_path: Path) -> None:
    """Measured before planning, the same when mixing."""
    lines = ["Up.", "Sit tall. Lift your toes.", "Up."]
    voice = speaker(tmp_path)
    lengths = voice.measure(lines)
    assert list(lengths) == ["Up.", "Sit tall. Lift your toes."]
    assert lengths == {line: len(voice.clip(line)) for line in lengths}
    assert whistle.closed >= 1


def test_a_sentence_is_synthesised_once(whistle: Whistle, tmp_path: Path) -> None:
    """Within a run for all lines that hold it."""
    speaker(tmp_path).measure(["Up. Down.", "Down. Up.", "Up. Up."])
    assert sorted(whistle.said) == ["Down.", "Up."]


def test_what_the_store_has_is_not_synthesised(whistle: Whistle, tmp_path: Path) -> None:
    """Only a changed line is."""
    before = speaker(tmp_path).measure(["Sit tall.", "Up."])
    whistle.said.clear()
    after = speaker(tmp_path).measure(["Sit tall.", "Up.", "Down."])
    assert whistle.said == ["Down."]
    assert before.items() <= after.items()


def test_a_pause_between_sentences_is_to_the_sample(whistle: Whistle, tmp_path: Path) -> None:
    """Another pause is another clip, by exactly the difference; one sentence is the same."""
    assert whistle.said == []
    lines = ["Up. Down.", "Up."]
    short = speaker(tmp_path, pause_ms=600).measure(lines)
    long = speaker(tmp_path, pause_ms=900).measure(lines)
    assert long["Up. Down."] - short["Up. Down."] == 300 * RATE // 1000
    assert long["Up."] == short["Up."] == (LEAD_MS + 30 + TRAIL_MS) * RATE // 1000
    assert whistle.said.count("Up.") == 2  # once for "Up. Down." at each pause


def test_progress_counts_the_missing_lines(whistle: Whistle, tmp_path: Path) -> None:
    """From one to all, and not a word when nothing is missing."""
    told: list[tuple[int, int]] = []
    lines = ["Up.", "Down.", "Up. Down."]
    speaker(tmp_path).measure(lines, lambda done, total: told.append((done, total)))
    assert told == [(1, 3), (2, 3), (3, 3)]
    told.clear()
    speaker(tmp_path).measure(lines, lambda done, total: told.append((done, total)))
    assert told == []
    assert len(whistle.said) == 2


def test_private_lines_never_reach_the_disk(whistle: Whistle, tmp_path: Path) -> None:
    """They are kept in memory, made once, and gone with the speaker."""
    voice = speaker(tmp_path, private=frozenset({MORNING}))
    lengths = voice.measure([MORNING])
    assert len(voice.clip(MORNING)) == lengths[MORNING]
    assert len(whistle.said) == 2
    assert list(tmp_path.rglob("*")) == []
    speaker(tmp_path).measure([MORNING])
    assert len(list(tmp_path.rglob("??/*"))) == 1  # the check sees a line that is not private


@pytest.mark.parametrize("damage", [lambda path: path.unlink(), lambda path: path.write_bytes(b"")])
def test_a_clip_that_is_lost_is_made_again(
    whistle: Whistle, tmp_path: Path, damage: object
) -> None:
    """Between measuring and mixing, by another program or a disk."""
    lengths = speaker(tmp_path).measure(["Sit tall."])
    voice = speaker(tmp_path)
    for path in tmp_path.glob("??/*"):
        assert callable(damage)
        damage(path)
    assert len(voice.clip("Sit tall.")) == lengths["Sit tall."]
    assert whistle.said == ["Sit tall.", "Sit tall."]


def test_without_a_store_memory_will_do(whistle: Whistle) -> None:
    """A build without a place for clips is still a build."""
    voice = speaker(None)
    lengths = voice.measure(["Up.", "Down."])
    assert {line: len(voice.clip(line)) for line in lengths} == lengths
    assert len(whistle.said) == 2


def test_a_store_that_cannot_be_written_is_told_and_done_without(
    whistle: Whistle, tmp_path: Path
) -> None:
    """The clips are made: a full disk elsewhere must not stop the build."""
    (tmp_path / "store").write_text("a file, not a folder")
    voice = speaker(tmp_path / "store")
    lengths = voice.measure(["Up.", "Down."])
    assert {line: len(voice.clip(line)) for line in lengths} == lengths
    assert len(whistle.said) == 2
    assert "cannot be written" in voice.notes[0]
    assert len(voice.notes) == 1


def test_a_line_without_a_word_is_refused_before_anything_is_said(
    whistle: Whistle, tmp_path: Path
) -> None:
    """With the line in the message."""
    with pytest.raises(UnspeakableError, match=r"`\.\.\.`"):
        speaker(tmp_path).measure(["Up.", "..."])
    assert whistle.said == []


def test_an_engine_that_fails_is_closed(whistle: Whistle, tmp_path: Path) -> None:
    """Its fault comes through, and its memory goes back."""
    whistle.broken = True
    with pytest.raises(Fault, match="broke"):
        speaker(tmp_path).measure(["Up."])
    assert whistle.closed == 1


def test_the_record_can_say_which_voice_it_was(whistle: Whistle) -> None:
    """Engine, model, pace and pauses, all as text."""
    told = speaker(None).fingerprint()
    assert told["voice"] == "test"
    assert told["engine"] == whistle.model
    assert told["sentence pause ms"] == "600"


def test_a_twin_knows_the_voice_but_nothing_private_of_the_other(
    whistle: Whistle, tmp_path: Path
) -> None:
    """The engine is loaded once for all; each private line is made for its own twin alone."""
    first = speaker(tmp_path).with_private(frozenset({MORNING}))
    first.measure([MORNING, "Heels down."])
    second = first.with_private(frozenset({"Hello, S."}))
    assert MORNING not in repr(vars(second))
    said = list(whistle.said)
    second.measure(["Heels down.", "Hello, S."])
    assert whistle.said[len(said) :] == ["Hello, S."]
    assert whistle.closed == 0
    third = second.with_private(frozenset({"Hello, S."}))
    third.measure(["Hello, S."])
    assert whistle.said.count("Hello, S.") == 1, "what is private to both is made once"
    assert b"BRMCLIP1" in next(tmp_path.rglob("??/*")).read_bytes()
    assert len(list(tmp_path.rglob("??/*"))) == 1, "nothing private reached the disk"
    third.close()
    assert whistle.closed == 1


@pytest.mark.usefixtures("whistle")
def test_the_identity_tells_voices_apart(tmp_path: Path) -> None:
    """The same for the same voice, another for another pause."""
    assert speaker(tmp_path).identity() == speaker(None).identity()
    assert speaker(None).identity() != speaker(None, pause_ms=700).identity()
