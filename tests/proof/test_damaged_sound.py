"""The proof can fail: damaged sound is found, by the check that is there for it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from breathmark.deliver.audio import FORMATS
from breathmark.proof.check import Check
from breathmark.proof.verify import verify_folder
from breathmark.script.session import Breathed, Sounded, Spoken, Tone
from breathmark.sound.tones import tone
from tests.plan_sessions import RATE_HZ
from tests.proof.results import (
    Result,
    Samples,
    failed,
    small_session,
    small_sound,
)

FULL = 32_767


def events(kind: type[Any]) -> list[Any]:
    return [event for event in small_session().events if isinstance(event, kind)]


def halfway() -> Sounded:
    found: list[Sounded] = [event for event in events(Sounded) if event.tone is Tone.HALFWAY]
    return found[0]


def edited(change: Callable[[Samples], object]) -> Samples:
    """The sound after ``change`` worked on a copy of it."""
    sound = small_sound().copy()
    change(sound)
    return sound


def cleared(start: int, end: int) -> Samples:
    """The sound with nothing from ``start`` to ``end``."""
    return edited(lambda sound: sound[start:end].fill(0))


def moved_tone(by_ms: int) -> Samples:
    event = halfway()
    by = by_ms * RATE_HZ // 1000

    def move(sound: Samples) -> None:
        cut = sound[event.start : event.end].copy()
        sound[event.start : event.end] = 0
        sound[event.start + by : event.end + by] = cut

    return edited(move)


def other_tone() -> Samples:
    event = halfway()

    def swap(sound: Samples) -> None:
        sound[event.start : event.end] = 0
        other = np.rint(tone(Tone.START, RATE_HZ) * FULL).astype(np.int16)
        sound[event.start : event.start + len(other)] = other

    return edited(swap)


def scaled(by_db: float) -> Samples:
    louder = small_sound().astype(float) * 10 ** (by_db / 20)
    return np.clip(np.rint(louder), -FULL, FULL).astype(np.int16)


def clipped() -> Samples:
    """Three full waves at full scale in the middle of a line."""
    line = events(Spoken)[0]
    at = line.start + line.length // 4

    def clip(sound: Samples) -> None:
        sound[at : at + 24] = np.tile([FULL] * 4 + [-FULL] * 4, 3)

    return edited(clip)


def shifted_middle() -> Samples:
    """Half a second of silence put in early and as much cut out late: the length is right."""
    half, early, late = RATE_HZ // 2, 20 * RATE_HZ, 86 * RATE_HZ
    sound = small_sound()
    gap = np.zeros(half, np.int16)
    parts = (sound[:early], gap, sound[early:late], sound[late + half :])
    return np.concatenate(parts)


def muted_line(number: int) -> Samples:
    line = events(Spoken)[number]
    return cleared(line.start, line.end)


def over_a_breath() -> Spoken:
    """A line that is said over a breath."""
    breaths = events(Breathed)
    found: list[Spoken] = [
        line
        for line in small_session().spoken
        if any(breath.start < line.start and line.end < breath.end for breath in breaths)
    ]
    return found[0]


def hushed_over_a_breath() -> Samples:
    """A line over a breath taken away, the breath left as it is under a line."""
    line = over_a_breath()
    hush = 10 ** (-16 / 20)
    rng = np.random.default_rng(3)
    air = rng.normal(0, FULL * 10 ** (-25 / 20) * hush, line.length)

    def take(sound: Samples) -> None:
        sound[line.start : line.end] = air

    return edited(take)


def stray_tone() -> Samples:
    """A soft pip in a rest, where the plan has nothing."""
    at = int(58.5 * RATE_HZ)

    def add(sound: Samples) -> None:
        pip = np.rint(tone(Tone.COUNTDOWN, RATE_HZ) * FULL * 0.03).astype(np.int16)
        sound[at : at + len(pip)] = pip

    return edited(add)


def long_pause() -> Samples:
    """A line whose middle is silent for two seconds, though both its ends are heard."""
    line = max(small_session().spoken, key=lambda spoken: spoken.length)
    middle = line.start + line.length // 2
    return cleared(middle - RATE_HZ, middle + RATE_HZ)


def muted_breath() -> Samples:
    """The last breath taken away behind the line that is said over it."""
    breath = events(Breathed)[-1]
    return cleared(breath.end - breath.length * 7 // 10, breath.end)


SOUND: dict[str, tuple[Callable[[], Samples], set[Check]]] = {
    "one sample short": (lambda: small_sound()[:-1], {Check.LENGTH}),
    "one sample long": (lambda: np.append(small_sound(), np.int16(0)), {Check.LENGTH}),
    "a tone 30 ms late": (lambda: moved_tone(30), {Check.TONES}),
    "a tone 30 ms early": (lambda: moved_tone(-30), {Check.TONES}),
    "a tone missing": (
        lambda: cleared(halfway().start, halfway().end), {Check.TONES, Check.SILENCE},
    ),
    "a tone of another kind": (other_tone, {Check.TONES}),
    "1 dB louder": (lambda: scaled(1.0), {Check.LOUDNESS}),
    "1 dB softer": (lambda: scaled(-1.0), {Check.LOUDNESS}),
    "a clipped peak": (clipped, {Check.PEAK}),
    "a second of silence shifts the middle": (
        shifted_middle, {Check.TONES, Check.LINES, Check.QUIET, Check.SILENCE},
    ),
    "a line muted": (lambda: muted_line(2), {Check.LINES, Check.SILENCE}),
    "a one-word line muted": (lambda: muted_line(4), {Check.LINES, Check.SILENCE}),
    "a line over a breath gone": (hushed_over_a_breath, {Check.LINES}),
    "the first half second of a line gone": (
        lambda: cleared(events(Spoken)[0].start, events(Spoken)[0].start + RATE_HZ // 2),
        {Check.LINES, Check.SILENCE},
    ),
    "the end of a line gone": (
        lambda: cleared(events(Spoken)[0].end - 3 * RATE_HZ // 4, events(Spoken)[0].end),
        {Check.LINES, Check.SILENCE},
    ),
    "a hole in a line": (long_pause, {Check.SILENCE}),
    "a breath gone": (muted_breath, {Check.BREATHS, Check.SILENCE}),
    "a soft pip where nothing is planned": (stray_tone, {Check.QUIET}),
    "all of it gone": (
        lambda: np.zeros_like(small_sound()),
        {Check.TONES, Check.LINES, Check.BREATHS, Check.SILENCE, Check.LOUDNESS},
    ),
}  # fmt: skip


@pytest.mark.parametrize("damage", SOUND)
def test_damaged_sound_is_found(damage: str, tmp_path: Path) -> None:
    """Sound that differs from the plan fails the check for it, and no other."""
    make, due = SOUND[damage]
    folder = Result(session=small_session(), sound=make(), formats=("wav",)).written(tmp_path)
    assert failed(verify_folder(folder)) == due


@pytest.mark.parametrize("damage", ["one sample short", "one sample long", "a tone 30 ms late"])
@pytest.mark.parametrize("format", FORMATS)
def test_every_format_is_heard(format: str, damage: str, tmp_path: Path) -> None:
    """The same damage is found in each format."""
    make, due = SOUND[damage]
    folder = Result(session=small_session(), sound=make(), formats=(format,)).written(tmp_path)
    assert failed(verify_folder(folder)) >= due
