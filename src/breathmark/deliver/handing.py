"""What is handed over with a recording: handout, player, pictures, message, reminders, tracks.

Each piece is made by a module of its own; here they are written into the staging folder
in the order in which one needs the other.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, time
from pathlib import Path
from typing import TYPE_CHECKING, Any

from breathmark.deliver.audio import Recording, open_writer
from breathmark.deliver.record import Prescribed
from breathmark.deliver.result import recording_of, write
from breathmark.units import milliseconds, nearest

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from breathmark.deliver.pictures import Picture

HANDOUT_NAME, PLAYER_NAME, PICTURE_NAME = "handout.pdf", "player.html", "plan.png"
MESSAGE_NAME, REMINDERS_NAME, RECORD_PAGE_NAME = "message.eml", "reminders.ics", "record.pdf"

_MIME = {
    "mp3": "audio/mpeg",
    "m4a": "audio/mp4",
    "opus": "audio/ogg",
    "flac": "audio/flac",
    "wav": "audio/wav",
}
PICTURE_FRAME_BYTES = 64
"""More than what an ID3 picture frame has around its picture."""

_PLAYED_FIRST = ("mp3", "m4a", "wav", "flac", "opus")
"""What most browsers can play, the safest first (common practice)."""

Blocks = Callable[[], "Iterator[NDArray[np.int16]]"]


@dataclass(frozen=True, kw_only=True, slots=True)
class Wanted:
    """What is wanted beside the recording and its plan.

    ``papers`` are handout, player, plan as PNG, message and record page; ``tracks`` cuts a
    file for each chapter; ``embed`` carries the recording inside the player.  Reminders are
    written when ``start`` says from which day on; ``zone`` of ``None`` leaves their time
    floating.  ``paper`` is ``a4`` or ``letter``; ``mail_bytes`` limits the message.
    """

    papers: bool = True
    tracks: bool = False
    embed: bool = False
    start: date | None = None
    at: tuple[time, ...] = ()
    zone: str | None = None
    paper: str = "a4"
    mail_bytes: int = 20_000_000


@dataclass(frozen=True, kw_only=True, slots=True)
class Handed:
    """What the clinician should know of what was handed over.

    ``said`` are sentences; ``mail`` is how the recording goes by mail, for a table: at which
    bit rate, or without what.  It is empty where there is no message.
    """

    said: tuple[str, ...] = ()
    mail: str = ""


def beside_earlier(handed: Handed, final: Path, staging: Path) -> Handed:
    """``handed``, and that a result of another plan at ``final`` gives way, if one does.

    What a patient was sent is part of the file on them; it is gone from there otherwise
    without a word.  A plan or a record that cannot be read is taken for another one.
    """
    earlier, now = final / "plan.json", staging / "plan.json"
    if not earlier.is_file() or earlier.read_bytes() == now.read_bytes():
        return handed
    said = (
        "This took the place of an earlier recording in the same folder, of another plan.",
        "Where what was sent is to be kept, move its folder first, or name another: --output.",
    )
    return replace(handed, said=(*handed.said, *said))


def cover_of(prescribed: Prescribed, album: str) -> bytes:
    """The cover of the recording: the routine's title, the minutes, the week."""
    from breathmark.deliver.cover import cover_png

    session = prescribed.session
    minutes = max(1, nearest(milliseconds(session.length, session.rate_hz), 60_000))
    return cover_png(album, minutes, prescribed.week, language=session.language)


def hand_over(
    prescribed: Prescribed,
    wanted: Wanted,
    folder: Path,
    recordings: Sequence[Path],
    blocks: Blocks,
    *,
    cover: bytes | None,
    album: str,
) -> Handed:
    """Write what is wanted into ``folder``; what the clinician should know comes back.

    ``recordings`` are the sound files that lie there; ``blocks`` gives the session's
    samples once more.
    """
    from breathmark.deliver.handout import handout_pdf, letters_not_printed
    from breathmark.deliver.pictures_plan import plan_png

    pictures = prescribed.pictures
    handout = handout_pdf(prescribed, paper=wanted.paper, pictures=pictures)
    (folder / HANDOUT_NAME).write_bytes(handout)
    (folder / PICTURE_NAME).write_bytes(plan_png(prescribed.session))
    _write_player(prescribed, wanted, folder, recordings, pictures)
    handed = _write_message(prescribed, wanted, folder, handout, blocks, cover=cover, album=album)
    missing = letters_not_printed(prescribed)
    if missing:
        lacking = f"The handout's typefaces lack these letters: {missing}"
        handed = replace(handed, said=(*handed.said, lacking))
    return handed


