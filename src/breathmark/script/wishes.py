"""What is asked of a session beside the routine."""

from __future__ import annotations

from dataclasses import dataclass

from breathmark.routine.listening import Background, Hearing
from breathmark.routine.model import Side
from breathmark.script.coaching import Coaching


@dataclass(frozen=True, kw_only=True, slots=True)
class Wishes:
    """The voice profile that speaks, and what the patient's file says of the session.

    ``first_side`` of ``None`` is the routine's.  ``greeting`` is said first; it may hold a
    first name.  ``helper`` says that somebody is there, so that lines for them are said.
    ``sample`` leaves out what belongs to a whole session: greeting, cautions, closing words.
    ``hearing`` and ``background`` are the voice's, and go into the plan for the mix.
    """

    voice: str
    greeting: str = ""
    helper: bool = False
    sample: bool = False
    first_side: Side | None = None
    coaching: Coaching = Coaching.FADING
    hearing: Hearing = Hearing.USUAL
    background: Background = Background.NONE
