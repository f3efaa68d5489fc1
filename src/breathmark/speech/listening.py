"""A voice as it speaks to certain ears: slower, with longer pauses, and nothing under it."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from breathmark.routine.listening import Background, Hearing
from breathmark.speech.profiles import SLOWEST_WPM, VoiceProfile

PACE: Final = {Hearing.USUAL: 1.0, Hearing.OLDER: 0.93, Hearing.HARD_OF_HEARING: 0.85}
"""What the pace is multiplied by: slower speech helped elders in quiet (Lessa and Costa
2013, Braz J Otorhinolaryngol 79:745-52).  In noise it did not help those with hearing loss
(Adams 2012, Am J Audiol 21:22-32), so the steps are small (our own choice)."""

PAUSE: Final = {Hearing.USUAL: 1.0, Hearing.OLDER: 1.25, Hearing.HARD_OF_HEARING: 1.5}
"""What the pause between sentences is multiplied by: 0.6 s becomes 0.75 s and 0.9 s, which
still is a medium pause (200 to 1000 ms: Campione and Veronis 2002)."""


def heard_with(profile: VoiceProfile, hearing: Hearing | None) -> VoiceProfile:
    """The profile for the ears that a patient file names; ``None`` leaves it as it is."""
    return profile if hearing is None else replace(profile, hearing=hearing)


def as_spoken(profile: VoiceProfile) -> VoiceProfile:
    """The profile at the pace and with the pauses of its ``hearing``.

    To be done once: the result still names the hearing, for which it must not be slowed
    down again.  Pace is in whole words a minute, pauses in whole milliseconds.  A
    background goes with the usual hearing only.
    """
    if profile.hearing is Hearing.USUAL:
        return profile
    return replace(
        profile,
        pace_wpm=max(SLOWEST_WPM, round(profile.pace_wpm * PACE[profile.hearing])),
        sentence_pause_ms=round(profile.sentence_pause_ms * PAUSE[profile.hearing]),
        background=Background.NONE,
    )
