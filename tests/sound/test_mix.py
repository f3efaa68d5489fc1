"""The mix puts every event on its sample, and nothing else anywhere."""

from __future__ import annotations

import tracemalloc
from collections.abc import Iterable

import numpy as np
import pytest
from numpy.typing import NDArray

from breathmark.problems import Fault
from breathmark.script.session import (
    TONE_MS,
    Activity,
    Block,
    Breath,
    Breathed,
    Event,
    Purpose,
    Session,
    Sounded,
    Span,
    Spoken,
    Tone,
)
from breathmark.sound.breath import breath
from breathmark.sound.ducking import ducking
from breathmark.sound.mix import BLOCK_MS, DUCK_DB, Mix
from breathmark.sound.tones import tone

RATE = 24_000


def session(length: int, events: Iterable[Event], rate_hz: int = RATE) -> Session:
    span = Span(start=0, length=length, activity=Activity.WORK, doing="hold")
    block = Block(start=0, length=length, title="One", spans=(span,))
    return Session(
        title="T",
        language="en",
        voice="calm",
        rate_hz=rate_hz,
        length=length,
        blocks=(block,),
        events=tuple(sorted(events, key=lambda event: event.start)),
    )


def spoken(start: int, length: int) -> Spoken:
    return Spoken(start=start, length=length, text="Hold.", voice="calm", purpose=Purpose.CUE)


def sounded(start: int, kind: Tone, rate_hz: int = RATE) -> Sounded:
    return Sounded(start=start, length=TONE_MS[kind] * rate_hz // 1000, tone=kind)


def loud(event: Spoken) -> NDArray[np.int16]:
    return np.full(event.length, 12_000, np.int16)


def rendered(mix: Mix) -> NDArray[np.float32]:
    return np.concatenate(list(mix.blocks()))


def test_every_event_starts_on_its_sample_and_silence_is_digital_silence() -> None:
    plan = session(
        200_001, [sounded(7, Tone.START), spoken(47_990, 100), sounded(150_003, Tone.END)]
    )
    out = rendered(Mix(plan, loud))
    expected = np.zeros(200_001, np.float32)
    expected[7 : 7 + 2400] = tone(Tone.START, RATE)
    expected[150_003 : 150_003 + 14_400] = tone(Tone.END, RATE)
    expected[47_990:48_090] = 12_000 / 32_768
    inside = np.r_[47_990 + 48 : 48_090 - 48]  # past the 2 ms ramps at both ends
    line = np.r_[47_990:48_090]
    assert np.array_equal(np.delete(out, line), np.delete(expected, line))
    assert np.array_equal(out[inside], expected[inside])
    assert out[47_990] > 0
    assert out[48_089] > 0


@pytest.mark.parametrize("length", [0, 1, 47_999, 48_000, 48_001, 720 * RATE // 60])
def test_the_blocks_add_up_to_the_session_exactly(length: int) -> None:
    sizes = [len(block) for block in Mix(session(length, []), loud).blocks()]
    assert sum(sizes) == length
    assert all(size == BLOCK_MS * RATE // 1000 for size in sizes[:-1])


def test_a_second_run_is_the_same_byte_for_byte() -> None:
    breaths = [Breathed(start=0, length=96_000, direction=Breath.IN)]
    mix = Mix(session(120_000, [*breaths, spoken(30_000, 20_000)]), loud)
    assert rendered(mix).tobytes() == rendered(mix).tobytes()


@pytest.mark.parametrize(
    "clip",
    [np.zeros(99, np.int16), np.zeros(101, np.int16), np.zeros((100, 2), np.int16)],
)
def test_a_clip_that_does_not_fit_its_event_is_refused(clip: NDArray[np.int16]) -> None:
    mix = Mix(session(48_000, [spoken(0, 100)]), lambda _: clip)
    with pytest.raises(Fault, match="the plan holds 100 int16 samples"):
        list(mix.blocks())


def test_a_float_clip_is_refused() -> None:
    mix = Mix(session(48_000, [spoken(0, 100)]), lambda _: np.zeros(100))  # type: ignore[arg-type,return-value]
    with pytest.raises(Fault, match="float64"):
        list(mix.blocks())


@pytest.mark.parametrize("start", [-1, 47_950])
def test_an_event_outside_the_session_is_refused(start: int) -> None:
    event = Breathed(start=start, length=100, direction=Breath.IN)
    with pytest.raises(Fault, match="outside the session"):
        list(Mix(session(48_000, [event]), loud).blocks())


def test_a_tone_of_a_wrong_length_is_refused() -> None:
    event = Sounded(start=0, length=2_399, tone=Tone.START)
    with pytest.raises(Fault, match="start tone has 2400 samples"):
        list(Mix(session(48_000, [event]), loud).blocks())


def test_the_breath_is_20_db_below_speech_while_something_is_said() -> None:
    """WCAG 2.2, 1.4.7: a background at least 20 dB below speech, here at -22 dBFS RMS."""
    taken = Breathed(start=0, length=10 * RATE, direction=Breath.IN)
    plan = session(10 * RATE, [taken, spoken(5 * RATE, RATE)])
    out = rendered(Mix(plan, lambda event: np.zeros(event.length, np.int16)))
    alone = breath(Breath.IN, 10 * RATE, RATE)
    under = out[5 * RATE : 6 * RATE]
    assert np.allclose(under, alone[5 * RATE : 6 * RATE] * 10 ** (-DUCK_DB / 20), atol=1e-7)
    assert 10 * np.log10(np.mean(under**2)) < -22 - 20
    assert np.array_equal(out[: 4 * RATE], alone[: 4 * RATE])


def test_ducking_moves_smoothly_and_only_where_needed() -> None:
    taken = Breathed(start=RATE, length=4 * RATE, direction=Breath.OUT)
    over = (spoken(2 * RATE, RATE), spoken(13 * RATE // 4, RATE))
    gain = ducking(taken.start, taken.length, over, RATE, DUCK_DB)
    assert gain is not None
    assert np.abs(np.diff(gain)).max() < 0.0005
    assert gain[0] == 1
    assert gain[-1] == 1
    assert ducking(taken.start, taken.length, (spoken(0, RATE // 2),), RATE, DUCK_DB) is None


def test_nothing_clicks_at_clip_edges_tone_onsets_and_breath_joins() -> None:
    """A step of 12000 would bend the line by 0.37; the loudest smooth sound by 0.034."""
    events: list[Event] = [
        Breathed(start=0, length=2 * RATE, direction=Breath.IN),
        Breathed(start=2 * RATE, length=3 * RATE, direction=Breath.OUT),
        spoken(RATE, RATE // 2),
        sounded(4 * RATE, Tone.START),
    ]
    out = rendered(Mix(session(5 * RATE, events), loud))
    bend = np.abs(np.diff(out, 2))
    assert bend.max() < 0.036
    assert bend[2 * RATE - 50 : 2 * RATE + 50].max() < 1e-4


def test_memory_is_flat_from_twelve_minutes_to_two_hours() -> None:
    def peak(minutes: int) -> int:
        events: list[Event] = [spoken(RATE * 10 * n, RATE * 3) for n in range(minutes * 6)]
        mix = Mix(session(minutes * 60 * RATE, events), loud)
        tracemalloc.start()
        for _ in mix.blocks():
            pass
        most = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        return most

    assert peak(120) < peak(12) + 100_000
