"""Finishing: an engine's raw sentence becomes a clip that fits beside any other.

Near-silence is trimmed to a fixed lead and trail, the level brought to one reference,
peaks kept below a ceiling, and sentences joined with an exact pause.  Everything is in
whole samples at the session's rate.
"""

from __future__ import annotations

import warnings
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from breathmark.speech.engines.base import RawSpeech, UnspeakableError
from breathmark.units import samples

FINISH_VERSION = "4"
"""Part of every clip's key; changes whenever finishing changes what comes out."""

LEAD_MS, TRAIL_MS = 15, 40
"""What stays before and after the sound, so that no weak consonant is cut."""

LEVEL_DBFS = -22.0
"""The level of every clip: root mean square over its sounding parts."""

PEAK_DBFS = -3.0
"""No sample of a clip goes past this."""

_QUIET_DB = 46.0  # below the loudest part: under the weakest /h/ and /f/ measured
_WEAK_DB, _MOST_WEAK_MS = 35.0, 24
"""Sound further below a clip's level than this is heard by nobody; of such an opening (the
breath of an /f/, the closure of a /b/) so much stays that a word still starts on its beat."""

_CLICK_DB, _CLICK_MS, _CLICK_GAP_MS = 25.0, 40, 30
"""A faint sound this far below a clip's level, so short, with so much near-silence behind it is
no part of a word: a slowed voice puts one before the "t" of "two", 85 ms too early."""

_STEP_MS = 5
_EDGE_MS, _FADE_IN_MS, _FADE_OUT_MS = 2, 5, 20
_ACTIVE_DB = 30.0  # frames this far below the loudest are pauses, not speech
_FULL = 32768.0


def finish(raw: RawSpeech, rate_hz: int) -> NDArray[np.int16]:
    """One sentence, finished: mono samples at ``rate_hz``.

    Raises :class:`~breathmark.speech.engines.base.UnspeakableError` when there is no
    sound in it.
    """
    at_rate = _resampled(raw, rate_hz)
    segment = _segment(at_rate, rate_hz)
    if segment.max == 0:
        raise UnspeakableError("the voice gave silence for a line")
    trimmed = _trimmed(segment, rate_hz)
    levelled = _levelled(trimmed)
    return np.array(levelled.get_array_of_samples(), dtype=np.int16)


def levelled(sound: NDArray[np.float32], rate_hz: int) -> NDArray[np.int16]:
    """Finished sound that was changed, brought to the reference level again."""
    segment = _segment(sound, rate_hz)
    return np.array(_levelled(segment).get_array_of_samples(), dtype=np.int16)


def join(pieces: Sequence[NDArray[np.int16]], pause_ms: int, rate_hz: int) -> NDArray[np.int16]:
    """Finished sentences as one clip, exactly ``pause_ms`` between sound and sound.

    The lead and the trail of the pieces count as part of the pause.
    """
    quiet_ms = max(0, pause_ms - LEAD_MS - TRAIL_MS)
    gap = np.zeros(samples(quiet_ms, rate_hz), dtype=np.int16)
    parts = [part for piece in pieces for part in (gap, piece)]
    return np.concatenate(parts[1:])


def _resampled(raw: RawSpeech, rate_hz: int) -> NDArray[np.float32]:
    if raw.rate_hz == rate_hz:
        return raw.samples
    import soxr

    at_rate: NDArray[np.float32] = soxr.resample(raw.samples, raw.rate_hz, rate_hz)
    return at_rate


def _segment(at_rate: NDArray[np.float32], rate_hz: int) -> Any:
    whole = np.clip(np.rint(at_rate * _FULL), -_FULL, _FULL - 1).astype("<i2")
    return _pydub().AudioSegment(
        data=whole.tobytes(), sample_width=2, frame_rate=rate_hz, channels=1
    )


def _trimmed(segment: Any, rate_hz: int) -> Any:
    """The sound with exactly the lead and the trail, silence added where too little is there."""
    pydub = _pydub()
    loudest = _loudest_dbfs(segment)
    find = pydub.silence.detect_leading_silence
    heard = find(segment, _active_dbfs(segment) - _WEAK_DB, 2 * _STEP_MS)
    heard = max(heard, _behind_click_ms(segment, heard, loudest - _QUIET_DB))
    start = max(find(segment, loudest - _QUIET_DB, _STEP_MS), heard - _MOST_WEAK_MS)
    end = len(segment) - find(segment.reverse(), loudest - _QUIET_DB, _STEP_MS)
    silence = pydub.AudioSegment.silent(duration=LEAD_MS + TRAIL_MS, frame_rate=rate_hz)
    faded = segment.fade_in(_EDGE_MS).fade_out(_EDGE_MS)  # a voice may start or stop at once
    padded = silence + faded + silence
    shift = LEAD_MS + TRAIL_MS
    cut = padded[start + shift - LEAD_MS : end + shift + TRAIL_MS]
    return cut.fade_in(_FADE_IN_MS).fade_out(_FADE_OUT_MS)


def _behind_click_ms(segment: Any, heard_ms: int, quiet_dbfs: float) -> int:
    """Where the sound begins behind a click at ``heard_ms``; 0 where there is none."""
    levels = _frames_dbfs(segment[heard_ms:], _STEP_MS)
    quiet = levels < quiet_dbfs
    gap = _CLICK_GAP_MS // _STEP_MS
    for end in range(1, min(_CLICK_MS // _STEP_MS, len(levels) - gap) + 1):
        if levels[end - 1] > _active_dbfs(segment) - _CLICK_DB:
            return 0
        if quiet[end : end + gap].all():
            behind = segment[heard_ms + end * _STEP_MS :]
            find = _pydub().silence.detect_leading_silence
            more: int = find(behind, _active_dbfs(segment) - _WEAK_DB, 2 * _STEP_MS)
            return heard_ms + end * _STEP_MS + more
    return 0


def _levelled(segment: Any) -> Any:
    gain = min(LEVEL_DBFS - _active_dbfs(segment), PEAK_DBFS - segment.max_dBFS)
    return segment.apply_gain(gain)


def _frames_dbfs(segment: Any, frame_ms: int) -> NDArray[np.float64]:
    """The level of each whole frame, in dB below full scale."""
    values = np.array(segment.get_array_of_samples(), dtype=np.float64) / _FULL
    width = segment.frame_rate * frame_ms // 1000
    count = max(1, len(values) // width)
    frames = np.resize(values, (count, width)) if len(values) < width else (
        values[: count * width].reshape(count, width)
    )  # fmt: skip
    power = np.mean(frames * frames, axis=1)
    levels: NDArray[np.float64] = 10.0 * np.log10(np.maximum(power, 1e-12))
    return levels


def _loudest_dbfs(segment: Any) -> float:
    return float(_frames_dbfs(segment, _STEP_MS).max())


def _active_dbfs(segment: Any) -> float:
    """The level over the frames that sound, in dB below full scale."""
    levels = _frames_dbfs(segment, 20)
    active = levels[levels > levels.max() - _ACTIVE_DB]
    return float(10.0 * np.log10(np.mean(10.0 ** (active / 10.0))))


def _pydub() -> Any:
    """pydub, imported quietly: it warns about a missing ffmpeg, which we never need."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import pydub
        import pydub.silence

    return pydub
