"""A small session, its recording and its page, for the tests in a real browser.

The recording is a tone that rises steadily, so that what is heard tells where one is.
"""

from __future__ import annotations

import io
from collections.abc import Mapping
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from breathmark.deliver.audio import Chapter, Recording, Tags, open_writer
from breathmark.deliver.pictures import Picture
from breathmark.deliver.player import player_html
from breathmark.deliver.record import Prescribed
from breathmark.dose.checks import check_routine
from breathmark.dose.totals import dose_totals
from breathmark.routine.model import (
    BreathingDose,
    BreathPattern,
    Exercise,
    HoldDose,
    Kind,
    Position,
    Routine,
    Side,
    Sides,
)
from breathmark.script.session import Activity, Purpose, Session
from breathmark.script.words import words_of
from breathmark.units import Ranged, milliseconds
from tests.plan_sessions import RATE_HZ, Sketch

AUDIO = "steady #1 50%.mp3"
"""A name with signs that mean something in an address."""

LENGTH_S = 66
FIRST_HZ, HZ_A_SECOND = 300, 35

GREETING = "Good morning, Rosalind."
HOSTILE = "Heels --> floor & toes </script><script>document.title='taken'</script> <b>up</b> &amp;"
HEBREW = "הרימו את העקב & נשמו --> לאט."
HEBREW_TITLE = "נשימה איטית"


@cache
def small_session() -> Session:
    """A minute with everything in it: both sides, breaths, lines that would break a page."""
    sketch = Sketch()
    sketch.say(0.5, GREETING, Purpose.OPENING)
    balance = words_of("en").say("balance rule")
    sketch.opening(8, balance)
    sketch.lead_in(8, "the calf stretch", "Face the counter.")
    sketch.hold(10, Side.LEFT, 1, HEBREW)
    sketch.say(1, "Now your right side.", Purpose.CHANGE)
    sketch.span(4, Activity.SIDE_CHANGE, "change sides", Side.RIGHT, 1)
    sketch.hold(10, Side.RIGHT, 1, "Heel\u2028down.")
    sketch.rest(3)
    sketch.chapter("Calf & <heel> stretch", 0)
    sketch.say(0.2, HOSTILE, Purpose.SETUP)
    sketch.span(7, Activity.LEAD_IN, "get ready")
    sketch.breaths(1, 3, 4)
    sketch.rest(2)
    sketch.chapter(HEBREW_TITLE, 1)
    sketch.closing(LENGTH_S, "Well done.")
    return sketch.finished("Steady & <calm> </title>")


def small_routine() -> Routine:
    """The routine of that session, with a caution and a picture."""
    hold = HoldDose(hold_ms=Ranged.fixed(10_000), sets=Ranged.fixed(1))
    pattern = BreathPattern(in_ms=3_000, hold_in_ms=0, out_ms=4_000, hold_out_ms=0)
    exercises = (
        Exercise(
            name="Calf & <heel> stretch", kind=Kind.HOLD, dose=hold, path="exercises[0]",
            position=Position.STANDING, sides=Sides.EACH, picture="calf.png",
        ),
        Exercise(
            name=HEBREW_TITLE, kind=Kind.BREATHING, path="exercises[1]",
            dose=BreathingDose(breaths=Ranged.fixed(1), pattern=pattern),
        ),
    )  # fmt: skip
    return Routine(
        title="Steady & <calm> </title>",
        file="steady.yaml",
        sha256="5" * 64,
        exercises=exercises,
        cautions=("Keep <somebody> near & the floor clear.",),
    )


def small_prescription() -> Prescribed:
    """What the page is made from."""
    plan, routine = small_session(), small_routine()
    return Prescribed(
        routine=routine,
        session=plan,
        voices=[],
        gain_db=0.0,
        totals=dose_totals(routine, session_ms=milliseconds(plan.length, plan.rate_hz)),
        checked=check_routine(routine),
    )


def rising_tone(length_s: float = LENGTH_S) -> NDArray[np.int16]:
    """Samples whose pitch, ``FIRST_HZ + HZ_A_SECOND`` × seconds, tells the time."""
    times = np.arange(round(length_s * RATE_HZ)) / RATE_HZ
    turns = FIRST_HZ * times + HZ_A_SECOND * times**2 / 2
    samples: NDArray[np.int16] = np.rint(12_000 * np.sin(2 * np.pi * turns)).astype(np.int16)
    return samples


def write_tone(path: Path, length_s: float = LENGTH_S) -> Path:
    """The rising tone as a file of the kind its name says."""
    samples = rising_tone(length_s)
    recording = Recording(
        rate_hz=RATE_HZ,
        length=len(samples),
        chapters=(Chapter(title="All", start=0, length=len(samples)),),
        tags=Tags(title="Tone"),
    )
    with open_writer(path.suffix[1:], path, recording) as writer:
        writer.add(samples)
    return path


def write_page(
    path: Path, *, embed: bytes | None = None, pictures: Mapping[str, Picture] | None = None
) -> Path:
    """The page of the small session as a file."""
    text = player_html(small_prescription(), audio_name=AUDIO, embed=embed, pictures=pictures)
    path.write_text(text, encoding="utf-8", newline="\n")
    return path


def red_picture() -> Picture:
    """A plain red picture."""
    out = io.BytesIO()
    Image.new("RGB", (120, 80), (200, 30, 30)).save(out, "PNG")
    return Picture(data=out.getvalue(), media_type="image/png", width=120, height=80)
