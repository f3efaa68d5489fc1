"""FLAC: every sample as it was planned, at about half the size (RFC 9639)."""

from __future__ import annotations

import importlib
from pathlib import Path
from typing import Any

import av
from av.audio.stream import AudioStream
from av.container import OutputContainer

from breathmark.deliver.audio import vorbis
from breathmark.deliver.audio.encoded import EncodedWriter
from breathmark.deliver.audio.recording import Recording
from breathmark.problems import Fault


def writer(path: Path, recording: Recording, bit_rate: int | None) -> FlacWriter:
    """A FLAC writer; a Fault when a bit rate is asked for, since nothing is lost."""
    if bit_rate is not None:
        raise Fault("FLAC keeps every sample and has no bit rate to choose")
    return FlacWriter(path, recording)


class FlacWriter(EncodedWriter):
    """Writes 16-bit FLAC; the cover is added when the file is done."""

    def _open_container(self) -> tuple[OutputContainer, AudioStream]:
        options = {"fflags": "+bitexact"}
        container = av.open(str(self.path), "w", format="flac", options=options)
        stream = container.add_stream(
            "flac", rate=self.recording.rate_hz, options={"flags": "+bitexact"}
        )
        stream.layout = "mono"
        container.metadata.update(vorbis.comments(self.recording))
        return container, stream

    def _finish(self) -> None:
        super()._finish()
        if self.recording.cover is not None:
            _add_cover(self.path, self.recording.cover)


def _add_cover(path: Path, cover: bytes) -> None:
    flac: Any = importlib.import_module("mutagen.flac")  # it has no types
    file = flac.FLAC(path)
    file.add_picture(flac.Picture(vorbis.picture(cover)))
    file.save()
