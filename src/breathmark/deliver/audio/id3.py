"""ID3 version 2.3 tags, with chapters in the order they are heard.

Written here because the order is what a listener skips by: a general tag library sorts
frames by size, and readers then list the chapters out of order; and under version 2.4 a
long chapter title hides all chapters from a common reader.  Sources: "ID3 tag version
2.3.0" (id3.org, 1999) and "ID3v2 Chapter Frame Addendum" (id3.org, 2005).
"""

from __future__ import annotations

import struct

from breathmark.deliver.audio.recording import Chapter, Recording, picture_type, three_letters
from breathmark.units import milliseconds

_LATIN_1, _UTF_16 = b"\x00", b"\x01"
_OTHER, _FRONT_COVER = 0, 3  # 4.15: kinds of pictures
_UNUSED_OFFSET = 0xFFFF_FFFF
"""Addendum 3.1: with all bits set the byte offset is ignored and the time counts."""


def tag(recording: Recording) -> bytes:
    """The whole tag for the front of an MP3 file."""
    frames = b"".join(
        (
            _words(recording),
            _chapters(recording),
            _lyrics(recording),
            _picture(recording.cover, _FRONT_COVER),
        )
    )
    # 3.1: "ID3", version, flags, then the size in four groups of seven bits.
    size = bytes(len(frames) >> shift & 0x7F for shift in (21, 14, 7, 0))
    return b"ID3\x03\x00\x00" + size + frames


def _words(recording: Recording) -> bytes:
    tags = recording.tags
    year, day_month = tags.date[:4], tags.date[8:10] + tags.date[5:7]
    texts = (
        ("TIT2", tags.title),
        ("TALB", tags.album),
        ("TRCK", tags.track_of_tracks),  # 4.2.1: the number, a stroke, how many there are
        ("TLAN", three_letters(tags.language)),
        ("TYER", year),
        ("TDAT", day_month),  # 4.2.1: DDMM
    )
    frames = [_text_frame(name, text) for name, text in texts if text]
    if tags.comment:
        frames.append(_frame("COMM", _described(tags.language, tags.comment)))
    return b"".join(frames)


def _chapters(recording: Recording) -> bytes:
    if not recording.chapters:
        return b""
    names = [f"ch{index}".encode() + b"\x00" for index in range(len(recording.chapters))]
    # Addendum 3.2: flags a (top level) and b (ordered), then the number of entries.
    contents = b"toc\x00" + bytes((0b11, len(names))) + b"".join(names)
    frames = [_frame("CTOC", contents)]
    for name, chapter in zip(names, recording.chapters, strict=True):
        frames.append(_frame("CHAP", name + _chapter(chapter, recording.rate_hz)))
    return b"".join(frames)


def _chapter(chapter: Chapter, rate_hz: int) -> bytes:
    # Addendum 3.1: start and end in milliseconds, two byte offsets, embedded frames.
    start_ms, end_ms = milliseconds(chapter.start, rate_hz), milliseconds(chapter.end, rate_hz)
    times = struct.pack(">4I", start_ms, end_ms, _UNUSED_OFFSET, _UNUSED_OFFSET)
    return times + _text_frame("TIT2", chapter.title) + _picture(chapter.picture, _OTHER)


def _lyrics(recording: Recording) -> bytes:
    if not recording.lyrics:
        return b""
    return _frame("USLT", _described(recording.tags.language, recording.lyrics))


def _picture(data: bytes | None, kind: int) -> bytes:
    """A picture frame, also inside a chapter (addendum 3.1); nothing without a picture."""
    if data is None:
        return b""
    # 4.15: encoding, media type, kind of picture, empty description, data.
    head = picture_type(data).encode() + bytes((0, kind, 0))
    return _frame("APIC", _LATIN_1 + head + data)


def _described(language: str, text: str) -> bytes:
    # 4.9, 4.11: encoding, language, an empty description with its terminator, the text.
    encoding, encoded = _encoded(text)
    empty = b"\x00" if encoding == _LATIN_1 else b"\xff\xfe\x00\x00"
    return encoding + three_letters(language).encode() + empty + encoded


def _text_frame(name: str, text: str) -> bytes:
    return _frame(name, b"".join(_encoded(text)))


def _encoded(text: str) -> tuple[bytes, bytes]:
    # 3.3: Latin-1, or UTF-16 with a byte order mark.
    if text.isascii():
        return _LATIN_1, text.encode("ascii")
    return _UTF_16, b"\xff\xfe" + text.encode("utf-16-le")


def _frame(name: str, body: bytes) -> bytes:
    # 3.3: four letters, the size (a plain number in version 2.3), two bytes of flags.
    return name.encode() + struct.pack(">IH", len(body), 0) + body
