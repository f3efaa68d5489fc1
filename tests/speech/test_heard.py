"""A recogniser as a listener: what the voices say arrives."""

from __future__ import annotations

import numpy as np
import pytest
from jiwer import process_words

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
