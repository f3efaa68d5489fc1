"""Counted and breathing words on their beat, pauses and pace: measured in the finished MP3.

The limits are the project's own: 40 ms for a beat, 50 ms for a pause, 5 % for a pace.
The file is decoded by ffmpeg, not by what wrote it.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import pytest

from breathmark.pipeline import Order, make
from breathmark.routine.listening import Hearing
from breathmark.script.pacing import AROUND_COUNT_MS
from breathmark.script.session import Purpose, Session, Spoken
from breathmark.speech.finish import LEAD_MS, TRAIL_MS
from breathmark.speech.listening import as_spoken
from breathmark.speech.profiles import VoiceProfile, load_profile
from breathmark.speech.speakable import is_call, sentences, speakable, words_in
from breathmark.speech.speaker import Speaker
from tests.listening import Samples
from tests.outside import decode_with_ffmpeg
from tests.speech.lines import TYPICAL
from tests.speech.reading import RATE_HZ, level_runs_ms, onset_ms

BEAT_MS, PAUSE_MS, PACE = 40, 50, 0.05
ON_THE_BEAT = (Purpose.COUNT, Purpose.BREATHING, Purpose.PHASE)
LOOSE = {"before": "10 s (9 to 90)", "after": "4 s (2 to 90)"}


def routine() -> str:
    """Forty lines two by two, counted repetitions, slow and quick breathing (JSON is YAML)."""
    breathing = {"kind": "breathing", "position": "seated", "breaths": "6", "rests": LOOSE}
    return json.dumps({
        "title": "Beats and pauses",
        "length": "9 min",
        "opening": [" ".join(TYPICAL[at : at + 2]) for at in range(0, 40, 2)],
        "exercises": [
            {"name": "Toe lift", "kind": "reps", "position": "standing", "reps": "20",
             "tempo": {"out": "2 s", "back": "2 s"}, "setup": "Hold the counter.", "rests": LOOSE},
            {"name": "Slow breaths", **breathing, "pattern": {"in": "4 s", "out": "6 s"},
             "setup": "Sit down."},
            {"name": "Quick breaths", **breathing, "pattern": {"in": "1 s", "out": "1 s"},
             "setup": "Stay seated."},
        ],
    }, indent=1)  # fmt: skip


@dataclass(frozen=True, kw_only=True, slots=True)
class Finished:
    """A voice's recording of the routine, decoded again; ``profile`` is slowed for its ears."""

    profile: VoiceProfile
    session: Session
    samples: Samples

    @property
    def named(self) -> str:
        """Voice and ears."""
        return f"{self.profile.name}, {self.profile.hearing}"

    def clip(self, line: Spoken) -> Samples:
        """What is heard from a line's start to its end."""
        return self.samples[line.start : line.end]

    def said(self, *purposes: Purpose) -> list[Spoken]:
        """The lines with one of the purposes."""
        return [line for line in self.session.spoken if line.purpose in purposes]


SPOKEN = [
    *((voice, Hearing.USUAL) for voice in ("calm", "clear", "system")),
    *(("calm", hearing) for hearing in (Hearing.OLDER, Hearing.HARD_OF_HEARING)),
    *((voice, Hearing.HARD_OF_HEARING) for voice in ("clear", "system")),
]
"""Each shipped English voice, and to whose ears it speaks."""


