"""One contract for every engine: what a voice must do, whichever it is."""

from __future__ import annotations

import hashlib
import subprocess
import sys
from collections.abc import Iterator

import numpy as np
import pytest

from breathmark.problems import Fault
from breathmark.speech.engines import engine_for
from breathmark.speech.engines.base import LONGEST_TEXT, Engine, UnspeakableError
from breathmark.speech.profiles import ENGINES, VoiceProfile

SETTING = {"piper": 1.6, "system": 120.0}
LINES = ("Sit tall in your chair.", "Up.", "Lift your toes, then lower them slowly.")

AGAIN = """
import hashlib, sys
from breathmark.speech.engines import engine_for
from breathmark.speech.profiles import VoiceProfile
engine = engine_for(VoiceProfile(name="t", engine=sys.argv[1]), float(sys.argv[2]))
for index, raw in sorted(engine.speak(sys.argv[3:]), key=lambda said: said[0]):
    print(hashlib.sha256(raw.samples.tobytes()).hexdigest())
engine.close()
"""


@pytest.fixture(scope="module", params=ENGINES)
def name(request: pytest.FixtureRequest) -> str:
    """Each engine there is."""
    return str(request.param)


@pytest.fixture(scope="module")
def engine(name: str) -> Iterator[Engine]:
    """The engine, closed at the end."""
    engine = engine_for(VoiceProfile(name="t", engine=name), SETTING[name])
    yield engine
    engine.close()


def hashes(engine: Engine, lines: tuple[str, ...] = LINES) -> list[str]:
    """The hash of each line's samples, in the order of the lines."""
    said = dict(engine.speak(lines))
    return [hashlib.sha256(said[at].samples.tobytes()).hexdigest() for at in range(len(lines))]


def test_every_line_is_said_once(engine: Engine) -> None:
    """Mono 32-bit samples within full scale, at a known rate, with something in them."""
    said = list(engine.speak(LINES))
    assert sorted(index for index, _ in said) == [0, 1, 2]
    for _, raw in said:
        assert raw.samples.ndim == 1
        assert raw.samples.dtype == np.float32
        assert 8_000 <= raw.rate_hz <= 48_000
        assert 0.01 < np.abs(raw.samples).max() <= 1.0
        assert 0.15 < len(raw.samples) / raw.rate_hz < 6.0


def test_longer_text_takes_longer(engine: Engine) -> None:
    """The index belongs to its text."""
    said = {index: len(raw.samples) for index, raw in engine.speak(LINES)}
    assert said[1] < said[0] < said[2]


def test_the_same_text_gives_the_same_samples(engine: Engine) -> None:
    """Whatever was said before, in whatever order and company."""
    first = hashes(engine)
    assert hashes(engine) == first
    assert hashes(engine, LINES[::-1]) == first[::-1]
    assert hashes(engine, LINES[1:2]) == first[1:2]


def test_another_process_gives_the_same_samples(name: str, engine: Engine) -> None:
    """Two builds on one machine are identical."""
    command = [sys.executable, "-c", AGAIN, name, str(SETTING[name]), *LINES]
    done = subprocess.run(command, capture_output=True, text=True, timeout=60, check=True)
    assert done.stdout.split() == hashes(engine)


def test_closing_is_no_end(engine: Engine) -> None:
    """An engine that was closed speaks again, the same."""
    first = hashes(engine, LINES[:1])
    engine.close()
    engine.close()
    assert hashes(engine, LINES[:1]) == first


@pytest.mark.parametrize("text", ["", "   ", "...", "?!", "🙂"])
def test_text_without_a_word_is_refused(engine: Engine, text: str) -> None:
    """And nothing of the others is lost in a hang."""
    with pytest.raises(UnspeakableError):
        list(engine.speak(["Sit tall.", text]))


@pytest.mark.parametrize(
    "text",
    [
        "Ångström, naïve, café.",
        "Say “hello” — it’s 5 £ & 10 %.",
        "漢字 and Привет.",
        "<speak>not</speak> a tag & no 'command'; --help \\n $HOME",
        "Hmm.",
        "7.",
    ],
)
def test_odd_characters_are_survived(engine: Engine, text: str) -> None:
    """They sound like something, and end."""
    ((_, raw),) = engine.speak([text])
    assert len(raw.samples) > 0


@pytest.mark.slow
def test_a_long_sentence_is_said_whole(engine: Engine) -> None:
    """A hundred and twenty words without a stop, with commas and without."""
    words = "lift your left heel and lower it again slowly "
    plain, with_commas = (words * 13).strip() + ".", (words.strip() + ", ") * 13 + "and rest."
    seconds = [len(raw.samples) / raw.rate_hz for _, raw in engine.speak([plain, with_commas])]
    assert all(25 < length < 80 for length in seconds)


def test_endless_text_is_refused(engine: Engine) -> None:
    """Rather than eat the memory or the day."""
    with pytest.raises(UnspeakableError):
        list(engine.speak(["word " * LONGEST_TEXT]))


def test_the_fingerprint_names_what_decides_the_sound(name: str, engine: Engine) -> None:
    """Another setting is another fingerprint; asking loads no model."""
    mine = engine.fingerprint()
    other = engine_for(VoiceProfile(name="t", engine=name), SETTING[name] * 1.25)
    assert mine == engine.fingerprint()
    assert mine != other.fingerprint()
    assert mine["model"] == engine.model
    assert all(isinstance(value, str) for value in mine.values())


def test_an_engine_loads_only_when_it_speaks() -> None:
    """Neither the module nor a fingerprint brings in what is heavy."""
    code = (
        "import sys\n"
        "from breathmark.speech.engines import engine_for\n"
        "from breathmark.speech.profiles import ENGINES, VoiceProfile\n"
        "import breathmark.speech.speaker, breathmark.speech.say\n"
        "for name in ENGINES:\n"
        "    engine_for(VoiceProfile(name='t', engine=name), 1.5).fingerprint()\n"
        "heavy = {'piper', 'onnxruntime', 'pyttsx3', 'pydub', 'soxr', 'av', 'scipy'}\n"
        "assert not heavy & set(sys.modules), heavy & set(sys.modules)\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True, timeout=60)


def test_an_engine_that_does_not_exist_is_a_fault() -> None:
    """A profile cannot name one, but code could."""
    with pytest.raises(Fault):
        engine_for(VoiceProfile(name="t", engine="none"), 1.0)


def test_both_engines_speak_in_one_process_at_a_time() -> None:
    """Each has its own eSpeak NG; neither disturbs the other."""
    engines = [engine_for(VoiceProfile(name="t", engine=name), SETTING[name]) for name in ENGINES]
    before = [hashes(engine) for engine in engines]
    mixed = [engine.speak(LINES) for engine in engines]
    assert [next(said)[1].rate_hz > 0 for said in mixed] == [True, True]
    for said in mixed:
        list(said)
    assert [hashes(engine) for engine in engines] == before
    for engine in engines:
        engine.close()
