"""Every starter exercise planned for each hearing, in the estimated lengths of each voice."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from breathmark.problems import InputProblems
from breathmark.routine.library import starter_library
from breathmark.routine.listening import Hearing
from breathmark.routine.model import RepsDose, Routine
from breathmark.routine.reading import read_routine
from breathmark.script.draft import SpeechLengths
from breathmark.script.planner import plan_session
from breathmark.script.session import Session, Spoken
from breathmark.script.wishes import Wishes
from breathmark.speech.listening import as_spoken
from breathmark.speech.profiles import VoiceProfile, load_profile
from tests.script.planning import RATE_HZ


def length_of(text: str, profile: VoiceProfile) -> int:
    """How long a voice takes for a line, by its pace and its pauses."""
    words = len(text.split()) * 60_000 / profile.pace_wpm
    commas = len(re.findall(r"[,;:]", text)) * profile.comma_pause_ms
    sentences = len(re.findall(r"[.!?](?=\s)", text)) * profile.sentence_pause_ms
    return RATE_HZ // 1000 * round(words + commas + sentences)


def planned(routine: Routine, profile: VoiceProfile) -> Session:
    """The plan in a voice, as the pipeline makes it."""
    known: dict[str, int] = {}
    wishes = Wishes(voice=profile.name, hearing=profile.hearing)
    while True:
        lengths = SpeechLengths(known, rate_hz=RATE_HZ)
        try:
            session = plan_session(routine, lengths, wishes)
        except InputProblems:
            if not lengths.missing:
                raise
        else:
            if not lengths.missing:
                return session
        known |= {text: length_of(text, profile) for text in lengths.missing}


@pytest.mark.parametrize("hearing", Hearing)
@pytest.mark.parametrize("voice", ["calm", "clear", "system"])
def test_every_exercise_says_how_to_breathe_and_what_to_do(
    tmp_path: Path, voice: str, hearing: Hearing
) -> None:
    """Slow words find room: later calls of the way back give way to them."""
    profile = as_spoken(replace(load_profile(voice), hearing=hearing))
    path = tmp_path / "routine.yaml"
    for one in starter_library():
        path.write_text(f"title: T\nexercises:\n  - use: {one.name}\n", encoding="utf-8")
        session = planned(read_routine(path), profile)
        said = " ".join(event.text for event in session.events if isinstance(event, Spoken))
        # the side in a line is filled in; up to there it is as it stands in the file
        wanted = [*one.breathe, *one.setup]
        if isinstance(one.dose, RepsDose):
            wanted.append(one.cues[0].say)
        missed = [line for line in wanted if line.split("{")[0].strip() not in said]
        assert not missed, (one.name, session.left_out)
