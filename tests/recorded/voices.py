"""Voices for the tests of recordings: who reads, and whom the matcher compares with."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
import numpy.typing as npt

from breathmark.pipeline import Order, plan
from breathmark.speech.engines import engine_for
from breathmark.speech.finish import finish
from breathmark.speech.profiles import load_profile
from breathmark.speech.sheet import Sheet, SheetLine, make_sheet
from breathmark.speech.speakable import speakable
from breathmark.speech.speaker import Speaker
from breathmark.speech.store import ClipStore, default_store_folder
from tests.recorded.reading import RATE_HZ, Sound

SESSION_HZ = 24_000

DEMO = Path(__file__).resolve().parents[2] / "src/breathmark/routine/demo/steady-on-your-feet.yaml"
"""The routine whose planned lines are read."""


def demo_sheet() -> Sheet:
    """The sheet for the demo's planned session."""
    planned = plan(Order(source=DEMO, voice="system"))
    return make_sheet(line.text for line in planned.session.spoken)


def read_by_system(texts: Sequence[str], rate_wpm: int = 150) -> list[Sound]:
    """Each text as the system voice reads it, at 48 kHz."""
    engine = engine_for(load_profile("system"), rate_wpm)
    sounds: dict[int, Sound] = {}
    try:
        for at, raw in engine.speak([speakable(text, {}) for text in texts]):
            sounds[at] = finish(raw, RATE_HZ).astype(np.float32) / 32768.0
    finally:
        engine.close()
    return [sounds[at] for at in range(len(texts))]


def references_by(voice: str, texts: Sequence[str]) -> dict[str, npt.NDArray[np.int16]]:
    """Each text as one of the shipped voices says it, at the session's rate."""
    store = ClipStore(default_store_folder())
    speaker = Speaker(load_profile(voice), rate_hz=SESSION_HZ, store=store)
    speaker.measure(texts)
    return {text: speaker.clip(text) for text in texts}


def sheet_of(texts: Sequence[str]) -> Sheet:
    """A sheet with these rows, numbered from 1."""
    return Sheet(
        lines=tuple(SheetLine(label=str(at), text=text) for at, text in enumerate(texts, start=1))
    )
