"""A plain listener tells the four tones apart, in noise and with old ears, and from alarms."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np
import pytest

from breathmark.script.session import Tone
from tests.sound.tone_listener import (
    RATE_HZ,
    ToneListener,
    Wave,
    alarm,
    caution,
    pulses,
    scene,
    speech_shaped,
    to_old_ear,
    tone_wave,
)

TONES = {kind.value: tone_wave(kind) for kind in Tone}
PATTERNS = {
    "alarm of three": alarm(500, 180, 180, ten=False),
    "alarm of ten": alarm(500, 120, 80, ten=True),
    "weak caution": caution(2000, 500, 200),
    "strong caution": caution(2000, 100, 100),
}
"""What it learned beside the tones; it is tried with other pitches and other times."""

PITCHES_HZ = (800, 1080, 1200, 1250, 1440, 1600, 1667, 2000)
"""Of cautions: those of our tones among them."""


@pytest.fixture(scope="module")
def listener() -> ToneListener:
    """It knows our tones and what they must not be taken for."""
    return ToneListener.taught(TONES | PATTERNS)


def as_it_is(heard: Wave) -> Wave:
    """A scene as a young ear takes it."""
    return heard


def level_dbfs(sound: Wave) -> float:
    """The level of the first tenth of a second, or of all of a shorter sound."""
    return float(10 * np.log10(np.mean(sound[: RATE_HZ // 10] ** 2)))


@pytest.mark.parametrize("ear", [as_it_is, to_old_ear])
@pytest.mark.parametrize("snr_db", [15, 5, 0])
def test_the_four_are_told_apart_without_error(
    listener: ToneListener, ear: Callable[[Wave], Wave], snr_db: int
) -> None:
    """In speech-shaped noise as loud as the tone, at any moment, at 18 and at 80 years."""
    chance = np.random.default_rng(snr_db)
    for seed in range(6):
        for name, sound in TONES.items():
            noise = speech_shaped(level_dbfs(sound) - snr_db, seed)
            heard = ear(scene(sound, chance.uniform(0, 1), noise))
            assert listener.hear(heard)[0] == name


def foreign() -> Iterator[tuple[str, Wave]]:
    """Alarms and cautions of other pitches and times than those that were learned."""
    for hz in (150, 262, 440, 523, 880, 1000):
        for pulse_ms, spacing_ms in ((125, 125), (200, 150), (250, 250)):
            yield "alarm of three", alarm(hz, pulse_ms, spacing_ms, ten=False)
        for pulse_ms, spacing_ms in ((75, 50), (120, 100), (200, 125)):
            yield "alarm of ten", alarm(hz, pulse_ms, spacing_ms, ten=True)
    for hz in PITCHES_HZ:
        yield "weak caution", caution(hz, 500, 200)
        yield "strong caution", caution(hz, 100, 100)


@pytest.mark.parametrize("snr_db", [20, 0])
def test_no_alarm_or_caution_is_taken_for_a_tone(listener: ToneListener, snr_db: int) -> None:
    """IEC 60601-1-8 and ISO 24500 (second-hand), at the pitches of our tones, too."""
    chance = np.random.default_rng(snr_db)
    for seed, (name, sound) in enumerate(foreign()):
        loud = sound * 0.2
        heard = scene(loud, chance.uniform(0, 1), speech_shaped(level_dbfs(loud) - snr_db, seed))
        assert listener.hear(heard)[0] not in TONES, name


def test_patterns_are_known_when_they_are_heard(listener: ToneListener) -> None:
    """So that not to name a tone for one is more than not to hear it."""
    for name, sound in PATTERNS.items():
        for seed in range(3):
            assert listener.hear(scene(sound * 0.2, 0.1, speech_shaped(-40, seed)))[0] == name


def test_in_noise_alone_it_hears_nothing(listener: ToneListener) -> None:
    assert {listener.hear(speech_shaped(-20, seed))[0] for seed in range(10)} == {""}


def test_it_does_mix_up_what_is_alike(listener: ToneListener) -> None:
    """A countdown as high as the start would be taken for it; one tone after the other is none."""
    high = pulses(1600, [(0, 60)]) * 0.2
    assert listener.hear(scene(high, 0.5, speech_shaped(-40, 1)))[0] == "start"
    pair = scene(TONES["start"], 0.2, scene(TONES["end"], 0.8, speech_shaped(-40, 1)))
    assert (
        listener.hear(pair)[1] < listener.hear(scene(TONES["end"], 0.8, speech_shaped(-40, 1)))[1]
    )
