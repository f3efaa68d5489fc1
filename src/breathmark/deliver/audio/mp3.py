"""MP3 of exact length: LAME's encoder, our own ID3 tag, a corrected LAME tag.

A decoder drops the samples that the LAME tag in the first frame calls delay and padding.
The muxer limits that padding to one frame, which is too little for some lengths, so the
tag is corrected from the number of frames it counts itself.  Tag layout: "MP3 Info Tag
revision 1 specifications" (G. Bouvigne) and LAME's own writer.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path
from typing import BinaryIO

import av
import numpy as np
from av.audio.stream import AudioStream
from av.container import OutputContainer
from numpy.typing import NDArray

from breathmark.deliver.audio import id3
from breathmark.deliver.audio.encoded import EncodedWriter
from breathmark.deliver.audio.recording import Recording
from breathmark.problems import Fault

USUAL_BIT_RATE = 64_000
"""Bits a second: more than enough for one voice at 24 kHz (common practice)."""

LAME_SCALE = 0.95
"""What LAME multiplies its input by (-0.445 dB, at every bit rate: measured); undone here."""

_KBITS_BELOW_32_KHZ = (8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160)
_KBITS = (32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320)


def writer(path: Path, recording: Recording, bit_rate: int | None) -> Mp3Writer:
    """An MP3 writer at a constant ``bit_rate``; a Fault for a rate the format lacks."""
    chosen = USUAL_BIT_RATE if bit_rate is None else bit_rate
    possible = _KBITS_BELOW_32_KHZ if recording.rate_hz < 32_000 else _KBITS
    if chosen not in {1000 * kbits for kbits in possible}:
        raise Fault(
            f"MP3 at {recording.rate_hz} Hz has no bit rate of {chosen}",
            remedy=f"Choose, in thousands: {', '.join(map(str, possible))}.",
        )
    return Mp3Writer(path, recording, chosen)


class Mp3Writer(EncodedWriter):
    """Writes the ID3 tag, then the frames after it, then corrects the LAME tag."""

    sample_format = "fltp"
    _file: BinaryIO | None = None

    def __init__(self, path: Path, recording: Recording, bit_rate: int) -> None:
        super().__init__(path, recording)
        self._bit_rate = bit_rate
        self._tag = id3.tag(recording)

    def _open_container(self) -> tuple[OutputContainer, AudioStream]:
        self._file = self.path.open("w+b")
        self._file.write(self._tag)
        behind = _Behind(self._file, len(self._tag))
        # Without "flush_packets" every frame is handed over by itself.
        options = {"id3v2_version": "0", "flush_packets": "0"}
        container = av.open(behind, "w", format="mp3", options=options)
        # Level 7 of LAME is about twice as fast as the usual one (measured).
        stream = container.add_stream(
            "libmp3lame", rate=self.recording.rate_hz, options={"compression_level": "7"}
        )
        stream.layout = "mono"
        stream.bit_rate = self._bit_rate
        stream.format = "fltp"
        return container, stream

    def _encode(self, samples: NDArray[np.int16]) -> None:
        self._mux(self._frame(samples, self.recording.rate_hz, np.float32(32768 * LAME_SCALE)))

    def _finish(self) -> None:
        super()._finish()
        if self._file is not None:
            _correct_padding(self._file, len(self._tag), self.recording)
            self._file.close()

    def _let_go(self) -> None:
        try:
            super()._let_go()
        finally:
            if self._file is not None:
                self._file.close()


class _Behind(io.RawIOBase):
    """The part of a file behind ``offset``, as a file of its own for the muxer.

    Once the disk has refused, nothing more is written: the muxer goes on while it is
    closed, and what it then meets is printed as a traceback.
    """

    def __init__(self, file: BinaryIO, offset: int) -> None:
        self._file = file
        self._offset = offset
        self._refused = False

    def writable(self) -> bool:
        return True

    def seekable(self) -> bool:
        return True

    def write(self, data: bytes) -> int:  # type: ignore[override] # PyAV hands over bytes
        return self._unless_refused(lambda: self._file.write(data), otherwise=len(data))

    def seek(self, offset: int, whence: int = io.SEEK_SET) -> int:
        if whence == io.SEEK_SET:
            offset += self._offset
        return self._unless_refused(lambda: self._file.seek(offset, whence) - self._offset)

    def tell(self) -> int:
        return self._unless_refused(lambda: self._file.tell() - self._offset)

    def _unless_refused(self, act: Callable[[], int], *, otherwise: int = 0) -> int:
        if self._refused:
            return otherwise
        try:
            return act()
        except OSError:
            self._refused = True
            raise


def _correct_padding(file: BinaryIO, first_frame: int, recording: Recording) -> None:
    """Make the LAME tag drop exactly what is more than the recording's samples."""
    long_frame = recording.rate_hz >= 32_000  # MPEG 1; MPEG 2 has half frames
    info = 4 + (17 if long_frame else 9)  # header and mono side information come first
    lame = info + 120  # "Info", flags, frames, bytes, 100 seek points, quality
    file.seek(first_frame)
    head = bytearray(file.read(lame + 36))
    if head[info : info + 4] != b"Info" or len(head) != lame + 36:
        raise Fault("the MP3 encoder wrote no length information in its first frame")
    frames = int.from_bytes(head[info + 8 : info + 12])
    delay = int.from_bytes(head[lame + 21 : lame + 24]) >> 12
    padding = frames * (1152 if long_frame else 576) - delay - recording.length
    if not 0 <= padding < 1 << 12:
        raise Fault(f"the MP3 encoder's length is beyond correction ({padding} samples)")
    head[lame + 21 : lame + 24] = (delay << 12 | padding).to_bytes(3)
    # The tag's own check sum covers everything in front of it, as LAME computes it.
    head[lame + 34 :] = _crc_16(head[: lame + 34]).to_bytes(2)
    file.seek(first_frame)
    file.write(head)


def _crc_16(data: bytes | bytearray) -> int:
    """CRC-16/ARC, the check sum of the LAME tag.

    >>> hex(_crc_16(b"123456789"))
    '0xbb3d'
    """
    register = 0
    for byte in data:
        register ^= byte
        for _ in range(8):
            register = register >> 1 ^ (0xA001 if register & 1 else 0)
    return register
