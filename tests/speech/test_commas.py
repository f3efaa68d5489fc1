"""Pauses inside a sentence, in sounds made by hand and as each shipped voice says them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import numpy.typing as npt
import pytest

from breathmark.routine.listening import Hearing
from breathmark.speech.commas import commas_in, with_comma_pauses
from breathmark.speech.listening import as_spoken
from breathmark.speech.profiles import VoiceProfile, load_profile
from breathmark.speech.speaker import Speaker
from breathmark.units import samples

RATE_HZ = 24_000
ONE = (
    "Sit back in your chair, with both heels on the floor.",
    "Slide your left foot straight back, and keep that knee straight.",
    "Lift your toes, then press them down.",
    "You should feel a mild pull in the calf, never a sharp pain.",
    "For an easier way: Take a shorter step back.",
    "If it hurts, make the movement smaller.",
)
Clip = npt.NDArray[np.int16]


def sound(*lengths_ms: int) -> Clip:
    """A tone and silence by turns, each so long."""
    parts = []
    for at, length_ms in enumerate(lengths_ms):
        count = samples(length_ms, RATE_HZ)
        wave = 8_000 * np.sin(2 * np.pi * 200 / RATE_HZ * np.arange(count))
        parts.append(np.rint(wave * (at % 2 == 0)).astype(np.int16))
    return np.concatenate(parts)


def gaps_ms(clip: Clip, *, least_ms: int = 150) -> list[int]:
    """The silences between sound and sound, found in another way: by the samples' size."""
    loud = np.flatnonzero(np.abs(clip.astype(np.int32)) > np.abs(clip).max() / 100)
    between = np.diff(loud) * 1000 // RATE_HZ
    return [int(gap) for gap in between if gap >= least_ms]


@pytest.mark.parametrize("before_ms", [210, 350, 680])
@pytest.mark.parametrize("wished_ms", [250, 350, 500])
def test_a_pause_at_a_comma_is_the_profiles(before_ms: int, wished_ms: int) -> None:
    """Longer or shorter than the voice made it, within 10 ms; no sound is lost."""
    clip = with_comma_pauses(sound(500, before_ms, 400), "One, two.", wished_ms, RATE_HZ)
    assert gaps_ms(clip) == [pytest.approx(wished_ms, abs=10)]
    assert len(clip) == pytest.approx(samples(900 + wished_ms, RATE_HZ), abs=RATE_HZ // 100)


def test_as_many_pauses_as_commas_the_longest() -> None:
    """A silence in a word stays, and so does one that has no comma."""
    said = sound(300, 120, 300, 640, 300, 480, 300, 220, 300)
    clip = with_comma_pauses(said, "One, two, three.", 350, RATE_HZ)
    assert gaps_ms(clip, least_ms=100) == pytest.approx([120, 350, 350, 220], abs=10)


@pytest.mark.parametrize(
    ("lengths_ms", "text"),
    [
        ((500, 600, 500), "Nothing to pause at."),
        ((500, 190, 500), "A voice that runs on, over a comma."),
        ((500,), "No silence, none at all."),
        ((0, 500), "Silence, only."),
        ((500, 600, 500), "It takes 1,000 breaths."),
    ],
)
def test_what_is_no_pause_at_a_comma_is_left_alone(lengths_ms: tuple[int, ...], text: str) -> None:
    said = sound(*lengths_ms)
    assert np.array_equal(with_comma_pauses(said, text, 350, RATE_HZ), said)


def test_marks_are_counted_in_every_language() -> None:
    assert commas_in("Un, deux ; trois : quatre.") == 3
    assert commas_in("Heben, dann senken – und ruhen: 1,5 Minuten.") == 3
    assert commas_in("[[sˈiːtᵻd]] calf stretch.") == 0


@pytest.mark.slow
@pytest.mark.parametrize("voice", ["calm", "clear", "system"])
@pytest.mark.parametrize("hearing", [Hearing.USUAL, Hearing.HARD_OF_HEARING])
def test_a_shipped_voice_pauses_as_its_profile_says(voice: str, hearing: Hearing) -> None:
    """In the finished clips, within 50 ms, and for less long than between two sentences."""
    profile = replace(load_profile(voice), hearing=hearing)
    wished = as_spoken(profile)
    assert wished.comma_pause_ms < wished.sentence_pause_ms
    speaker = Speaker(profile, rate_hz=RATE_HZ, store=None)
    speaker.measure(ONE)
    for line in ONE:
        longest = max(gaps_ms(speaker.clip(line)))
        assert longest == pytest.approx(wished.comma_pause_ms, abs=50), line
    speaker.close()


def test_another_pause_is_another_clip() -> None:
    """What decides the sound names it, so that no clip is taken for another."""
    usual = Speaker(VoiceProfile(name="calm"), rate_hz=RATE_HZ, store=None)
    longer = Speaker(VoiceProfile(name="calm", comma_pause_ms=500), rate_hz=RATE_HZ, store=None)
    assert usual.fingerprint()["comma pause ms"] == "350"
    assert longer.fingerprint()["comma pause ms"] == "500"
