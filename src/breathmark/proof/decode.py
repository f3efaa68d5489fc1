"""Sound files read back, block by block, whatever their format.

The file's ending decides which demuxer reads it: nothing is guessed from the content,
so that a playlist or a picture in disguise is refused and not followed.  Lead-in and
padding that the file says to drop (LAME tag, edit list, granule position) are dropped,
so that the samples counted are the samples heard.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from av.audio.frame import AudioFrame
    from av.audio.stream import AudioStream
    from av.container import InputContainer

BLOCK_MS: Final = 2_000
"""Length of a block; a whole number of the meter's 100 ms steps."""

KINDS: Final = {
    ".mp3": ("mp3", "mp3"),
    ".m4a": ("mov", "aac"),
    ".opus": ("ogg", "opus"),
    ".flac": ("flac", "flac"),
    ".wav": ("wav", "pcm_s16le"),
}
"""The endings of sound files, each with its container and its coding."""

_CODECS: Final = {"mp3float": "mp3", "libopus": "opus"}  # decoders named unlike their coding
_IN_THREADS: Final = {".flac"}
"""What FFmpeg's own source decodes in threads of its own, which crash the process now and then.

Seen with FFmpeg 8.1 in one of some hundred decodings on two cores at work.
"""

_STORED: Final = {
    "s16": (np.dtype(np.int16), np.float32(2.0**-15)),
    "flt": (np.dtype(np.float32), np.float32(1)),
}
"""How decoders hand samples over: their type, and what makes full scale 1.0."""


class UnreadableError(Exception):
    """A file that is not what its ending says; the message says why, without the name."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Decoded:
    """A whole file as sound: mono float32 with full scale 1.0."""

    samples: NDArray[np.float32]
    rate_hz: int


@dataclass(frozen=True, kw_only=True, slots=True)
class SoundFile:
    """A sound file that could be opened, and its rate."""

    path: Path
    rate_hz: int

    def blocks(self, *, past_damage: bool = False) -> Iterator[NDArray[np.float32]]:
        """The sound from the start, mono, full scale 1.0, ``BLOCK_MS`` at a time.

        The last block is what is left.  Raises
        :class:`UnreadableError` where the file is damaged; ``past_damage``, in half the
        time, says nothing of it and leaves out what cannot be decoded, so whoever knows how
        many samples are due sees that some are missing.  FLAC knows no such way.
        """
        size = self.rate_hz * BLOCK_MS // 1000
        held: list[NDArray[np.float32]] = []
        waiting = 0
        for part in self._parts(past_damage=past_damage):
            held.append(part)
            waiting += len(part)
            if waiting < size:
                continue
            sound = np.concatenate(held)
            whole = waiting // size * size
            for start in range(0, whole, size):
                yield sound[start : start + size]
            held, waiting = [sound[whole:]], waiting - whole
        if waiting:
            yield np.concatenate(held)

    def _parts(self, *, past_damage: bool) -> Iterator[NDArray[np.float32]]:
        """The sound in pieces as they come."""
        if past_damage and self.path.suffix not in _IN_THREADS:
            yield from _pulled(self.path, self.rate_hz)
            return
        with opened(self.path) as container:
            stream = _only_stream(container)
            for frame in container.decode(stream):
                if frame.sample_rate != self.rate_hz:
                    raise UnreadableError(f"its rate changes on the way, to {frame.sample_rate} Hz")
                yield _samples_of(frame)


def _samples_of(frame: AudioFrame) -> NDArray[np.float32]:
    kind, scale = _STORED[frame.format.packed.name]
    part: NDArray[np.float32] = np.frombuffer(frame.planes[0], kind, frame.samples)  # type: ignore[call-overload]
    return part if scale == 1 else part * scale


def _pulled(path: Path, rate_hz: int) -> Iterator[NDArray[np.float32]]:
    """The sound of a file in whole blocks, as FFmpeg's own source gives it.

    Decoding takes tens of thousands of frames, and this way none of them comes to Python.
    Where there is no such source or the file cannot be opened, nothing comes.
    """
    from av import AudioFrame
    from av.error import FFmpegError
    from av.filter import Graph

    graph = Graph()
    try:
        nodes = (
            graph.add("amovie", filename=str(path.resolve()), format_name=KINDS[path.suffix][0]),
            graph.add("asetnsamples", n=str(rate_hz * BLOCK_MS // 1000), p="0"),
            graph.add("abuffersink"),
        )
        graph.link_nodes(*nodes).configure()
        while isinstance(frame := graph.pull(), AudioFrame) and frame.sample_rate == rate_hz:
            yield _samples_of(frame)
    except (FFmpegError, OSError, ValueError):  # at its end as well
        return


def sound_file(path: Path) -> SoundFile:
    """Open a sound file and see that it is one; raises :class:`UnreadableError`."""
    with opened(path) as container:
        stream = _only_stream(container)
        coding = stream.codec_context.codec.name
        wanted = KINDS[path.suffix][1]
        if _CODECS.get(coding, coding) != wanted:
            raise UnreadableError(f"it holds {coding} where {wanted} is due")
        if stream.codec_context.channels != 1:
            raise UnreadableError(f"it has {stream.codec_context.channels} channels, not one")
        if stream.codec_context.format.packed.name not in _STORED:
            raise UnreadableError(f"its samples are stored as {stream.codec_context.format.name}")
        if not 8_000 <= stream.rate <= 48_000:
            raise UnreadableError(f"it has {stream.rate} samples a second")
        return SoundFile(path=path, rate_hz=stream.rate)


def decode(path: Path) -> Decoded:
    """The whole of a file at once, for short ones; raises :class:`UnreadableError`."""
    sound = sound_file(path)
    blocks = [np.zeros(0, np.float32), *sound.blocks()]
    return Decoded(samples=np.concatenate(blocks), rate_hz=sound.rate_hz)


@contextmanager
def opened(path: Path) -> Iterator[InputContainer]:
    """The container of ``path`` by PyAV; its errors become :class:`UnreadableError`."""
    import av
    from av.error import FFmpegError

    if path.suffix not in KINDS:
        raise UnreadableError(f"no recording ends in {path.suffix!r}")
    try:
        whole = str(path.resolve())  # an absolute path cannot be taken for a protocol
        with av.open(whole, format=KINDS[path.suffix][0], metadata_errors="replace") as container:
            yield container
    except FFmpegError as error:
        raise UnreadableError(f"it cannot be decoded ({str(error.strerror).lower()})") from error
    except OSError as error:
        raise UnreadableError(f"it cannot be read ({error.strerror})") from error


def _only_stream(container: InputContainer) -> AudioStream:
    streams = container.streams.audio
    if len(streams) != 1:
        raise UnreadableError(f"it holds {len(streams)} streams of sound, not one")
    if streams[0].codec_context is None:
        raise UnreadableError("its sound is of a kind that is not known")
    return streams[0]
