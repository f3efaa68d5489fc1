"""Tags and chapters as Vorbis comments, for Opus and FLAC.

Chapters are CHAPTERnnn and CHAPTERnnnNAME (Xiph.Org wiki, "Chapter Extension").  The
muxer's own chapter writing is not used: it was measured to be a second off.
"""

from __future__ import annotations

import base64

from breathmark.deliver.audio.recording import Recording, picture_type
from breathmark.units import milliseconds


def comments(recording: Recording) -> dict[str, str]:
    """The comments of ``recording`` in the order they are written, without the cover."""
    tags = recording.tags
    words = {
        "TITLE": tags.title,
        "ALBUM": tags.album,
        "TRACKNUMBER": str(tags.track) if tags.tracks else "",
        "TRACKTOTAL": str(tags.tracks) if tags.tracks else "",  # common practice
        "DESCRIPTION": tags.comment,
        "LANGUAGE": tags.language,
        "DATE": tags.date,
    }
    found = {name: text for name, text in words.items() if text}
    for index, chapter in enumerate(recording.chapters):
        found[f"CHAPTER{index:03}"] = _clock(milliseconds(chapter.start, recording.rate_hz))
        found[f"CHAPTER{index:03}NAME"] = chapter.title
    if recording.lyrics:
        found["LYRICS"] = recording.lyrics
    return found


def picture(cover: bytes) -> bytes:
    """The cover as a FLAC picture block (RFC 9639, 8.8), front cover, size not stated."""
    kind = picture_type(cover).encode()
    parts = (
        (3).to_bytes(4),
        len(kind).to_bytes(4) + kind,
        (0).to_bytes(4),  # no description
        bytes(16),  # width, height, depth and colours unknown
        len(cover).to_bytes(4) + cover,
    )
    return b"".join(parts)


def picture_comment(cover: bytes) -> str:
    """The cover as the value of METADATA_BLOCK_PICTURE, for Ogg files."""
    return base64.b64encode(picture(cover)).decode()


def _clock(at_ms: int) -> str:
    minutes, rest_ms = divmod(at_ms, 60_000)
    hours, minutes = divmod(minutes, 60)
    return f"{hours:02}:{minutes:02}:{rest_ms // 1000:02}.{rest_ms % 1000:03}"
