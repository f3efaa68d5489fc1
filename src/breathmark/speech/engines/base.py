"""What every voice engine offers; one contract test runs over all of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from breathmark.problems import BreathmarkError

LONGEST_TEXT = 5_000
"""Characters an engine accepts at once; about five minutes of speech."""


class UnspeakableError(BreathmarkError):
    """A written line that no voice can say: nothing in it has a sound (exit status 1)."""

    exit_status = 1


@dataclass(frozen=True, slots=True, eq=False)
class RawSpeech:
    """One sentence as the engine gave it: mono samples in -1 to 1, at the engine's rate."""

    samples: NDArray[np.float32]
    rate_hz: int


class Engine(Protocol):
    """A voice: sentences in, samples out, the same every time and in every process."""

    @property
    def model(self) -> str:
        """What a calibration holds for: the model's name, or the system's speech service."""
        ...

    def fingerprint(self) -> Mapping[str, str]:
        """Everything about the engine that decides the sound: versions, model, settings.

        Cheap: it loads no model, because warm builds ask for it too.
        """
        ...

    def speak(self, sentences: Sequence[str]) -> Iterator[tuple[int, RawSpeech]]:
        """Say each sentence, yielding its index with its sound as they are done, in any order.

        The sentences are speakable text.  Raises :class:`UnspeakableError` for text
        without a sound and :class:`~breathmark.problems.Fault` when the engine fails.
        """
        ...

    def close(self) -> None:
        """Give back the model's memory and end helper processes; speaking opens it anew."""
        ...


def require_words(sentences: Sequence[str]) -> None:
    """See that every sentence has a word in it and is short enough to say.

    Raises :class:`UnspeakableError`.
    """
    for sentence in sentences:
        if not any(char.isalnum() for char in sentence):
            raise UnspeakableError(f"nothing can be said in `{sentence[:60]}`")
        if len(sentence) > LONGEST_TEXT:
            raise UnspeakableError(f"a sentence of {len(sentence)} characters is too long to say")
