"""Planning in tests as the pipeline does, with stand-in speech."""

from __future__ import annotations

from breathmark.problems import InputProblems
from breathmark.routine.model import Routine
from breathmark.script.coaching import Coaching
from breathmark.script.draft import SpeechLengths
from breathmark.script.planner import plan_session
from breathmark.script.session import Session
from breathmark.script.wishes import Wishes
from tests.script.routines import speech_lengths

RATE_HZ = 24_000


def planned(
    routine: Routine,
    ms_a_word: int,
    coaching: Coaching = Coaching.FADING,
    *,
    helper: bool = False,
) -> Session:
    """The plan, made as the pipeline does: plan, measure what is missing, plan again."""
    known: dict[str, int] = {}
    wishes = Wishes(voice="calm", coaching=coaching, helper=helper)
    while True:
        lengths = SpeechLengths(known, rate_hz=RATE_HZ)
        failure = None
        try:
            session = plan_session(routine, lengths, wishes)
        except InputProblems as problems:
            failure = problems
        if lengths.missing:
            known |= speech_lengths(lengths.missing, RATE_HZ, ms_a_word)
        elif failure is not None:
            raise failure
        else:
            return session
