"""The voice engines: one module each, imported only when a profile chooses it."""

from __future__ import annotations

from breathmark.problems import Fault
from breathmark.speech.engines.base import Engine
from breathmark.speech.profiles import VoiceProfile


def engine_for(profile: VoiceProfile, setting: float) -> Engine:
    """The engine a profile names, not yet loaded; ``setting`` is what gives its pace.

    Raises :class:`~breathmark.problems.Fault` when the engine or its model is missing.
    """
    if profile.engine == "piper":
        from breathmark.speech.engines.piper import PiperEngine

        return PiperEngine(profile.model, length_scale=setting)
    if profile.engine == "system":
        from breathmark.speech.engines.system import SystemEngine

        return SystemEngine(profile.model, language=profile.language, rate_wpm=round(setting))
    raise Fault(f"there is no engine `{profile.engine}` for the voice `{profile.name}`")
