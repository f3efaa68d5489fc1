"""The chapters' pictures of an M4A: a second chapter track, beside the one with the titles.

The sound track names its chapter tracks in `tref`/`chap`; of a track of titles players show
the names, of a track of JPEG pictures the pictures (Apple, "QuickTime File Format", Track
References and Chapter Lists; that the second track may be pictures is common practice).
The muxer writes the titles alone, so the track is added to the finished file here.

Box layouts: ISO/IEC 14496-12, the clauses beside them.
"""

from __future__ import annotations

import struct
from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise
from pathlib import Path

from breathmark.problems import Fault

_UNITY = struct.pack(">9i", 1 << 16, 0, 0, 0, 1 << 16, 0, 0, 0, 1 << 30)


def add_pictures(
    path: Path, pictures: Sequence[bytes], starts: Sequence[int], length: int, side_px: int
) -> None:
    """Add a picture for each chapter to a finished file with the index at its front.

    ``pictures`` are square JPEG pictures of ``side_px``, ``starts`` the first samples of the
    chapters, and ``length`` is the recording's, all in the movie's timescale.  A
    :class:`~breathmark.problems.Fault` for a file that is not built as ours are.
    """
    data = path.read_bytes()
    boxes = {name: (start, end) for name, start, end in _boxes(data, 0, len(data))}
    if not {b"moov", b"mdat"} <= boxes.keys() or boxes[b"moov"] > boxes[b"mdat"]:
        raise Fault("the M4A's index is not where it should be")
    start, end = boxes[b"moov"]
    track = _Track(pictures, [0, *starts[1:], length], side_px)
    old = data[start + 8 : end]
    growth = len(_movie(old, track, 0, 0)) - len(old)
    movie = _movie(old, track, growth, len(data) + growth + 8)
    path.write_bytes(
        data[:start] + _box(b"moov", movie) + data[end:] + _box(b"mdat", b"".join(pictures))
    )


class _Track:
    """The track of pictures: its samples, and when each begins and the last ends."""

    def __init__(self, pictures: Sequence[bytes], times: Sequence[int], side_px: int) -> None:
        self.pictures, self.times, self.side_px = pictures, times, side_px

    def box(self, number: int, timescale: int, offset: int) -> bytes:
        """The whole `trak`; ``offset`` is where in the file the first picture lies."""
        length, side = self.times[-1], self.side_px
        # 8.3.2: not enabled, as nobody watches it; times unstated, number, length, matrix, size.
        head = struct.pack(">5I8x", 0, 0, number, 0, length)
        head += struct.pack(">4h", 0, 0, 0, 0) + _UNITY + struct.pack(">2I", side << 16, side << 16)
        media = _full(b"mdhd", struct.pack(">4IHH", 0, 0, timescale, length, 0x55C4, 0))  # 8.4.2
        handler = struct.pack(">I4s12x", 0, b"vide") + b"\0"  # 8.4.3
        place = _full(b"dref", struct.pack(">I", 1) + _full(b"url ", b"", 1))  # 8.7.2: this file
        inside = (
            _full(b"vmhd", bytes(8), 1),  # 12.1.2
            _box(b"dinf", place),
            _box(b"stbl", self._samples(offset)),
        )
        media += _full(b"hdlr", handler) + _box(b"minf", b"".join(inside))
        return _box(b"trak", _full(b"tkhd", head) + _box(b"mdia", media))

    def _samples(self, offset: int) -> bytes:
        count = len(self.pictures)
        lasting = [later - earlier for earlier, later in pairwise(self.times)]
        # 12.1.3: one sort of picture, 72 dots an inch, one in a sample, 24 bits of colour.
        entry = struct.pack(">6xH16xHHIIIH32xHh", 1, self.side_px, self.side_px,
                            72 << 16, 72 << 16, 0, 1, 24, -1)  # fmt: skip
        times = b"".join(struct.pack(">II", 1, each) for each in lasting)
        sizes = b"".join(struct.pack(">I", len(one)) for one in self.pictures)
        return b"".join(
            (
                _full(b"stsd", struct.pack(">I", 1) + _box(b"jpeg", entry)),
                _full(b"stts", struct.pack(">I", count) + times),  # 8.6.1.2
                _full(b"stsc", struct.pack(">4I", 1, 1, count, 1)),  # 8.7.4: all in one chunk
                _full(b"stsz", struct.pack(">II", 0, count) + sizes),  # 8.7.3
                _full(b"stco", struct.pack(">II", 1, offset)),  # 8.7.5
            )
        )


def _movie(old: bytes, track: _Track, growth: int, offset: int) -> bytes:
    """The body of `moov` with the track in it; what it lies before moves by ``growth``."""
    head = next(old[start:end] for name, start, end in _boxes(old, 0, len(old)) if name == b"mvhd")
    timescale, number = struct.unpack(">I", head[20:24])[0], struct.unpack(">I", head[-4:])[0]
    parts, tracks = [], 0
    for name, start, end in _boxes(old, 0, len(old)):
        whole = old[start:end]
        if name == b"mvhd":  # 8.2.2: it ends with the number that the next track gets
            whole = whole[:-4] + struct.pack(">I", number + 1)
        elif name == b"trak":
            whole = _inside(whole, _CONTAINERS, lambda n, body: _moved(n, body, growth))
            if not tracks:
                whole = _inside(whole, (b"tref",), lambda n, body: _named(n, body, number))
            tracks += 1
        elif tracks:  # the track comes behind the other tracks
            parts.append(track.box(number, timescale, offset))
            tracks = 0
        parts.append(whole)
    if tracks:
        parts.append(track.box(number, timescale, offset))
    return b"".join(parts)


_CONTAINERS = (b"mdia", b"minf", b"stbl")


def _inside(
    box: bytes, containers: Sequence[bytes], change: Callable[[bytes, bytes], bytes]
) -> bytes:
    """A box with every box in it, and in ``containers`` in it, changed."""
    parts = []
    for name, start, end in _boxes(box, 8, len(box)):
        whole = box[start:end]
        if name in containers:
            whole = _inside(whole, containers, change)
        parts.append(whole if name in containers else _box(name, change(name, whole[8:])))
    return _box(box[4:8], b"".join(parts))


def _moved(name: bytes, body: bytes, growth: int) -> bytes:
    """8.7.5: where the chunks lie, counted from the beginning of the file."""
    if name == b"co64":
        raise Fault("an M4A of more than 4 GB cannot have pictures in its chapters")
    if name != b"stco":
        return body
    offsets = struct.iter_unpack(">I", body[8:])
    return body[:8] + b"".join(struct.pack(">I", at + growth) for (at,) in offsets)


def _named(name: bytes, body: bytes, number: int) -> bytes:
    """8.3.3: one more track of chapters."""
    return body + struct.pack(">I", number) if name == b"chap" else body


def _boxes(data: bytes, start: int, end: int) -> Iterator[tuple[bytes, int, int]]:
    """Name, beginning and end of each box (4.2)."""
    while start < end:
        size = int.from_bytes(data[start : start + 4])
        if size < 8 or start + size > end:
            raise Fault("the M4A encoder wrote a box of a size that is not understood")
        yield data[start + 4 : start + 8], start, start + size
        start += size


def _box(name: bytes, body: bytes) -> bytes:
    return struct.pack(">I", 8 + len(body)) + name + body


def _full(name: bytes, body: bytes, flags: int = 0) -> bytes:
    """A box with a version, 0, and flags (4.2)."""
    return _box(name, struct.pack(">I", flags) + body)
