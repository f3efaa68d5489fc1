"""Which voice speaks a routine: the one asked for, or the one that the routine names."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from breathmark.problems import InputProblems, Problem, UsageProblem
from breathmark.routine.model import Routine
from breathmark.speech.profiles import VoiceProfile, load_profile, primary


def voice_for(routine: Routine, voice: str | None, folders: Sequence[Path]) -> VoiceProfile:
    """The voice asked for, or with ``None`` the routine's own.

    Raises :class:`~breathmark.problems.UsageProblem` for a voice that is not there, and
    :class:`~breathmark.problems.InputProblems` where the routine names one wrongly or the
    voice speaks another language.
    """
    if voice is not None:
        profile = load_profile(voice, folders)
    else:
        try:
            profile = load_profile(routine.voice, folders)
        except UsageProblem as unknown:
            raise _problem(routine, "unknown-voice", str(unknown)) from None
    if primary(profile.language) != primary(routine.language):
        message = (
            f"the voice `{profile.name}` speaks `{profile.language}`, "
            f"but the routine is written in `{routine.language}`"
        )
        path = "language" if "language" in routine.places else "voice"
        raise _problem(routine, "voice-language", message, path=path)
    return profile


def _problem(routine: Routine, rule: str, message: str, *, path: str = "voice") -> InputProblems:
    remedy = (
        "`breathmark voices` lists the voices there are. A Piper model (its two files) put "
        "into a folder of voices becomes one."
    )
    place = routine.place(path)
    return InputProblems([Problem(rule=rule, message=message, place=place, remedy=remedy)])
