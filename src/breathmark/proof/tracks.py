"""The proof of ``tracks/``: each track has its samples, and together they are the recording.

The tracks are decoded once, one after the other, and listened to as if they were one file,
so that a track in a wrong place is heard.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from breathmark.deliver.tracks import FOLDER_NAME, Track, playlist_name, track_session, tracks_of
from breathmark.proof.check import Check, Finding, finding
from breathmark.proof.decode import KINDS, SoundFile, UnreadableError, sound_file
from breathmark.proof.listen import listen
from breathmark.proof.record import TextError, read_text
from breathmark.proof.sounding import sound_findings
from breathmark.proof.tags import Place, read_fields, tag_problems
from breathmark.proof.words import quoted
from breathmark.script.session import Session
from breathmark.units import counted, milliseconds

_NAME = f"{FOLDER_NAME}/"
_OPUS_RATE_HZ = 48_000  # RFC 7845, 5: Opus always decodes to this rate


def track_findings(
    folder: Path, session: Session, progress: Callable[[int], None] | None = None
) -> list[Finding]:
    """Everything that is checked on the tracks of a result ``folder``; nothing without them.

    ``progress`` is told how many of the session's samples have been heard.  Whatever is
    wrong becomes a finding.
    """
    inside = folder / FOLDER_NAME
    if not inside.is_dir():
        return []
    tracks = tracks_of(session)
    ending = _ending(inside)
    paths = [inside / f"{track.name}{ending}" for track in tracks]
    problems = _folder_problems(inside, session, paths)
    missing = [f"{path.name} is missing" for path in paths if not path.is_file()]
    if missing:
        return [_tracks_finding([*problems, *missing], tracks, ending)]
    return _heard(paths, tracks, session, problems, progress)


def _heard(
    paths: Sequence[Path],
    tracks: Sequence[Track],
    session: Session,
    problems: list[str],
    progress: Callable[[int], None] | None,
) -> list[Finding]:
    ending = paths[0].suffix
    rate_hz = _OPUS_RATE_HZ if ending == ".opus" else session.rate_hz
    try:
        sounds = _opened(paths, rate_hz)
        joined = _Joined(path=paths[0].parent, rate_hz=rate_hz, sounds=tuple(sounds))
        heard = listen(joined, session, progress)
    except UnreadableError as error:
        return [_tracks_finding([*problems, str(error)], tracks, ending)]
    scale = rate_hz // session.rate_hz
    problems += [
        f"{path.name} has {count} samples where {track.length * scale} are planned"
        for path, track, count in zip(paths, tracks, joined.counts, strict=False)
        if count != track.length * scale
    ]
    return [
        _tracks_finding(problems, tracks, ending),
        *sound_findings(_NAME, heard, session),
        _tag_finding(paths, tracks, session),
    ]


def _opened(paths: Sequence[Path], rate_hz: int) -> Iterator[SoundFile]:
    for path in paths:
        try:
            sound = sound_file(path)
        except UnreadableError as error:
            raise UnreadableError(f"{path.name}: {error}") from error
        if sound.rate_hz != rate_hz:
            raise UnreadableError(
                f"{path.name} has {sound.rate_hz} samples a second where {rate_hz} are due"
            )
        yield sound


@dataclass(frozen=True, kw_only=True, slots=True)
class _Joined(SoundFile):
    """Sound files played one after the other; ``counts`` fills as they are heard."""

    sounds: tuple[SoundFile, ...]
    counts: list[int] = field(default_factory=list)

    def _parts(self, *, past_damage: bool) -> Iterator[NDArray[np.float32]]:
        self.counts.clear()
        for sound in self.sounds:
            count = 0
            for part in sound._parts(past_damage=past_damage):
                yield part
                count += len(part)
            self.counts.append(count)


def _ending(inside: Path) -> str:
    """The ending of the tracks: of the first sound file there, by name."""
    return next((path.suffix for path in sorted(inside.iterdir()) if path.suffix in KINDS), ".mp3")


def _folder_problems(inside: Path, session: Session, paths: Sequence[Path]) -> list[str]:
    """Files that do not belong there, and whatever the playlist says that it should not."""
    due = {playlist_name(session), *(path.name for path in paths)}
    there = sorted(path.name for path in inside.iterdir())
    problems = [f"{quoted(name)} does not belong there" for name in there if name not in due]
    name = playlist_name(session)
    try:
        entries = read_playlist(read_text(inside / name))
    except TextError as error:
        return [*problems, f"the playlist {error}"]
    planned = [
        (path.name, track.title, milliseconds(track.length, session.rate_hz))
        for path, track in zip(paths, tracks_of(session), strict=True)
    ]
    if [(entry.name, entry.title) for entry in entries] != [one[:2] for one in planned]:
        problems.append("the playlist does not list the tracks by name, in order")
    elif any(
        abs(1000 * entry.lasts_s - one[2]) > 500
        for entry, one in zip(entries, planned, strict=True)
    ):
        problems.append("the playlist says a wrong length")
    return problems


@dataclass(frozen=True, kw_only=True, slots=True)
class Entry:
    """An entry of a playlist: the file's name, its title, and how long it says it lasts."""

    name: str
    title: str
    lasts_s: int


def read_playlist(text: str) -> tuple[Entry, ...]:
    """The entries of an extended M3U playlist, each with its length and title.

    Raises :class:`~breathmark.proof.record.TextError` for what is none.
    """
    first, *lines = text.replace("\r\n", "\n").removesuffix("\n").split("\n")
    if first != "#EXTM3U" or len(lines) % 2:
        raise TextError("is not an extended M3U playlist")
    entries = []
    for info, name in zip(lines[::2], lines[1::2], strict=True):
        lasts_s, comma, title = info.removeprefix("#EXTINF:").partition(",")
        if not (info.startswith("#EXTINF:") and lasts_s.isdigit() and comma):
            raise TextError(f"has no length and title for {quoted(name)}")
        entries.append(Entry(name=name, title=title, lasts_s=int(lasts_s)))
    return tuple(entries)


def _tracks_finding(problems: Sequence[str], tracks: Sequence[Track], ending: str) -> Finding:
    number = counted(len(tracks), "track")
    return finding(
        Check.TRACKS,
        _NAME,
        problems,
        good=f"{number} ({ending.removeprefix('.')}) have exactly their chapters' samples,"
        " and the playlist lists them in order",
        measured=f"{len(problems)} amiss" if problems else number,
        allowed=f"{number}, exact",
    )


def _tag_finding(paths: Sequence[Path], tracks: Sequence[Track], session: Session) -> Finding:
    problems: list[str] = []
    for path, track in zip(paths, tracks, strict=True):
        place = Place(album=session.title, number=track.number, of=len(tracks))
        try:
            found = tag_problems(read_fields(path), track_session(session, track), place)
        except UnreadableError as error:
            found = [f"the tags cannot be read: {error}"]
        problems += [f"{path.name}: {problem}" for problem in found]
    return finding(
        Check.TAGS,
        _NAME,
        problems,
        good=f"{counted(len(tracks), 'track')} say their title, album, number and words",
        measured=f"{len(problems)} amiss" if problems else counted(len(tracks), "track"),
        allowed="from the plan",
    )
