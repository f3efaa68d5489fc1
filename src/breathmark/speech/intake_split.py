"""A recording split on its pauses: where there is sound, and what kind of sound it is.

The threshold lies above the noise of the room that the recording itself shows.  A sound
is what lies between two pauses; it may be a line, a part of one, or a cough.
"""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from breathmark.speech.intake_sound import TAKE_RATE_HZ, RecordingProblem

PAUSE_MS = 250
"""A silence from this long on splits; shorter ones belong to the speech."""

LOOK_HZ = 16_000
"""The rate at which recordings are looked at."""

_FRAME_MS = 10
_LEAST_RANGE_DB = 14.0  # between the room and the speech
_SHORTEST_MS = 60  # clicks are shorter
_EDGE_MS = 160  # how far a soft consonant may lie outside of what was found
_LEAD_MS, _TRAIL_MS = 20, 90  # a last t or p comes late and is soft
_VOICE_HZ = (70.0, 400.0)
_BURST_DB = 5.0  # a single frame so far above the threshold is a t or a p
_CLEAR_DB = 40.0
_PERIODIC = 0.55  # a normalised autocorrelation above this is a voiced sound


@dataclass(frozen=True, kw_only=True, slots=True)
class Piece:
    """One sound: ``start`` and ``end`` in samples at :data:`TAKE_RATE_HZ`.

    ``sound_ms`` is how long it sounds, its edges trimmed.  ``voiced`` is the part of it
    that has a pitch, 0 to 1: near 0 for coughs, knocks and pages.  ``sudden_db`` is the
    level of its first moments over its own: high for speech whose beginning is lost.
    ``file`` is the file's index.
    """

    start: int
    end: int
    sound_ms: float
    voiced: float
    sudden_db: float
    file: int = 0

    @property
    def start_ms(self) -> float:
        """Where it starts in its file."""
        return self.start * 1000 / TAKE_RATE_HZ

    @property
    def end_ms(self) -> float:
        """Where it ends in its file."""
        return self.end * 1000 / TAKE_RATE_HZ


def split(samples: NDArray[np.float32], *, file: int = 0) -> tuple[Piece, ...]:
    """The sounds of a recording (mono, at :data:`TAKE_RATE_HZ`), in order.

    Raises :class:`~breathmark.speech.intake_sound.RecordingProblem` when nothing stands
    out from the noise.
    """
    look = at_look_rate(samples)
    levels = _levels_db(look, _FRAME_MS)
    floor, loud = (float(np.percentile(levels, part)) for part in (10, 98))
    if loud < -60.0:
        raise RecordingProblem("the recording is silent. Is the microphone on?")
    floor = min(max(floor, -80.0), _quietest_run(levels))
    if loud - floor < _LEAST_RANGE_DB:
        raise RecordingProblem(
            "no speech stands out in the recording: it is all noise, or it has no pauses"
        )
    threshold = floor + float(np.clip(0.25 * (loud - floor), 5.0, 14.0))
    found = _pydub().silence.detect_nonsilent(
        _segment(look), min_silence_len=PAUSE_MS, silence_thresh=threshold, seek_step=_FRAME_MS
    )
    pieces = [_piece(look, levels, span, threshold, file) for span in found]
    return tuple(piece for piece in pieces if piece.sound_ms >= _SHORTEST_MS)


def whole(samples: NDArray[np.float32], *, file: int = 0) -> Piece | None:
    """A short recording as one sound, from its first to its last; ``None`` without any."""
    try:
        pieces = split(samples, file=file)
    except RecordingProblem:
        return None
    if not pieces:
        return None
    sound_ms = pieces[-1].end_ms - pieces[0].start_ms - _LEAD_MS - _TRAIL_MS
    weights = [piece.sound_ms for piece in pieces]
    return Piece(
        start=pieces[0].start,
        end=pieces[-1].end,
        sound_ms=sound_ms,
        voiced=float(np.average([piece.voiced for piece in pieces], weights=weights)),
        sudden_db=pieces[0].sudden_db,
        file=file,
    )


def at_look_rate(samples: NDArray[np.float32]) -> NDArray[np.float32]:
    """The samples at the rate in which they are looked at."""
    import soxr

    looked: NDArray[np.float32] = soxr.resample(samples, TAKE_RATE_HZ, LOOK_HZ)
    return looked


def _levels_db(look: NDArray[np.float32], frame_ms: int) -> NDArray[np.float64]:
    width = LOOK_HZ * frame_ms // 1000
    count = len(look) // width
    if not count:
        raise RecordingProblem("the recording is too short to hold a word")
    frames = look[: count * width].reshape(count, width).astype(np.float64)
    levels: NDArray[np.float64] = 10.0 * np.log10(np.mean(frames * frames, axis=1) + 1e-9)
    return levels


def _quietest_run(levels: NDArray[np.float64]) -> float:
    """The level of the quietest fifth of a second: a tight clip has no other silence."""
    run = min(20, len(levels))
    means = np.convolve(levels, np.ones(run) / run, mode="valid")
    return max(float(means.min()), -80.0)


