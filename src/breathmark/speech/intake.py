"""Taking a clinician's recording in: which clip is which row, and which may be used.

Nothing is used that is not nearly certain.  What is wrong (a row missing, misread, cut at
its start, not to be told from its neighbours) is reported, to be read again.
"""

from __future__ import annotations

import enum
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from breathmark.speech.engines.base import RawSpeech, UnspeakableError
from breathmark.speech.finish import LEAD_MS, TRAIL_MS, finish
from breathmark.speech.intake_hear import Ear, Words, words_evidence
from breathmark.speech.intake_likeness import Likeness, references_of
from breathmark.speech.intake_match import (
    MOST_PIECES,
    SURE,
    Evidence,
    Match,
    Matched,
    Row,
    matched,
)
from breathmark.speech.intake_sound import (
    TAKE_RATE_HZ,
    Heard,
    RecordingProblem,
    hear_files,
    sound_files,
)
from breathmark.speech.intake_split import LOOK_HZ, Piece, at_look_rate, split, whole
from breathmark.speech.sheet import Sheet, SheetLine

Clip = NDArray[np.int16]

_MOST_OFF = 3.2
_SUDDEN_DB = -10.0
_LATER = 0.7  # the weight of a frame by which a row seems to begin later
_CUT = 1.25  # one in a hundred good rows is over it, and nine in ten that lost 0.1 to 0.3 s
_UNLIKE = 0.33  # of the usual likeness: one in fifty good rows is under it, and 9 in 10 others
_HALF_LIKE = 0.9  # with an ear, likeness from here on clears a row that it misheard
_SHORT_MS = 900.0
_VOICED = 0.35
_FEWEST_USED = 0.5  # of the voiced sounds: less, and it is not this sheet


class Fault(enum.StrEnum):
    """Why a row was not taken, or what was done with a sound."""

    MISSING = "missing"
    UNSURE = "not sure"
    CUT = "start cut off"
    LENGTH = "wrong length"
    MISREAD = "misread"


@dataclass(frozen=True, kw_only=True, slots=True)
class Take:
    """A row's finished clip, mono at ``TAKE_RATE_HZ``, and where it lay in the recording."""

    line: SheetLine
    file: Path
    start_s: float
    end_s: float
    clip: Clip


@dataclass(frozen=True, kw_only=True, slots=True)
class Remark:
    """A row that was not taken, and why; ``heard`` is what a recogniser understood."""

    line: SheetLine
    fault: Fault
    file: Path | None = None
    start_s: float = 0.0
    heard: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Intake:
    """What became of a recording.

    ``strays`` are the places, in seconds with the file, of sounds that are no row.
    ``repeats`` are rows read more than once, of which the last counts.
    """

    takes: tuple[Take, ...]
    remarks: tuple[Remark, ...]
    strays: tuple[tuple[Path, float], ...]
    repeats: tuple[SheetLine, ...]


def take_in(
    source: Path,
    sheet: Sheet,
    references: Mapping[str, Clip],
    *,
    rate_hz: int,
    ear: Ear | None = None,
) -> Intake:
    """Take in one long recording, or a folder with a clip for each row.

    ``references`` are the rows of the sheet as another voice says them, finished clips at
    ``rate_hz``.  ``ear`` also goes by what is understood.  Raises
    :class:`~breathmark.speech.intake_sound.RecordingProblem` when the recording is no use.
    """
    files = hear_files(sound_files(source))
    is_folder = source.is_dir()
    desk = _Desk(files, sheet, references, rate_hz, joined=not is_folder)
    found = desk.matched(ear)
    kept = {match.row: match for match in found.matches}  # the last one of each row counts
    judged = {row: desk.fault(match) for row, match in kept.items()}
    judged |= dict.fromkeys(desk.doubtful(kept, found), Fault.UNSURE)
    good = {row: match for row, match in kept.items() if judged[row] is None}
    desk.require_this_sheet(len(good))
    takes = tuple(desk.take(match) for _, match in sorted(good.items()))
    return Intake(
        takes=takes,
        remarks=tuple(desk.remarks(kept, judged, found)),
        strays=tuple(desk.strays(found)),
        repeats=tuple(_repeats(found.matches, sheet)),
    )


def _repeats(matches: Sequence[Match], sheet: Sheet) -> Iterator[SheetLine]:
    rows = [match.row for match in matches]
    for row in sorted(set(rows)):
        if rows.count(row) > 1:
            yield sheet.lines[row]


