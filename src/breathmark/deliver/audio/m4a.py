"""AAC in MP4, as phones like it: an exact edit list, chapters, the index at the front.

The edit list (ISO/IEC 14496-12, 8.6.6) says which samples are to be heard.  It counts in
the movie's timescale, which is the sample rate here, so that it is exact.  Older players
heed its start and not its end, and play the last frame whole; so enough silence goes in
front, inside the part that the edit list skips, for the last frame to end with the last
sample.  Chapters are written twice, as the box `chpl` and as a QuickTime text track,
because players read one or the other; their pictures are a second such track.
"""

from __future__ import annotations

import importlib
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import numpy as np
from av.audio.stream import AudioStream
from av.container import OutputContainer

from breathmark.deliver.audio.encoded import EncodedWriter
from breathmark.deliver.audio.mp4_pictures import add_pictures
from breathmark.deliver.audio.recording import Recording, picture_type, three_letters
from breathmark.problems import Fault

USUAL_BIT_RATE = 64_000
"""Bits a second: ample for one voice (common practice)."""

_FRAME = 1024
"""Samples in an AAC-LC frame (ISO/IEC 14496-3)."""


def writer(path: Path, recording: Recording, bit_rate: int | None) -> M4aWriter:
    """An M4A writer at about ``bit_rate``; a Fault outside 16 to 160 thousand.

    Recordings shorter than one frame are refused too: decoders drop them whole (measured).
    """
    chosen = USUAL_BIT_RATE if bit_rate is None else bit_rate
    if not 16_000 <= chosen <= 160_000:
        raise Fault(f"M4A takes 16 000 to 160 000 bits a second, not {chosen}")
    if recording.length < _FRAME:
        raise Fault(f"M4A cannot hold fewer than {_FRAME} samples")
    return M4aWriter(path, recording, chosen)


class M4aWriter(EncodedWriter):
    """Writes AAC-LC with chapters and tags; the cover is added when the file is done."""

    def __init__(self, path: Path, recording: Recording, bit_rate: int) -> None:
        super().__init__(path, recording)
        self._bit_rate = bit_rate

    def _open(self) -> None:
        super()._open()
        unheard = -self.recording.length % _FRAME
        if unheard:
            self._clock = -unheard
            self._encode(np.zeros(unheard, np.int16))

    def _finish(self) -> None:
        super()._finish()
        if any(chapter.picture for chapter in self.recording.chapters):
            _add_pictures(self.path, self.recording)
        if self.recording.cover is not None:
            _add_cover(self.path, self.recording.cover)

    def _open_container(self) -> tuple[OutputContainer, AudioStream]:
        recording = self.recording
        options = {
            "movflags": "+faststart",
            "movie_timescale": str(recording.rate_hz),
            "fflags": "+bitexact",
        }
        container = av.open(str(self.path), "w", format="ipod", options=options)
        stream = container.add_stream("aac", rate=recording.rate_hz, options={"flags": "+bitexact"})
        stream.layout = "mono"
        stream.bit_rate = self._bit_rate
        stream.metadata["language"] = three_letters(recording.tags.language)
        container.metadata.update(_words(recording))
        container.set_chapters(
            [
                {
                    "id": index,
                    "start": chapter.start,
                    "end": chapter.end,
                    "time_base": Fraction(1, recording.rate_hz),
                    "metadata": {"title": chapter.title},
                }
                for index, chapter in enumerate(recording.chapters)
            ]
        )
        return container, stream


def _words(recording: Recording) -> dict[str, str]:
    tags = recording.tags
    words = {
        "title": tags.title,
        "album": tags.album,
        "track": tags.track_of_tracks,
        "comment": tags.comment,
        "date": tags.date,
        "lyrics": recording.lyrics,
    }
    return {name: text for name, text in words.items() if text}


def _add_pictures(path: Path, recording: Recording) -> None:
    """Show each chapter's picture, and while it has none the cover, else a white ground."""
    from breathmark.deliver.pictures import SMALL_SIDE_PX, plain_picture, small_picture

    usual = small_picture(recording.cover) if recording.cover else plain_picture()
    shown = [chapter.picture or usual for chapter in recording.chapters]
    starts = [chapter.start for chapter in recording.chapters]
    add_pictures(path, shown, starts, recording.length, SMALL_SIDE_PX)


def _add_cover(path: Path, cover: bytes) -> None:
    mp4: Any = importlib.import_module("mutagen.mp4")  # it has no types
    kinds = {"image/png": mp4.MP4Cover.FORMAT_PNG, "image/jpeg": mp4.MP4Cover.FORMAT_JPEG}
    file = mp4.MP4(path)
    file["covr"] = [mp4.MP4Cover(cover, kinds[picture_type(cover)])]
    file.save()
