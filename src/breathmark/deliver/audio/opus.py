"""Opus in Ogg: always at 48 kHz, with the end of the last page saying the exact length.

Sources: RFC 7845 (Ogg Opus; 4.5 for trimming the end) and RFC 6716.
"""

from __future__ import annotations

from pathlib import Path

import av
import numpy as np
import soxr
from av.audio.stream import AudioStream
from av.container import OutputContainer
from numpy.typing import NDArray

from breathmark.deliver.audio import vorbis
from breathmark.deliver.audio.encoded import EncodedWriter
from breathmark.deliver.audio.recording import Recording
from breathmark.problems import Fault

USUAL_BIT_RATE = 48_000
"""Bits a second: a little over what full-band speech in mono needs (RFC 6716, 2.1.1)."""

_APPLICATION = "lowdelay"
"""Keeps the encoder in its transform mode.  Choosing between modes by itself, it put a
burst of 11 dB into a gliding tone at 24 to 48 kbit/s (measured, libopus in PyAV 18).
"""

_RATE_HZ = 48_000


def writer(path: Path, recording: Recording, bit_rate: int | None) -> OpusWriter:
    """An Opus writer at about ``bit_rate``; a Fault outside 6 to 256 thousand."""
    chosen = USUAL_BIT_RATE if bit_rate is None else bit_rate
    if not 6_000 <= chosen <= 256_000:
        raise Fault(f"Opus takes 6 000 to 256 000 bits a second for one channel, not {chosen}")
    return OpusWriter(path, recording, chosen)


class OpusWriter(EncodedWriter):
    """Resamples to 48 kHz on the way; the samples are 32-bit floating point from there on.

    The resampler dithers 16-bit samples at random, which would make every build
    different; floating point ones it does not.
    """

    sample_format = "flt"

    def __init__(self, path: Path, recording: Recording, bit_rate: int) -> None:
        super().__init__(path, recording)
        self._bit_rate = bit_rate
        self._resampler = soxr.ResampleStream(
            recording.rate_hz, _RATE_HZ, 1, dtype="float32", quality="HQ"
        )

    def _open_container(self) -> tuple[OutputContainer, AudioStream]:
        options = {"fflags": "+bitexact"}  # else the stream's serial number is random
        container = av.open(str(self.path), "w", format="opus", options=options)
        stream = container.add_stream(
            "libopus", rate=_RATE_HZ, options={"application": _APPLICATION, "flags": "+bitexact"}
        )
        stream.layout = "mono"
        stream.bit_rate = self._bit_rate
        container.metadata.update(vorbis.comments(self.recording))
        if self.recording.cover is not None:
            container.metadata["METADATA_BLOCK_PICTURE"] = vorbis.picture_comment(
                self.recording.cover
            )
        return container, stream

    def _encode(self, samples: NDArray[np.int16]) -> None:
        self._pass_resampled(samples, last=False)

    def _finish(self) -> None:
        self._pass_resampled(np.empty(0, np.int16), last=True)
        super()._finish()

    def _pass_resampled(self, samples: NDArray[np.int16], *, last: bool) -> None:
        level = samples.astype(np.float32) / np.float32(32_768)
        resampled = self._resampler.resample_chunk(level, last=last)
        if resampled.size:
            self._mux(self._frame(resampled, _RATE_HZ))
