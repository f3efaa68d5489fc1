"""The bare engine: what it says before anything of ours has touched the sound."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

import numpy as np
import numpy.typing as npt

from breathmark.speech.engines import engine_for
from breathmark.speech.lexicon import load_lexicon
from breathmark.speech.pace import setting_for
from breathmark.speech.profiles import load_profile
from breathmark.speech.speakable import sentences, speakable
from breathmark.speech.speaker import lexicon_for

Samples = npt.NDArray[np.int16]

OWN_PACE = {"piper": 1.0, "system": 200.0}
"""At which an engine speaks when nobody asks for a pace: length scale, words a minute."""


class BareVoice:
    """A voice's engine saying lines, sentence by sentence: no trimming, no level, no pauses.

    It is given the words as Breathmark makes them speakable, at the pace of the profile or
    at its own.  ``joined`` makes one sound of a line's sentences.
    """

    def __init__(
        self,
        voice: str,
        rate_hz: int,
        *,
        own_pace: bool,
        joined: Callable[[Sequence[Samples]], Samples] = np.concatenate,
    ) -> None:
        self._profile, self._rate_hz = load_profile(voice), rate_hz
        self._joined = joined
        self._lexicon = lexicon_for(self._profile, load_lexicon(self._profile.lexicon))
        own = OWN_PACE[self._profile.engine]
        self._setting = own if own_pace else setting_for(self._profile, None)[0]
        self._clips: dict[str, Samples] = {}

    def measure(self, lines: Iterable[str]) -> None:
        """Say ``lines``, each once."""
        import soxr

        said = {line: sentences(speakable(line, self._lexicon)) for line in dict.fromkeys(lines)}
        texts = tuple(dict.fromkeys(text for parts in said.values() for text in parts))
        engine = engine_for(self._profile, self._setting)
        sounds = {}
        for at, raw in engine.speak(texts):
            whole = soxr.resample(raw.samples, raw.rate_hz, self._rate_hz)
            scaled = np.clip(np.rint(whole * 32_768), -32_768, 32_767)
            sounds[texts[at]] = scaled.astype(np.int16)
        engine.close()
        for line, parts in said.items():
            self._clips[line] = self._joined([sounds[part] for part in parts])

    def clip(self, line: str) -> Samples:
        """A line that was said before: mono samples."""
        return self._clips[line]