class _Desk:
    """The recording, split, and the sheet beside it."""

    def __init__(
        self,
        files: Sequence[Heard],
        sheet: Sheet,
        references: Mapping[str, Clip],
        rate_hz: int,
        *,
        joined: bool,
    ) -> None:
        self._files, self._lines = files, sheet.lines
        self._joined = joined
        self._looks = [at_look_rate(heard.samples) for heard in files]
        self._pieces = tuple(self._split(joined))
        if not any(piece.voiced > 0.2 for piece in self._pieces):
            raise RecordingProblem("no speech was found in the recording")
        texts = [line.text for line in self._lines]
        self._rows = [
            Row(
                expected_ms=max(80.0, len(references[text]) * 1000 / rate_hz - LEAD_MS - TRAIL_MS),
                commas=sum(text.count(sign) for sign in ",;:"),
            )
            for text in texts
        ]
        self._references = references_of(references, texts, rate_hz)
        self._likeness: Likeness | None = None
        self._usual = 0.0
        self._words: Words | None = None

    def _split(self, joined: bool) -> Iterator[Piece]:
        for at, heard in enumerate(self._files):
            if joined:
                yield from split(heard.samples, file=at)
            elif (piece := whole(heard.samples, file=at)) is not None:
                yield piece

    def matched(self, ear: Ear | None) -> Matched:
        """Match by length; then by likeness too; then, with an ear, by what was said too."""
        first = self._match(None)
        most = MOST_PIECES if self._joined else 1
        self._likeness = Likeness(
            self._pieces, self._rows, self._references, self._sound,
            pace=first.pace, most=most,
        )  # fmt: skip
        sure = [match for match in first.matches if match.sure > SURE]
        self._usual = self._likeness.usual(sure)
        evidence = self._and_name(self._likeness.evidence(sure))
        if ear is not None:
            self._words = Words(ear, [line.text for line in self._lines], self._sound)
            evidence = words_evidence(self._words, evidence)
        return self._match(evidence)

    def _match(self, evidence: Evidence | None) -> Matched:
        return matched(self._pieces, self._rows, evidence, joined=self._joined)

    def _and_name(self, evidence: Evidence) -> Evidence:
        """In a folder whose files are called by the numbers of the rows, these decide."""
        labels = [line.label for line in self._lines]
        stems = [heard.path.stem.casefold().lstrip("0") for heard in self._files]
        if self._joined or not set(stems) <= set(labels):
            return evidence
        named = np.array([[0.0 if label == stem else -30.0 for label in labels] for stem in stems])
        return lambda first, last: evidence(first, last) + named[self._pieces[first].file]

    def _sound(self, first: int, last: int) -> NDArray[np.float32]:
        """A stretch at the rate in which it is looked at."""
        piece, scale = self._pieces[first], TAKE_RATE_HZ // LOOK_HZ
        return self._looks[piece.file][piece.start // scale : self._pieces[last - 1].end // scale]

    def fault(self, match: Match) -> Fault | None:
        """Why a match must not be used; ``None`` when it may."""
        if self._likeness is None:
            raise RuntimeError("matching comes before judging")
        alike = self._likeness.score(match.first, match.last)[match.row] / self._usual
        if self._is_misread(match, alike):
            return Fault.MISREAD
        if match.sure < SURE:
            return Fault.UNSURE
        if match.off > _MOST_OFF + max(0.0, alike - 0.5):
            return Fault.LENGTH
        if self._is_cut(match, alike):
            return Fault.CUT
        return None

    def _is_misread(self, match: Match, alike: float) -> bool:
        """By likeness alone where there is no ear; with one, both must doubt it.

        But that is not enough for a word that must not be exchanged.
        """
        if self._words is None:
            return not alike > _UNLIKE  # not a number: of quite another length
        if self._words.has_another_word(match):
            return True
        return self._words.is_misread(match) and not alike > _HALF_LIKE

    def _is_cut(self, match: Match, alike: float) -> bool:
        if self._words is not None and self._words.begins_right(match):
            return False
        if self._likeness is None:
            raise RuntimeError("matching comes before judging")
        sudden_db = self._pieces[match.first].sudden_db
        sudden = np.clip((sudden_db - _SUDDEN_DB) / 3.0, -3.0, 3.0)
        lost = self._likeness.lost_beginning(match)
        later = np.clip(self._likeness.begins_later(match), -1.5, 8.0)
        return bool(lost + sudden + _LATER * later + 1.0 - alike > _CUT)

    def doubtful(self, kept: Mapping[int, Match], found: Matched) -> Iterator[int]:
        """Short rows beside speech that is no row: either may be the other.

        Beside an unread row any speech will do, elsewhere what is about as long as the row.
        """
        for row, match in kept.items():
            expected_ms = self._rows[row].expected_ms * found.pace
            if self._rows[row].expected_ms > _SHORT_MS:
                continue
            lacks = {row - 1, row + 1} & set(range(len(self._rows))) - set(kept)
            beside = [*self._strays_from(match.first - 1, -1, found),
                      *self._strays_from(match.last, 1, found)]  # fmt: skip
            if any(lacks or 0.6 < piece.sound_ms / expected_ms < 1.6 for piece in beside):
                yield row

    def _strays_from(self, at: int, step: int, found: Matched) -> Iterator[Piece]:
        """The voiced sounds that are no row, from one sound on up to the next row."""
        while 0 <= at < len(self._pieces) and found.noise[at] > 0.5:
            if self._pieces[at].voiced > _VOICED:
                yield self._pieces[at]
            at += step

    def require_this_sheet(self, used: int) -> None:
        """Raise when most of what was said belongs to no row of the sheet."""
        voiced = sum(piece.voiced > _VOICED for piece in self._pieces)
        if used < _FEWEST_USED * min(voiced, len(self._lines)):
            raise RecordingProblem(
                f"this recording does not fit the sheet: of {voiced} things said, "
                f"{used} could be matched to its {len(self._lines)} rows. Is it the sheet that "
                "was read, from its beginning, with a pause after each row?"
            )

    def take(self, match: Match) -> Take:
        """The finished clip of a match."""
        begins, ends = self._pieces[match.first], self._pieces[match.last - 1]
        heard = self._files[begins.file]
        line = self._lines[match.row]
        try:
            clip = finish(RawSpeech(heard.samples[begins.start : ends.end], TAKE_RATE_HZ),
                          TAKE_RATE_HZ)  # fmt: skip
        except UnspeakableError as silent:
            raise RecordingProblem(f"row {line.label} holds no sound") from silent
        return Take(
            line=line,
            file=heard.path,
            start_s=begins.start / TAKE_RATE_HZ,
            end_s=ends.end / TAKE_RATE_HZ,
            clip=clip,
        )

    def remarks(
        self, kept: Mapping[int, Match], judged: Mapping[int, Fault | None], found: Matched
    ) -> Iterator[Remark]:
        """Every row that was not taken, in the order of the sheet."""
        for row, line in enumerate(self._lines):
            if row not in kept:
                yield self._without_match(row, line, kept, found)
            elif (fault := judged[row]) is not None:
                yield self._remark(line, fault, kept[row].first, kept[row].last)

    def _without_match(
        self, row: int, line: SheetLine, kept: Mapping[int, Match], found: Matched
    ) -> Remark:
        """A row that nothing was matched to: missing, or something unclear in its place."""
        before = max((kept[other].last for other in kept if other < row), default=0)
        after = min((kept[other].first for other in kept if other > row), default=None)
        between = range(before, len(self._pieces) if after is None else max(before, after))
        known = {at for match in found.matches for at in range(match.first, match.last)}
        voiced = [at for at in between if at not in known and self._pieces[at].voiced > _VOICED]
        if not voiced:
            return Remark(line=line, fault=Fault.MISSING)
        clear = all(found.noise[at] > SURE for at in voiced)
        fault = Fault.MISREAD if clear and self._words is not None else Fault.UNSURE
        return self._remark(line, fault, voiced[0], voiced[-1] + 1)

    def _remark(self, line: SheetLine, fault: Fault, first: int, last: int) -> Remark:
        piece = self._pieces[first]
        return Remark(
            line=line,
            fault=fault,
            file=self._files[piece.file].path,
            start_s=piece.start / TAKE_RATE_HZ,
            heard=self._words.heard(first, last) if self._words else "",
        )

    def strays(self, found: Matched) -> Iterator[tuple[Path, float]]:
        """Sounds that belong to no row."""
        for piece, noise in zip(self._pieces, found.noise, strict=True):
            if noise > 0.5:
                yield self._files[piece.file].path, piece.start / TAKE_RATE_HZ