def _piece(
    look: NDArray[np.float32],
    levels: NDArray[np.float64],
    span_ms: tuple[int, int],
    threshold: float,
    file: int,
) -> Piece:
    """A sound with its edges found to a frame, and what kind of sound it is."""
    edge = _EDGE_MS // _FRAME_MS
    first = max(0, span_ms[0] // _FRAME_MS - edge)
    last = min(len(levels), span_ms[1] // _FRAME_MS + edge)
    near = levels[first:last]
    clear = (_smoothed(near) > threshold) | (near > threshold + _BURST_DB)
    above = np.flatnonzero(clear)
    start = first + int(above[0]) if len(above) else span_ms[0] // _FRAME_MS
    end = first + int(above[-1]) + 1 if len(above) else span_ms[1] // _FRAME_MS
    per = TAKE_RATE_HZ * _FRAME_MS // 1000
    lead, trail = TAKE_RATE_HZ * _LEAD_MS // 1000, TAKE_RATE_HZ * _TRAIL_MS // 1000
    length = len(look) * (TAKE_RATE_HZ // LOOK_HZ)
    width = LOOK_HZ * _FRAME_MS // 1000
    return Piece(
        start=max(0, start * per - lead),
        end=min(length, end * per + trail),
        sound_ms=float((end - start) * _FRAME_MS),
        voiced=_voiced(look[start * width : end * width]),
        sudden_db=_sudden_db(look, start * width, end * width),
        file=file,
    )


def _smoothed(levels: NDArray[np.float64]) -> NDArray[np.float64]:
    """Levels over three frames, so that a crackle in the noise is no edge."""
    if len(levels) < 3:
        return levels
    padded = np.pad(levels, 1, mode="edge")
    middle: NDArray[np.float64] = np.median([padded[:-2], padded[1:-1], padded[2:]], axis=0)
    return middle


def _voiced(sound: NDArray[np.float32]) -> float:
    """The part of a sound's louder frames that has a pitch."""
    width, hop = LOOK_HZ * 40 // 1000, LOOK_HZ * 20 // 1000
    if len(sound) < width:
        return 0.0
    frames = np.lib.stride_tricks.sliding_window_view(sound, width)[::hop].astype(np.float64)
    frames = frames - frames.mean(axis=1, keepdims=True)
    energy = np.sum(frames * frames, axis=1)
    frames = frames[energy > 0.01 * energy.max()] * np.hanning(width)
    spectrum = np.abs(np.fft.rfft(frames, 2 * width, axis=1)) ** 2
    lags = np.fft.irfft(spectrum, axis=1)[:, :width]
    window = np.abs(np.fft.rfft(np.hanning(width), 2 * width)) ** 2
    taper = np.fft.irfft(window)[:width]
    low, high = int(LOOK_HZ / _VOICE_HZ[1]), int(LOOK_HZ / _VOICE_HZ[0])
    shares = lags[:, low:high] / np.maximum(lags[:, :1], 1e-12)
    best = np.max(shares / (taper[low:high] / taper[0]), axis=1)
    return float(np.mean(best > _PERIODIC))


def _sudden_db(look: NDArray[np.float32], start: int, end: int) -> float:
    """The level of the first 4 ms that stand out from what was before, over the usual level."""
    width, before = LOOK_HZ // 1000, LOOK_HZ * 120 // 1000
    quiet = look[max(0, start - before) : max(0, start - before // 3)]
    near = look[max(0, start - before // 3) : start + before]
    levels = _levels_db(near, 1)
    floor = float(np.percentile(_levels_db(quiet, 1), 99)) if len(quiet) >= width else -80.0
    stands_out = np.flatnonzero(levels > floor + 3.0)
    at = int(stands_out[0]) if len(stands_out) else 0
    first = look_level(near[at * width : (at + 4) * width])
    usual = float(np.percentile(_levels_db(look[start:end], _FRAME_MS), 80))
    noisy_db = max(0.0, _CLEAR_DB - (usual - floor))  # noise hides how softly a sound began
    return first - usual - 0.4 * noisy_db


def look_level(sound: NDArray[np.float32]) -> float:
    """The level of a stretch of sound, in dB below full scale; -90 for silence."""
    values = sound.astype(np.float64)
    return float(10.0 * np.log10(np.mean(values * values) + 1e-9)) if len(values) else -90.0


def _segment(look: NDArray[np.float32]) -> Any:
    whole_numbers = np.clip(np.rint(look * 32768.0), -32768, 32767).astype("<i2")
    return _pydub().AudioSegment(
        data=whole_numbers.tobytes(), sample_width=2, frame_rate=LOOK_HZ, channels=1
    )


def _pydub() -> Any:
    """pydub, imported quietly: it warns about a missing ffmpeg, which we never need."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import pydub
        import pydub.silence

    return pydub
