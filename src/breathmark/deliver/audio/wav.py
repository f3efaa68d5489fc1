"""WAV: plain 16-bit PCM with cue points, their labels, and INFO tags.

The length is known before the first sample, so the whole header is written at once and
everything else follows the samples, where no simple player trips over it.  Source:
Microsoft and IBM, "Multimedia Programming Interface and Data Specifications 1.0" (1991).
The texts are UTF-8, which the specification leaves open.
"""

from __future__ import annotations

import struct
from pathlib import Path
from typing import BinaryIO

import numpy as np
from numpy.typing import NDArray

from breathmark.deliver.audio.counted import CountedWriter
from breathmark.deliver.audio.recording import Chapter, Recording
from breathmark.problems import Fault

_MOST_BYTES = 0xFFFF_FFFF
"""RIFF counts bytes in 32 bits."""


def writer(path: Path, recording: Recording, bit_rate: int | None) -> WavWriter:
    """A WAV writer; a Fault for a bit rate, or a recording too long for RIFF."""
    if bit_rate is not None:
        raise Fault("WAV keeps every sample and has no bit rate to choose")
    return WavWriter(path, recording)


class WavWriter(CountedWriter):
    """Writes the header, the samples, then the chapters and tags."""

    _file: BinaryIO | None = None

    def __init__(self, path: Path, recording: Recording) -> None:
        super().__init__(path, recording)
        self._header, self._rest = _around_the_samples(recording)

    def _open(self) -> None:
        self._file = self.path.open("wb")
        self._file.write(self._header)

    def _encode(self, samples: NDArray[np.int16]) -> None:
        if self._file is not None:
            self._file.write(samples.astype("<i2", copy=False).tobytes())

    def _finish(self) -> None:
        if self._file is not None:
            self._file.write(self._rest)
            self._file.close()

    def _let_go(self) -> None:
        if self._file is not None:
            self._file.close()


def _around_the_samples(recording: Recording) -> tuple[bytes, bytes]:
    rate_hz, size = recording.rate_hz, 2 * recording.length
    # Format 1 is PCM: channels, rate, bytes a second, bytes a sample, bits a sample.
    kind = _chunk(b"fmt ", struct.pack("<HHIIHH", 1, 1, rate_hz, 2 * rate_hz, 2, 16))
    rest = _cues(recording.chapters) + _labels(recording.chapters) + _info(recording)
    whole = 4 + len(kind) + 8 + size + len(rest)
    if whole > _MOST_BYTES:
        raise Fault(
            f"{whole} bytes are more than a WAV file can hold",
            remedy="Choose another format for a recording this long, for example flac.",
        )
    riff = b"RIFF" + struct.pack("<I", whole) + b"WAVE"
    return riff + kind + b"data" + struct.pack("<I", size), rest


def _cues(chapters: tuple[Chapter, ...]) -> bytes:
    if not chapters:
        return b""
    # Number, position in play order, chunk, two offsets for compressed data, the sample.
    points = [
        struct.pack("<II4sIII", number, chapter.start, b"data", 0, 0, chapter.start)
        for number, chapter in enumerate(chapters, 1)
    ]
    return _chunk(b"cue ", struct.pack("<I", len(points)) + b"".join(points))


def _labels(chapters: tuple[Chapter, ...]) -> bytes:
    if not chapters:
        return b""
    numbered = tuple(enumerate(chapters, 1))
    names = [
        _chunk(b"labl", struct.pack("<I", number) + chapter.title.encode() + b"\0")
        for number, chapter in numbered
    ]
    # The length of the stretch, its purpose ("rgn "), then country, language, dialect and
    # code page, all unstated.  Behind all names, since a common reader stops at the first.
    stretches = [
        _chunk(b"ltxt", struct.pack("<II4sHHHH", number, chapter.length, b"rgn ", 0, 0, 0, 0))
        for number, chapter in numbered
    ]
    return _chunk(b"LIST", b"adtl" + b"".join(names + stretches))


def _info(recording: Recording) -> bytes:
    tags = recording.tags
    texts = (
        (b"INAM", tags.title),
        (b"IPRD", tags.album),
        (b"ITRK", tags.track_of_tracks),  # common practice; the specification has no tracks
        (b"ICMT", tags.comment),
        (b"ILNG", tags.language),
        (b"ICRD", tags.date),
    )
    entries = [_chunk(name, text.encode() + b"\0") for name, text in texts if text]
    return _chunk(b"LIST", b"INFO" + b"".join(entries))


def _chunk(name: bytes, body: bytes) -> bytes:
    """A chunk: four letters, the size, the body, padded to an even number of bytes."""
    return name + struct.pack("<I", len(body)) + body + b"\0" * (len(body) % 2)
