"""What the formats encoded through PyAV share: a container, one stream, a running clock."""

from __future__ import annotations

import abc
from fractions import Fraction
from typing import ClassVar

import av
import numpy as np
from av.audio.stream import AudioStream
from av.container import OutputContainer
from av.error import FFmpegError
from mutagen import MutagenError
from numpy.typing import NDArray

from breathmark.deliver.audio.counted import CountedWriter


class EncodedWriter(CountedWriter):
    """A counted writer that feeds 16-bit mono samples to one PyAV stream."""

    troubles = (OSError, FFmpegError, MutagenError)
    sample_format: ClassVar[str] = "s16"
    """How the samples are handed over; mono, so planar and packed are the same bytes."""

    _container: OutputContainer | None = None
    _stream: AudioStream
    _clock = 0

    @abc.abstractmethod
    def _open_container(self) -> tuple[OutputContainer, AudioStream]:
        """Open the container and add its stream, with every option and tag set."""

    def _open(self) -> None:
        self.path.open("wb").close()  # the library would notice a bad path much later
        self._container, self._stream = self._open_container()

    def _encode(self, samples: NDArray[np.int16]) -> None:
        self._mux(self._frame(samples, self.recording.rate_hz))

    def _frame(
        self,
        samples: NDArray[np.int16] | NDArray[np.float32],
        rate_hz: int,
        full: np.float32 | None = None,
    ) -> av.AudioFrame:
        """The next samples as a frame; with ``full`` divided by it, into floating point."""
        frame = av.AudioFrame(self.sample_format, "mono", samples.size)
        kind = samples.dtype if full is None else np.float32
        inside = np.frombuffer(frame.planes[0], kind, samples.size)  # type: ignore[call-overload]
        if full is None:
            inside[:] = samples
        else:
            np.divide(samples, full, out=inside)
        frame.sample_rate = rate_hz
        frame.time_base = Fraction(1, rate_hz)
        frame.pts = self._clock
        self._clock += samples.size
        return frame

    def _mux(self, frame: av.AudioFrame | None) -> None:
        container = self._container
        if container is not None:
            container.mux(self._stream.encode(frame))

    def _finish(self) -> None:
        self._mux(None)
        self._close_container()

    def _let_go(self) -> None:
        self._close_container()

    def _close_container(self) -> None:
        container, self._container = self._container, None
        if container is not None:
            container.close()
