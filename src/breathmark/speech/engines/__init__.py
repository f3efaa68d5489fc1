"""The voice engines: one module each, imported only when a profile chooses it."""

from __future__ import annotations

from breathmark.problems import Fault
from breathmark.speech.engines.base import Engine
from breathmark.speech.profiles import VoiceProfile, usual_pace_wpm


def engine_for(profile: VoiceProfile, setting: float) -> Engine:
    """The engine a profile names, not yet loaded; ``setting`` is what gives its pace.

    Raises :class:`~breathmark.problems.Fault` when the engine or its model is missing.
    """
    if profile.engine == "piper":
        from breathmark.speech.engines.piper import PiperEngine

        # Stretched further than at the usual pace, a single word is less clear (measured).
        usual = min(1.0, profile.pace_wpm / usual_pace_wpm(profile.language))
        return PiperEngine(profile.model, length_scale=setting, call_scale=setting * usual)
    if profile.engine == "system":
        from breathmark.speech.engines.system import SystemEngine

        return SystemEngine(profile.model, language=profile.language, rate_wpm=round(setting))
    raise Fault(f"there is no engine `{profile.engine}` for the voice `{profile.name}`")
