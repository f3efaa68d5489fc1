"""The result folder: the sound files and the papers, written into a staging folder."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING

from breathmark.deliver.ahead import ahead
from breathmark.deliver.audio import Chapter, Recording, Tags, Writer, open_writer
from breathmark.deliver.captions import captions_text, captions_vtt
from breathmark.deliver.plan_json import plan_to_json
from breathmark.deliver.plan_svg import plan_svg
from breathmark.deliver.publish import safe_name
from breathmark.deliver.standing import standing_in
from breathmark.deliver.tracks import FOLDER_NAME, TrackSplitter
from breathmark.dose.table import as_data
from breathmark.dose.totals import DoseTotals
from breathmark.script.session import Session
from breathmark.units import milliseconds

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


def result_name(title: str, length: int, rate_hz: int) -> str:
    """The name of a result's folder: the title and the length of the session.

    >>> result_name("Steady on your feet", 17_280_000, 24_000)
    'steady-on-your-feet-12min'
    """
    minutes, rest_ms = divmod(milliseconds(length, rate_hz), 60_000)
    odd = f"{rest_ms // 1000:02}s" if rest_ms else ""
    return f"{safe_name(title)}-{minutes}min{odd}"


def write_sound(
    session: Session,
    blocks: Iterator[NDArray[np.int16]],
    folder: Path,
    formats: Iterable[str],
    progress: Callable[[int, int], None],
    *,
    album: str = "",
    cover: bytes | None = None,
    pictures: Sequence[bytes | None] = (),
    tracks: bool = False,
) -> None:
    """Feed one stream of samples to a writer for each format, and to the tracks if wanted.

    ``pictures`` are the chapters', or none at all.  ``progress`` is told how many of the
    session's samples are written.
    """
    recording = recording_of(session, album, cover, pictures)
    stem = safe_name(session.title)
    done = 0
    with ExitStack() as stack:
        writers: list[Writer | TrackSplitter] = [
            stack.enter_context(open_writer(wanted, folder / f"{stem}.{wanted}", recording))
            for wanted in dict.fromkeys(formats)
        ]
        if tracks:
            splitter = TrackSplitter(session, folder / FOLDER_NAME, cover=cover, pictures=pictures)
            writers.append(stack.enter_context(splitter))
        for block in ahead(blocks):
            for writer in writers:
                writer.add(block)
            done += len(block)
            progress(done, session.length)


def recording_of(
    session: Session,
    album: str,
    cover: bytes | None = None,
    pictures: Sequence[bytes | None] = (),
) -> Recording:
    """What a sound file of the session says besides the sound.

    ``pictures`` are those of its chapters, or none at all.
    """
    shown = pictures or (None,) * len(session.blocks)
    return Recording(
        rate_hz=session.rate_hz,
        length=session.length,
        chapters=tuple(
            Chapter(title=block.title, start=block.start, length=block.length, picture=picture)
            for block, picture in zip(session.blocks, shown, strict=True)
        ),
        tags=Tags(
            title=session.title,
            album=album,
            comment=standing_in(session.language),
            language=session.language,
        ),
        cover=cover,
        lyrics=captions_text(session),
    )


def write_papers(session: Session, totals: DoseTotals, folder: Path) -> None:
    """The captions, and the plan as data and as a picture."""
    write(folder / "captions.vtt", captions_vtt(session))
    write(folder / "plan.json", plan_to_json(session, dose=as_data(totals)))
    write(folder / "plan.svg", plan_svg(session))


def write(path: Path, text: str) -> None:
    """Write a text file of the result: UTF-8, line feeds on every system."""
    path.write_text(text, encoding="utf-8", newline="\n")
