"""Small result folders for the tests of the proof: good ones, and ones made wrong on purpose.

The voice is made here: a buzz through two moving resonances, with a breathy beginning,
a hiss at the end and a pause between sentences, levelled as clips are.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from breathmark.deliver.audio import Chapter, Recording, Tags, open_writer
from breathmark.deliver.captions import captions_text, captions_vtt
from breathmark.deliver.plan_json import plan_to_json
from breathmark.deliver.record import STANDING, described_files
from breathmark.proof.check import Check, Report
from breathmark.routine.model import Side
from breathmark.script.session import Activity, Purpose, Session, Spoken
from breathmark.sound.levelling import levelled
from breathmark.sound.mix import Mix
from tests.plan_sessions import RATE_HZ, Sketch

Samples = NDArray[np.int16]
SPEECH_DBFS = -22.0
NAME = "steady"


@cache
def small_session() -> Session:
    """Not a minute and a half, with everything in it: holds, both sides, breaths, a silence."""
    sketch = Sketch()
    sketch.opening(8, "Steady on your feet. This session is short.")
    sketch.lead_in(9, "calf stretch", "Slide your left foot back. Keep that knee straight.")
    for side, hold_s in ((Side.LEFT, 20), (Side.RIGHT, 9)):
        sketch.hold(hold_s, side, 1, "Back heel heavy & low.")
        sketch.rest(5, "Now change over.", Activity.SIDE_CHANGE)
    sketch.chapter("Calf stretch, both sides", 0)
    sketch.lead_in(5, "slow breathing")
    sketch.breaths(2, 3, 4)
    sketch.rest(6)
    sketch.chapter("Slow breathing – Atem", 1)
    sketch.say(1, "Well done.", Purpose.CLOSING)
    sketch.closing(88, "Sit for a minute before you go on with your day.")
    return sketch.finished("Steady on your feet")


@cache
def brief_session() -> Session:
    """A quarter of a minute in four chapters, for tests of what is around the sound."""
    sketch = Sketch()
    sketch.opening(2.5, "Sit down.")
    sketch.lead_in(2.5, "toes")
    sketch.reps(1, 2, None, 1)
    sketch.rest(2)
    sketch.chapter("Toes – Zehen", 0)
    sketch.lead_in(2, "heels & toes")
    sketch.chapter("Heels & toes", 1)
    sketch.closing(14.5, "Well done.")
    return sketch.finished("Toes & heels")


def voice(line: Spoken) -> Samples:
    """A clip for a line, exactly as long; other words sound different."""
    length, lead, trail = line.length, RATE_HZ * 15 // 1000, RATE_HZ * 40 // 1000
    rng = np.random.default_rng(sum(map(ord, line.text)) + length)
    times = np.arange(length) / RATE_HZ
    pitch = 110 + 12 * np.sin(2 * np.pi * 0.7 * times + rng.uniform(0, 6))
    turns = np.cumsum(pitch) / RATE_HZ
    formants = (500 + 200 * np.sin(2 * np.pi * 1.9 * times), 1500 + 500 * np.sin(9 * times))
    sound = np.zeros(length)
    for harmonic in range(1, 30):
        hz = harmonic * pitch
        weight = sum(1 / (1 + ((hz - formant) / 150) ** 2) for formant in formants)
        sound += weight * np.cos(2 * np.pi * harmonic * turns + harmonic**2)
    sound *= 0.55 + 0.45 * np.sin(2 * np.pi * 4 * times)  # syllables
    hiss = RATE_HZ * 80 // 1000
    sound[: lead + hiss] = sound[-trail - hiss :] = 0
    soft = 0.004 * np.abs(sound).max()
    sound[lead : lead + hiss] = rng.normal(0, soft, hiss)
    sound[-trail - hiss : -trail] = rng.normal(0, soft, hiss)
    if line.text.count(".") > 1:
        middle, pause = length // 2, RATE_HZ * 6 // 10
        sound[middle : middle + pause] = 0
    active = sound[np.abs(sound) > 0]
    sound *= 10 ** (SPEECH_DBFS / 20) / np.sqrt(np.mean(active**2))
    return np.rint(sound * 32767).astype(np.int16)


def small_sound() -> Samples:
    """The small session as it should sound."""
    return sound_of(small_session())


@cache
def sound_of(session: Session) -> Samples:
    """A session as it should sound; read-only."""
    whole = np.concatenate(list(levelled(Mix(session, voice)).blocks()))
    whole.flags.writeable = False
    return whole


@dataclass(frozen=True, kw_only=True, slots=True)
class Result:
    """What goes into a folder; every field can be replaced by something wrong.

    ``session`` is the plan that is written down, ``sound`` what is heard when that is
    something else.
    """

    session: Session = field(default_factory=brief_session)
    sound: Samples | None = None
    chapters: tuple[Chapter, ...] | None = None
    tags: Tags | None = None
    lyrics: str | None = None
    captions: str | None = None
    cover: bytes | None = None
    formats: Sequence[str] = ("mp3",)
    exercises: Sequence[dict[str, Any]] = ()
    """What the record says about the exercises."""
    after: Callable[[Path], None] = field(default=lambda _folder: None)
    """What happens to the folder before the record is written."""

    def written(self, folder: Path) -> Path:
        """Write the folder, the record last, and return it."""
        folder.mkdir(parents=True, exist_ok=True)
        for name in self.formats:
            self._write_sound(folder / f"{NAME}.{name}", name)
        captions = captions_vtt(self.session) if self.captions is None else self.captions
        _write(folder / "captions.vtt", captions)
        _write(folder / "plan.json", plan_to_json(self.session))
        self.after(folder)
        write_record(folder, self.exercises)
        return folder

    def _write_sound(self, path: Path, name: str) -> None:
        session = self.session
        sound = sound_of(session) if self.sound is None else self.sound
        chapters = self.chapters
        if chapters is None:
            chapters = planned_chapters(session, len(sound))
        recording = Recording(
            rate_hz=session.rate_hz,
            length=len(sound),
            chapters=chapters,
            tags=planned_tags(session) if self.tags is None else self.tags,
            cover=self.cover,
            lyrics=captions_text(session) if self.lyrics is None else self.lyrics,
        )
        with open_writer(name, path, recording) as writer:
            writer.add(sound)


def planned_chapters(session: Session, length: int | None = None) -> tuple[Chapter, ...]:
    """The blocks of a session as chapters, none past ``length``."""
    end = session.length if length is None else length
    return tuple(
        Chapter(title=block.title, start=block.start, length=min(block.end, end) - block.start)
        for block in session.blocks
    )


def planned_tags(session: Session) -> Tags:
    """The tags as a build writes them."""
    return Tags(title=session.title, comment=STANDING, language=session.language)


def write_record(folder: Path, exercises: Sequence[dict[str, Any]] = ()) -> None:
    """A record that agrees with whatever is in the folder."""
    record: dict[str, Any] = {"made by": "the tests", "files": described_files(folder)}
    record["exercises"] = list(exercises)
    _write(folder / "record.json", json.dumps(record))


def failed(report: Report) -> set[Check]:
    """The checks that failed in any file."""
    return {finding.check for finding in report.failed}


def _write(path: Path, text: str) -> None:
    path.write_text(text, encoding="utf-8", newline="\n")
