"""A recogniser as a listener: what the voices say arrives."""

from __future__ import annotations

import numpy as np
import pytest
from jiwer import process_words

from breathmark.speech.profiles import load_profile
from breathmark.speech.speakable import speakable
from breathmark.speech.speaker import Speaker
from tests.listening import Listener, plain_words

RATE = 24_000

# Forty lines of a home routine, in passages of about twenty seconds: a recogniser, like
# a person, understands a line better among others.
PASSAGES = (
    (
        "Stand your chair against the wall and wear shoes that grip.",
        "Sit tall in your chair with both feet flat on the floor.",
        "Lift your toes, then lift your heels, slowly and smoothly.",
        "Keep breathing, slow and easy.",
    ),
    (
        "Face the counter with both hands on it. Slide your left foot straight back.",
        "Keep that knee straight.",
        "Back heel heavy on the floor.",
        "You should feel a gentle stretch low in the calf, never a sharp pain.",
    ),
    (
        "Take a shorter step back if that is too much.",
        "Change sides.",
        "Now your right side.",
        "Halfway.",
        "Ten seconds left.",
        "And rest.",
        "Shake out your legs.",
    ),
    (
        "Next, sit to stand.",
        "Move to the front edge of the chair and bring your feet back under your knees.",
        "Bring your nose over your toes, then stand up.",
        "Lower yourself slowly and quietly.",
        "One. Two. Three. Four.",
    ),
    (
        "Stand sideways to the counter with one hand resting on it.",
        "Keep your toes pointing forward and move your leg out to the side.",
        "Stay tall, as if a string were lifting the top of your head.",
        "Breathe out with the effort.",
        "Last one.",
    ),
    (
        "Place one foot half a step in front of the other.",
        "Look ahead at one spot on the wall.",
        "Hold on to the counter whenever you need to.",
        "Let your hands grow light.",
        "Hold for 30 s. 2 times on each side.",
    ),
    (
        "Close your eyes if that feels safe.",
        "Let your shoulders drop away from your ears.",
        "Breathe in through your nose.",
        "Breathe out slowly.",
        "Use the band to draw your foot towards you.",
    ),
    (
        "Stop if you feel pain in your chest, neck, jaw or arm.",
        "If you feel dizzy, stop and sit down.",
        "What your clinician told you comes first.",
        "Well done.",
        "Sit for a minute before you go on with your day.",
    ),
)
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
