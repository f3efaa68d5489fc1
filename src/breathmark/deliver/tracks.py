"""``tracks/``: one file for each chapter, for players that know no chapters, and a playlist.

The tracks are cut from the very samples that the whole recording is written from, at the
chapters' first samples, so that one after the other they are the recording.

Names are numbers first, so that every player sorts them as they are heard, and plain
letters, which FAT and every other disk can hold.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, replace
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Self

from breathmark.deliver.audio import Recording, Tags, Writer, open_writer
from breathmark.deliver.captions import captions_text
from breathmark.deliver.publish import safe_name
from breathmark.deliver.standing import standing_in
from breathmark.problems import Fault
from breathmark.script.session import Session
from breathmark.units import milliseconds, samples

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

FOLDER_NAME = "tracks"

LEAST_MS = 1_000
"""A chapter shorter than this is played in one track with its neighbour: nobody can skip
by it, and M4A cannot hold fewer than 1024 samples (measured)."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Track:
    """A stretch of the session that becomes a file; ``number`` counts from 1.

    ``start`` and ``length`` are samples of the session; ``name`` is the file's, without
    its ending; ``block`` is the index of the chapter whose title it has, ``None`` for a
    session without chapters.
    """

    number: int
    name: str
    title: str
    start: int
    length: int
    block: int | None

    @property
    def end(self) -> int:
        """The first sample after the track."""
        return self.start + self.length


def tracks_of(session: Session) -> tuple[Track, ...]:
    """The tracks of a session: its chapters, with the shortest joined to a neighbour.

    They follow one another and add up to the session.
    """
    cuts = _cuts(session)
    digits = max(2, len(str(len(cuts))))
    return tuple(
        Track(
            number=number,
            name=f"{number:0{digits}}-{safe_name(title)}",
            title=title,
            start=start,
            length=end - start,
            block=block,
        )
        for number, (title, start, end, block) in enumerate(cuts, 1)
    )


def _cuts(session: Session) -> list[tuple[str, int, int, int | None]]:
    """Title, first sample, end, chapter of each track; a short one goes to the next, else back."""
    least = samples(LEAST_MS, session.rate_hz)
    cuts: list[tuple[str, int, int, int | None]] = []
    start = 0
    for index, block in enumerate(session.blocks):
        if block.end - start >= least:
            cuts.append((block.title, start, block.end, index))
            start = block.end
    if start < session.length:
        title, start, _, index_before = cuts.pop() if cuts else (session.title, 0, 0, None)
        cuts.append((title, start, session.length, index_before))
    return cuts


def track_session(session: Session, track: Track) -> Session:
    """The part of a session that a track plays, its clock starting at the track's start."""
    at = track.start
    return replace(
        session,
        title=track.title,
        length=track.length,
        blocks=tuple(
            replace(
                block,
                start=block.start - at,
                spans=tuple(replace(span, start=span.start - at) for span in block.spans),
            )
            for block in session.blocks
            if at <= block.start and block.end <= track.end
        ),
        events=tuple(
            replace(event, start=event.start - at)
            for event in session.events
            if at <= event.start < track.end
        ),
    )


def playlist_name(session: Session) -> str:
    """The name of the playlist, from the session's title."""
    return f"{safe_name(session.title)}.m3u8"


def playlist_text(session: Session, format: str = "mp3") -> str:
    """The playlist: the tracks by their names alone, with whole seconds and titles.

    UTF-8 without a mark, as RFC 8216, 4.1 has it, which also allows the lines to end as
    they do here: CR and LF, for the oldest players (common practice).
    """
    lines = ["#EXTM3U"]
    for track in tracks_of(session):
        lasts_s = (milliseconds(track.length, session.rate_hz) + 500) // 1000
        lines += [f"#EXTINF:{lasts_s},{track.title}", f"{track.name}.{format}"]
    return "".join(f"{line}\r\n" for line in lines)


class TrackSplitter:
    """Cuts a stream of samples into the tracks of a session: a context manager.

    ``folder`` is made when it is not there; ``format`` and ``bit_rate`` are those of
    :func:`~breathmark.deliver.audio.open_writer`; ``cover`` goes into every
    track but those whose chapter has one of the ``pictures``, which takes its place.  The
    writers' promises hold for each track and for all together: more samples than planned
    are refused at once, fewer when the context closes, and when anything fails nothing
    that was written stays.
    """

    def __init__(
        self,
        session: Session,
        folder: Path,
        format: str = "mp3",
        *,
        bit_rate: int | None = None,
        cover: bytes | None = None,
        pictures: Sequence[bytes | None] = (),
    ) -> None:
        self._session, self._folder = session, folder
        self._format, self._bit_rate, self._cover = format, bit_rate, cover
        self._pictures = pictures
        self._tracks = tracks_of(session)
        self._coming: Iterator[Track] = iter(self._tracks)
        self._open = ExitStack()
        self._writer: Writer | None = None
        self._missing = 0
        self._taken = 0

    def __enter__(self) -> Self:
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise Fault(f"{self._folder} cannot be made: {error.strerror}") from error
        return self

    def add(self, block: NDArray[np.int16]) -> None:
        """Take the next samples: one row of 16-bit numbers, any number of them."""
        self._taken += block.size
        if self._taken > self._session.length:
            raise Fault(self._mismatch("at least "))
        while block.size:
            writer = self._writer or self._next()
            part, block = block[: self._missing], block[self._missing :]
            writer.add(part)
            self._missing -= part.size
            if not self._missing:
                self._writer = None
                self._open.close()

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        done = False
        try:
            self._open.__exit__(kind, error, trace)
            if kind is None:
                self._close()
                done = True
        finally:
            if not done:
                self._clear()

    def _next(self) -> Writer:
        """Open the writer of the next track."""
        track = next(self._coming)
        own = self._pictures[track.block] if self._pictures and track.block is not None else None
        recording = _recording(self._session, track, len(self._tracks), own or self._cover)
        path = self._path(track)
        opened = open_writer(self._format, path, recording, bit_rate=self._bit_rate)
        self._writer, self._missing = self._open.enter_context(opened), track.length
        return self._writer

    def _close(self) -> None:
        if self._taken != self._session.length:
            raise Fault(self._mismatch(""))
        path = self._folder / playlist_name(self._session)
        try:
            path.write_bytes(playlist_text(self._session, self._format).encode("utf-8"))
        except OSError as error:
            raise Fault(f"{path.name} could not be written: {error.strerror}") from error

    def _clear(self) -> None:
        for track in self._tracks:
            self._path(track).unlink(missing_ok=True)

    def _path(self, track: Track) -> Path:
        return self._folder / f"{track.name}.{self._format}"

    def _mismatch(self, degree: str) -> str:
        due = self._session.length
        return f"the tracks: {due} samples were promised and {degree}{self._taken} came"


def _recording(session: Session, track: Track, tracks: int, cover: bytes | None) -> Recording:
    """What a track says: its chapter's title and words, the session as its album."""
    return Recording(
        rate_hz=session.rate_hz,
        length=track.length,
        chapters=(),
        tags=Tags(
            title=track.title,
            album=session.title,
            comment=standing_in(session.language),
            language=session.language,
            track=track.number,
            tracks=tracks,
        ),
        cover=cover,
        lyrics=captions_text(track_session(session, track)),
    )