def write_reminders(prescribed: Prescribed, wanted: Wanted, folder: Path) -> None:
    """The week's sessions as a calendar, if a first day was named."""
    from breathmark.deliver.reminders import reminders_ics

    if wanted.start is not None:
        text = reminders_ics(prescribed, start=wanted.start, at=wanted.at, zone=wanted.zone)
        write(folder / REMINDERS_NAME, text)


def write_record_page(
    prescribed: Prescribed,
    folder: Path,
    files: Mapping[str, Mapping[str, Any]],
    checks: Sequence[Mapping[str, Any]],
    paper: str,
) -> None:
    """The record as a page to sign."""
    from breathmark.deliver.record_pdf import record_pdf

    page = record_pdf(prescribed, files=files, checks=checks, paper=paper)
    (folder / RECORD_PAGE_NAME).write_bytes(page)


def _write_player(
    prescribed: Prescribed,
    wanted: Wanted,
    folder: Path,
    recordings: Sequence[Path],
    pictures: Mapping[str, Picture],
) -> None:
    from breathmark.deliver.player import player_html

    played = min(recordings, key=lambda path: _PLAYED_FIRST.index(path.suffix.lstrip(".")))
    page = player_html(
        prescribed,
        audio_name=played.name,
        embed=played.read_bytes() if wanted.embed else None,
        mime=_MIME[played.suffix.lstrip(".")],
        pictures=pictures,
    )
    write(folder / PLAYER_NAME, page)


def _write_message(
    prescribed: Prescribed,
    wanted: Wanted,
    folder: Path,
    handout: bytes,
    blocks: Blocks,
    *,
    cover: bytes | None,
    album: str,
) -> Handed:
    """The draft message, its recording at the bit rate that fits; what was chosen."""
    from breathmark.deliver.message import Attachment, drafted
    from breathmark.deliver.message_size import mail_fit

    session = prescribed.session
    shown = prescribed.chapter_pictures
    recording = recording_of(session, album, cover, shown)
    pictures = sum(len(one) + PICTURE_FRAME_BYTES for one in (cover, *shown) if one)
    others = len(handout) + len(recording.lyrics.encode()) * 2 + pictures
    fit = mail_fit(
        session.length, session.rate_hz, other_bytes=others, limit_bytes=wanted.mail_bytes
    )
    attached = [Attachment(name=HANDOUT_NAME, mime="application/pdf", data=handout)]
    if fit.bit_rate is not None:
        name = f"{folder_stem(prescribed)}.mp3"
        data = _mp3_at(fit.bit_rate, folder / name, folder, blocks, recording)
        attached.insert(0, Attachment(name=name, mime=_MIME["mp3"], data=data))
    draft = drafted(prescribed, attached, limit_bytes=wanted.mail_bytes)
    (folder / MESSAGE_NAME).write_bytes(draft.data)
    left_out = [f"without {name}" for name in draft.left_out]
    return Handed(
        said=(fit.sentence, *(f"The message goes {one}." for one in left_out)),
        mail=", ".join([fit.short, *left_out]),
    )


def folder_stem(prescribed: Prescribed) -> str:
    """The name of the recording, without its ending."""
    from breathmark.deliver.publish import safe_name

    return safe_name(prescribed.session.title)


def _mp3_at(
    bit_rate: int, usual: Path, folder: Path, blocks: Blocks, recording: Recording
) -> bytes:
    """The recording as MP3 at a bit rate: the one that lies there, or one made for the mail."""
    from breathmark.deliver.message_size import BIT_RATES

    if bit_rate == BIT_RATES[0] and usual.is_file():
        return usual.read_bytes()
    made = folder / ".for-the-mail.mp3"
    with open_writer("mp3", made, recording, bit_rate=bit_rate) as writer:
        for block in blocks():
            writer.add(block)
    data = made.read_bytes()
    made.unlink()
    return data
