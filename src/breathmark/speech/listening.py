"""A voice as it speaks to certain ears: slower, with longer pauses, and nothing under it."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from breathmark.problems import InputProblems, Problem
from breathmark.routine.listening import Background, Hearing
from breathmark.routine.listening_reading import TAKE_ONE_OUT, clash, why_none
from breathmark.routine.patient import Patient
from breathmark.routine.rules import Rule
from breathmark.speech.profiles import SLOWEST_WPM, VoiceProfile, usual_pace_wpm

PACE: Final = {Hearing.USUAL: 1.0, Hearing.OLDER: 0.97, Hearing.HARD_OF_HEARING: 0.95}
"""What the pace is multiplied by: slower speech helped elders in quiet (Lessa and Costa
2013, Braz J Otorhinolaryngol 79:745-52).  In noise it did not help those with hearing loss
(Adams 2012, Am J Audiol 21:22-32), and a recogniser loses more of a neural voice the further
it is stretched (measured), so the steps are small (our own choice)."""

SLOW_ENOUGH: Final = {"piper": 0.87, "system": 0.9}
"""No voice is slowed below this part of its language's usual pace (130 and 135 words a minute
in English): one that is slow already is not slowed (behind an ear of eighty a recogniser lost
5.4 words of a hundred of `clear` at 124 words a minute, 4.9 at its own 130: measured), and
eSpeak NG cannot go much slower in any of our languages (0.88 in German, measured)."""

PAUSE: Final = {Hearing.USUAL: 1.0, Hearing.OLDER: 1.25, Hearing.HARD_OF_HEARING: 1.5}
"""What pauses are multiplied by: 0.6 s between sentences becomes 0.75 s and 0.9 s."""

MOST_PAUSE_MS: Final = 1_000
"""No pause is lengthened past this: the longest that still is a medium one (200 to 1000 ms:
Campione and Veronis 2002)."""


def heard_with(profile: VoiceProfile, patient: Patient | None) -> VoiceProfile:
    """The profile as a patient file wants it heard.

    Raises :class:`~breathmark.problems.InputProblems` where that file asks for a background
    and the profile speaks to ears for which there can be none.
    """
    if patient is None:
        return profile
    hearing = profile.hearing if patient.hearing is None else patient.hearing
    if clash(hearing, patient.background):
        problem = Problem(
            rule=Rule.CONTRADICTION,
            message=f"{why_none(hearing)}; the voice `{profile.name}` is made for it",
            place=patient.place("background"),
            remedy=TAKE_ONE_OUT,
        )
        raise InputProblems([problem])
    background = profile.background if patient.background is None else patient.background
    return replace(profile, hearing=hearing, background=background)


def as_spoken(profile: VoiceProfile) -> VoiceProfile:
    """The profile at the pace and with the pauses of its ``hearing``.

    To be done once: the result still names the hearing, for which it must not be slowed
    down again.  Pace is in whole words a minute, pauses in whole milliseconds; neither is
    ever made quicker.  A background goes with the usual hearing only.
    """
    if profile.hearing is Hearing.USUAL:
        return profile
    pace = profile.pace_wpm
    enough = SLOW_ENOUGH.get(profile.engine, min(SLOW_ENOUGH.values()))
    slow = max(SLOWEST_WPM, round(enough * usual_pace_wpm(profile.language)))
    longer_ms, longer_comma_ms = (
        max(pause_ms, min(MOST_PAUSE_MS, round(pause_ms * PAUSE[profile.hearing])))
        for pause_ms in (profile.sentence_pause_ms, profile.comma_pause_ms)
    )
    return replace(
        profile,
        pace_wpm=min(pace, max(slow, round(pace * PACE[profile.hearing]))),
        sentence_pause_ms=longer_ms,
        comma_pause_ms=longer_comma_ms,
        background=Background.NONE,
    )
