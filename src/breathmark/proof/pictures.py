"""The chapters' pictures, read back and held against the record.

``record.json`` has the check sum of each exercise's picture, so a picture that is damaged,
missing, or shown with another exercise is found.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from breathmark.deliver.record import PICTURE_KEY, RECORD_NAME
from breathmark.proof.decode import opened
from breathmark.proof.record import TextError, read_text
from breathmark.proof.tagging import tagged
from breathmark.script.session import Session
from breathmark.units import counted, milliseconds

_SHOWING: Final = {".mp3", ".m4a"}
"""The endings of files that have a place for chapters' pictures."""


def picture_problems(path: Path, session: Session) -> list[str]:
    """How the pictures in a recording's chapters differ from those in the record beside it.

    Raises :class:`~breathmark.proof.decode.UnreadableError` for a file that cannot be read.
    """
    if path.suffix not in _SHOWING:
        return []
    due = _due(path.with_name(RECORD_NAME), session)
    if path.suffix == ".m4a":
        return list(_track_problems(_by_track(path), due, session))
    return list(_differences(_by_frames(path), due))


def _differences(shown: Sequence[str], due: Sequence[str]) -> Iterator[str]:
    """A chapter too many or too few is told elsewhere."""
    for number, (is_shown, is_due) in enumerate(zip(shown, due, strict=False), 1):
        if is_shown != is_due:
            yield f"chapter {number} shows {_named(is_shown)}, and the record has {_named(is_due)}"


def _track_problems(
    shown: Mapping[int, str], due: Sequence[str], session: Session
) -> Iterator[str]:
    """A track of pictures has one for every chapter; what is shown without one is no other's."""
    if not any(due):
        if shown:
            yield f"it shows {counted(len(shown), 'picture')}, and the record has none"
        return
    starts = [block.start for block in session.blocks]
    if sorted(shown) != starts:
        yield "its pictures do not begin where the chapters begin"
        return
    filled = [
        one or (shown[at] if shown[at] not in due else "")
        for one, at in zip(due, starts, strict=True)
    ]
    yield from _differences([shown[at] for at in starts], filled)


def _by_frames(path: Path) -> list[str]:
    """MP3: the picture in each chapter, in the order of the table of contents."""
    tags = tagged(path)
    frames = {frame.element_id: frame for frame in tags.getall("CHAP")}
    tables = tags.getall("CTOC")
    names = tables[0].child_element_ids if tables else []
    return [
        " ".join(_sum(picture.data) for picture in frames[name].sub_frames.getall("APIC"))
        for name in names
        if name in frames
    ]


def _by_track(path: Path) -> dict[int, str]:
    """M4A: the pictures of the track of pictures by the sample at which each begins."""
    with opened(path) as container:
        tracks = [stream for stream in container.streams.video if stream.frames]
        if not tracks:
            return {}
        rate_hz, unit = container.streams.audio[0].rate, tracks[0].time_base or 0
        packets = [packet for packet in container.demux(tracks[0]) if packet.size]
        return {
            round((packet.pts or 0) * unit * rate_hz): _sum(bytes(packet)) for packet in packets
        }


def _due(record: Path, session: Session) -> list[str]:
    """The check sum of the picture that the record has for each chapter; empty for none."""
    try:
        read = json.loads(read_text(record))
    except (TextError, ValueError, RecursionError):  # told by the record's own check
        read = {}
    exercises = read.get("exercises") if isinstance(read, dict) else None
    sums = dict(map(_sum_at, exercises if isinstance(exercises, list) else []))
    return [sums.get(milliseconds(block.start, session.rate_hz), "") for block in session.blocks]


def _sum_at(exercise: Any) -> tuple[int | None, str]:
    """Where an exercise of the record begins, in milliseconds, and its picture's check sum."""
    said: Mapping[str, Any] = exercise if isinstance(exercise, dict) else {}
    start, digest = said.get("start_ms"), said.get(PICTURE_KEY)
    return (start if isinstance(start, int) else None), str(digest or "")


def _sum(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def _named(digest: str) -> str:
    return f"the picture {digest[:8]}" if digest else "no picture"