@pytest.fixture(scope="module", params=SPOKEN, ids=" to ".join)
def finished(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Finished:
    """The routine made with a voice for some ears, as MP3, and decoded."""
    voice, hearing = request.param
    folder = tmp_path_factory.mktemp(voice)
    (folder / "beats.yaml").write_text(routine(), encoding="utf-8")
    source = folder / "r-204.yaml"
    source.write_text(f"label: R-204\nroutine: beats.yaml\nhearing: {hearing}\n", "utf-8")
    made = make(Order(source=source, output=folder / "out", voice=voice))
    assert made.session.hearing is hearing
    decoded = decode_with_ffmpeg(next(made.folder.glob("*.mp3")), RATE_HZ)
    profile = as_spoken(replace(load_profile(voice), hearing=hearing))
    return Finished(profile=profile, session=made.session, samples=np.asarray(decoded))


@pytest.mark.slow
def test_words_start_on_their_beat(finished: Finished) -> None:
    """Every count, breathing word and call sounds within 40 ms of its planned sample."""
    lines = finished.said(*ON_THE_BEAT)
    assert len(lines) >= 30
    late = {line.text: onset_ms(finished.clip(line), RATE_HZ) for line in lines}
    assert max(late.values()) <= BEAT_MS, late
    print(f"{finished.named}: beats up to {max(late.values()):.0f} ms late")  # noqa: T201


@pytest.mark.slow
def test_a_word_on_the_beat_never_runs_into_the_next(finished: Finished) -> None:
    """It ends well before the next word or tone; quick breaths get the short words or none."""
    events = finished.session.foreground
    for line, following in pairwise(events):
        if isinstance(line, Spoken) and line.purpose in ON_THE_BEAT:
            room = following.start - line.end
            assert room >= AROUND_COUNT_MS * RATE_HZ // 1000, line
    quick = next(block for block in finished.session.blocks if block.title == "Quick breaths")
    words = {line.text for line in finished.said(Purpose.BREATHING) if line.start >= quick.start}
    assert words <= {"In.", "Out.", "Last breath."}, words
    assert {"In.", "Out."} & words
    slow = {line.text for line in finished.said(Purpose.BREATHING) if line.start < quick.start}
    assert {"Breathe in.", "Breathe out."} <= slow


@pytest.mark.slow
def test_pauses_between_sentences_are_the_profiles(finished: Finished) -> None:
    """The quiet between two sentences of a line, 40 dB below its level, within 50 ms."""
    off = []
    for line in finished.said(Purpose.OPENING):
        count = len(sentences(speakable(line.text, {}))) - 1
        if count:
            quiet = level_runs_ms(finished.clip(line), RATE_HZ, below_db=40)
            off += [run - finished.profile.sentence_pause_ms for run in quiet[:count]]
    assert len(off) >= 15
    assert max(map(abs, off)) <= PAUSE_MS, off
    print(f"{finished.named}: pauses {min(off):+.0f} to {max(off):+.0f} ms")  # noqa: T201


@pytest.mark.slow
def test_the_finished_file_has_the_pace_of_the_profile(finished: Finished) -> None:
    """Words a minute over lines it was not calibrated on, pauses between sentences left out."""
    pause_s = (finished.profile.sentence_pause_ms - LEAD_MS - TRAIL_MS) / 1000
    words, lasts_s = 0, 0.0
    for line in finished.said(Purpose.OPENING):
        said = sentences(speakable(line.text, {}))
        if line.text in routine() and not any(is_call(one) for one in said):
            words += sum(map(words_in, said))
            lasts_s += line.length / RATE_HZ - (len(said) - 1) * pause_s
    pace_wpm = words * 60 / lasts_s
    assert words >= 250
    assert pace_wpm == pytest.approx(finished.profile.pace_wpm, rel=PACE)
    print(f"{finished.named}: {pace_wpm:.1f} words a minute")  # noqa: T201


@pytest.mark.parametrize("voice", ["calm", "clear", "system"])
@pytest.mark.slow
def test_every_count_starts_at_once(voice: str) -> None:
    """The numbers from 1 to 30, and the words for breathing, as finished clips."""
    speaker = Speaker(load_profile(voice), rate_hz=RATE_HZ, store=None)
    lines = [*(f"{number}." for number in range(1, 31)), "Breathe in.", "Breathe out.", "Hold."]
    lines += ["In.", "Out.", "Last one.", "Last breath.", "And back."]
    speaker.measure(lines)
    late = {line: onset_ms(speaker.clip(line), RATE_HZ) for line in lines}
    assert max(late.values()) <= BEAT_MS, late


def test_a_late_word_would_be_noticed() -> None:
    """The measure itself: a tone behind 60 ms of quiet starts 60 ms late, to 10 ms."""
    tone = 8_000 * np.sin(np.arange(RATE_HZ // 4) / 20)
    late = np.concatenate([np.zeros(RATE_HZ * 60 // 1000), tone]).astype(np.int16)
    assert 50 <= onset_ms(late, RATE_HZ) <= 60
