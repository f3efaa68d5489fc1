"""A recogniser as a listener: what the voices say arrives."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from jiwer import process_words

from breathmark.routine.listening import Hearing
from breathmark.sound.hearing import shaped
from breathmark.speech.profiles import load_profile
from breathmark.speech.speakable import speakable
from breathmark.speech.speaker import Speaker
from tests.listening import Listener, plain_words
from tests.speech.lines import PASSAGES

RATE = 24_000

LIMITS = {"calm": 0.03, "clear": 0.03, "system": 0.15}
"""Word error rates; eSpeak NG's synthetic voice is harder for the recogniser (measured)."""


@pytest.mark.slow
@pytest.mark.parametrize("voice", LIMITS)
def test_forty_lines_are_understood(voice: str, listener: Listener) -> None:
    """By a small recogniser, nearly word for word."""
    speaker = Speaker(load_profile(voice), rate_hz=RATE, store=None)
    speaker.measure(line for passage in PASSAGES for line in passage)
    gap = np.zeros(RATE // 4, dtype=np.int16)
    said, heard = [], []
    for passage in PASSAGES:
        parts = [part for line in passage for part in (gap, speaker.clip(line), gap)]
        said.append(" ".join(plain_words([speakable(line, {}) for line in passage])))
        heard.append(" ".join(plain_words(listener.hear(np.concatenate(parts), RATE))))
    result = process_words(said, heard)
    wrong = [pair for pair in zip(said, heard, strict=True) if pair[0] != pair[1]]
    assert result.wer <= LIMITS[voice], wrong
    print(f"{voice}: word error rate {result.wer:.2%}")  # noqa: T201 - shown with pytest -s


@pytest.mark.slow
@pytest.mark.parametrize("voice", ["calm", "clear"])
def test_breathe_is_no_breeze(voice: str, listener: Listener) -> None:
    """The call said most often, as made for ears that are hard of hearing: soft sounds raised."""
    hearing = Hearing.HARD_OF_HEARING
    profile = replace(load_profile(voice), hearing=hearing)
    speaker = Speaker(profile, rate_hz=RATE, store=None)
    lines = ["6 slow breaths.", "Ready.", *["Breathe in.", "Breathe out."] * 3]
    speaker.measure(lines)
    gap = np.zeros(RATE, dtype=np.float32)
    waves = [(speaker.clip(line) / 32768).astype(np.float32) for line in lines]
    said = [shaped(wave, hearing, RATE) for wave in waves]
    whole = np.concatenate([part for one in said for part in (gap, one)])
    samples = np.rint(whole / np.abs(whole).max() * 20_000).astype(np.int16)
    heard = plain_words(listener.hear(samples, RATE))
    assert heard.count("breathe") >= 4, heard
    assert "breeze" not in heard, heard


CALLS = (
    *("1.", "2.", "3.", "4.", "5.", "6.", "7.", "8.", "9.", "10.", "11.", "12.", "13.", "14."),
    *("15.", "16.", "17.", "18.", "19.", "20.", "Lift.", "Ready.", "Rest.", "Hold.", "Well done."),
)


@pytest.mark.slow
@pytest.mark.parametrize("voice", ["calm", "clear"])
def test_counts_and_calls_are_heard_for_what_they_are(voice: str, listener: Listener) -> None:
    """Said alone between others, where no sentence helps: "six" is no "sex", "two" no "tune"."""
    speaker = Speaker(load_profile(voice), rate_hz=RATE, store=None)
    around = ["And down.", "And stand.", "Keep your back long."]
    speaker.measure([*CALLS, *around])
    gap = np.zeros(RATE // 2, dtype=np.int16)
    wrong = []
    for call in CALLS:
        lines = [around[0], call, around[1], call, around[2], call]
        parts = [part for line in lines for part in (gap, speaker.clip(line))]
        heard = plain_words(listener.hear(np.concatenate([*parts, gap]), RATE))
        said = plain_words(call)
        times = sum(heard[at : at + len(said)] == said for at in range(len(heard)))
        if times < 2:  # an "And stand. To" may be written as one
            wrong.append((call, heard))
    assert not wrong
