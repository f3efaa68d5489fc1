"""Pace: words a minute as measured on finished clips, and the setting that gives it.

The pace of a voice is the words said, divided by the minutes that the finished clips of
single sentences of four words or more last.  Pauses between sentences are not counted:
a profile sets them by themselves.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from breathmark.problems import Fault
from breathmark.speech.commas import with_comma_pauses
from breathmark.speech.engines import engine_for
from breathmark.speech.finish import FINISH_VERSION, finish
from breathmark.speech.passages import ENGLISH, passage_of
from breathmark.speech.profiles import VoiceProfile
from breathmark.speech.speakable import (
    FEWEST_WORDS,
    is_call,
    sentences,
    speakable,
    words_in,
)
from breathmark.speech.store import ClipStore, key_of
from breathmark.units import SESSION_RATE_HZ

PASSAGE = ENGLISH
"""What pace is calibrated on in English; see :mod:`breathmark.speech.passages`."""

_NEAR = {"piper": 0.005, "system": 0.01}  # of the wished length; a system rate is a whole number
_MOST_TRIES = 6
_FIRST_GUESSES = {"piper": (1.6, 2.0), "system": (1 / 150, 1 / 120)}
_BOUNDS = {"piper": (0.7, 4.0), "system": (1 / 400, 1 / 60)}


def pace_wpm(profile: VoiceProfile, setting: float, lines: Sequence[str] | None = None) -> float:
    """The pace of ``lines`` (else its language's passage) at a setting, in words a minute."""
    if lines is None:
        lines = passage_of(profile.language)
    texts = tuple(
        text
        for line in lines
        for text in sentences(speakable(line, {}, profile.language))
        if not is_call(text)
    )
    if not texts:
        raise ValueError(f"pace needs sentences of {FEWEST_WORDS} words or more")
    engine = engine_for(profile, setting)
    try:
        length = sum(
            len(
                with_comma_pauses(
                    finish(raw, SESSION_RATE_HZ),
                    texts[at],
                    profile.comma_pause_ms,
                    SESSION_RATE_HZ,
                )
            )
            for at, raw in engine.speak(texts)
        )
    finally:
        engine.close()
    return sum(map(words_in, texts)) * 60 * SESSION_RATE_HZ / length


def calibrate(profile: VoiceProfile) -> float:
    """The engine's setting at which the passage has the profile's pace.

    Raises :class:`~breathmark.problems.Fault` when the voice cannot be brought there.
    """
    # The length of speech is nearly a straight line in Piper's scale, and in one over
    # the rate of a system voice, so the secant gets there in two or three steps.
    to_setting = _as_it_is if profile.engine == "piper" else _one_over
    setting = to_setting(_secant(
        lambda x: profile.pace_wpm / pace_wpm(profile, to_setting(x)) - 1.0,
        _FIRST_GUESSES[profile.engine], _BOUNDS[profile.engine], _NEAR[profile.engine],
    ))  # fmt: skip
    return round(setting, 4)


def setting_for(profile: VoiceProfile, store: ClipStore | None) -> tuple[float, tuple[str, ...]]:
    """The setting that gives a profile its pace, and what to tell about how it was found.

    It comes from the profile when that was calibrated at this pace on this model, else
    from the store, else it is measured now and remembered.
    """
    engine = engine_for(profile, 1.0)
    known = profile.calibrated
    if known and known.pace_wpm == profile.pace_wpm and known.model == engine.model:
        return known.setting, ()
    decided = str(sorted(engine.fingerprint().items()))
    key = key_of("pace", decided, FINISH_VERSION, str(profile.pace_wpm),
                 str(profile.comma_pause_ms), *passage_of(profile.language))  # fmt: skip
    remembered = _number(store.recall(key)) if store else None
    if remembered is not None:
        return remembered, ()
    setting = calibrate(profile)
    note = f"measured the voice `{profile.name}` for {profile.pace_wpm} words a minute"
    if store:
        try:
            store.note(key, repr(setting))
        except Fault:  # it will be measured again next time
            return setting, (note,)
    return setting, (note,)


def _number(text: str | None) -> float | None:
    try:
        return None if text is None else float(text)
    except ValueError:
        return None


def _as_it_is(x: float) -> float:
    return x


def _one_over(x: float) -> float:
    return 1.0 / x


def _secant(
    off: Callable[[float], float],
    guesses: tuple[float, float],
    bounds: tuple[float, float],
    near: float,
) -> float:
    """Where ``off`` is zero, to within ``near``; both guesses and all steps in bounds."""
    before, at = guesses
    off_before = off(before)
    for _ in range(_MOST_TRIES):
        off_at = off(at)
        if abs(off_at) <= near:
            return at
        slope = (off_at - off_before) / (at - before)
        if slope == 0:
            break
        following = min(max(at - off_at / slope, bounds[0]), bounds[1])
        if following == at:
            break
        before, off_before, at = at, off_at, following
    raise Fault("the voice cannot be brought to the pace of its profile",
                remedy="Choose a pace nearer to 150 words a minute.")  # fmt: skip
