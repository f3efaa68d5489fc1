"""Onsets are found where they are, in MP3 too, and not found where they are not."""

from __future__ import annotations

import io
from typing import Any

import av
import numpy as np
import pytest
from numpy.typing import NDArray

from breathmark.script.session import Breath, Breathed, Event, Sounded, Tone
from breathmark.sound.levelling import levelled
from breathmark.sound.mix import Mix
from breathmark.sound.onsets import find_onset
from breathmark.sound.tones import tone
from tests.sound.signals import babble
from tests.sound.test_levelling import voice
from tests.sound.test_mix import rendered, session, sounded, spoken

RATE = 24_000
WINDOW = 480  # 20 ms
KINDS = pytest.mark.parametrize("kind", list(Tone))


def with_tones() -> Mix:
    """All four tones with a line close behind, over breath and in the clear."""
    events: list[Event] = []
    for n, kind in enumerate([*Tone, *Tone]):
        start = n * 5 * RATE + 13 * n + 5
        event = sounded(start + 2 * RATE, kind)
        events += [spoken(start, RATE), event, spoken(event.end, RATE)]
        if n >= 4:
            events.append(Breathed(start=start, length=4 * RATE, direction=Breath.IN))
    return Mix(session(40 * RATE, events), voice)


def through_mp3(samples: NDArray[np.int16], kbits: int = 64) -> NDArray[np.float32]:
    """Encoded by LAME and decoded again, both through PyAV."""
    file = io.BytesIO()
    with av.open(file, "w", format="mp3") as container:
        stream: Any = container.add_stream("libmp3lame", rate=RATE)
        stream.layout, stream.format, stream.bit_rate = "mono", "s16p", kbits * 1000
        for start in range(0, len(samples), 576):
            frame = av.AudioFrame.from_ndarray(
                samples[None, start : start + 576], format="s16p", layout="mono"
            )
            frame.sample_rate, frame.pts = RATE, start
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    with av.open(io.BytesIO(file.getvalue()), "r") as finished:
        frames = [frame.to_ndarray()[0] for frame in finished.decode(audio=0)]
    return np.concatenate(frames).astype(np.float32)


def errors(samples: NDArray[Any], mix: Mix) -> list[int]:
    """How far from the plan each tone is found; a missing one fails."""
    planned = [event for event in mix.session.events if isinstance(event, Sounded)]
    found = [find_onset(samples, e.tone, RATE, e.start, WINDOW) for e in planned]
    assert None not in found
    return [at - e.start for at, e in zip(found, planned, strict=True) if at is not None]


def test_on_the_clean_mix_onsets_are_exact() -> None:
    """The goal is 3 ms; it is the sample."""
    assert errors(rendered(with_tones()), with_tones()) == [0] * 8


@pytest.mark.parametrize("kbits", [32, 64, 128])
def test_in_decoded_mp3_onsets_are_within_a_millisecond(kbits: int) -> None:
    """The goal is 10 ms."""
    final = np.concatenate(list(levelled(with_tones()).blocks()))
    assert max(map(abs, errors(through_mp3(final, kbits), with_tones()))) <= RATE // 1000


@KINDS
@pytest.mark.parametrize("level_db", [-30, -12, 0])
def test_level_does_not_matter_nor_does_noise(kind: Tone, level_db: int) -> None:
    sound = np.random.default_rng(3).standard_normal(3 * RATE).astype(np.float32) * np.float32(0.01)
    sound[RATE : RATE + len(tone(kind, RATE))] += tone(kind, RATE)
    sound *= np.float32(10 ** (level_db / 20))
    assert find_onset(sound, kind, RATE, RATE + 99, WINDOW) == RATE
    whole = np.rint(sound * 32768).astype(np.int16)
    assert find_onset(whole, kind, RATE, RATE + 99, WINDOW) == RATE


@KINDS
def test_a_tone_of_another_kind_does_not_count(kind: Tone) -> None:
    for other in set(Tone) - {kind}:
        sound = np.zeros(3 * RATE, np.float32)
        sound[RATE : RATE + len(tone(other, RATE))] = tone(other, RATE)
        for expected in range(RATE - 2400, RATE + 14_400, 800):
            assert find_onset(sound, kind, RATE, expected, WINDOW) is None


@KINDS
def test_it_can_fail(kind: Tone) -> None:
    """Silence, speech, breath, noise: no tone is found in any of them."""
    breathing = [Breathed(start=0, length=6 * RATE, direction=Breath.OUT)]
    air = rendered(Mix(session(6 * RATE, breathing), voice))
    hiss = np.random.default_rng(1).standard_normal(6 * RATE).astype(np.float32) * np.float32(0.1)
    for sound in (np.zeros(6 * RATE, np.float32), babble(6, RATE).samples, air, hiss):
        for expected in range(0, 6 * RATE, RATE // 10):
            assert find_onset(sound, kind, RATE, expected, WINDOW) is None


@KINDS
@pytest.mark.parametrize("late_ms", [-200, -50, -30, -21, 21, 25, 30, 50, 200])
def test_a_tone_outside_the_window_is_not_taken_for_one_at_its_edge(
    kind: Tone, late_ms: int
) -> None:
    sound = np.zeros(3 * RATE, np.float32)
    start = RATE + late_ms * RATE // 1000
    sound[start : start + len(tone(kind, RATE))] = tone(kind, RATE)
    assert find_onset(sound, kind, RATE, RATE, WINDOW) is None


@KINDS
def test_a_tone_cut_off_by_the_end_is_not_found(kind: Tone) -> None:
    length = len(tone(kind, RATE))
    sound = np.zeros(RATE + length, np.float32)
    sound[RATE:] = tone(kind, RATE)
    assert find_onset(sound, kind, RATE, RATE, WINDOW) == RATE
    assert find_onset(sound[:-1], kind, RATE, RATE, WINDOW) != RATE
    assert find_onset(sound[: length // 2], kind, RATE, 0, WINDOW) is None


@KINDS
def test_half_a_tone_is_no_tone(kind: Tone) -> None:
    sound = np.zeros(2 * RATE, np.float32)
    length = len(tone(kind, RATE))
    sound[RATE : RATE + length] = tone(kind, RATE)
    sound[RATE : RATE + length // 2] = 0
    assert find_onset(sound, kind, RATE, RATE, WINDOW) is None
