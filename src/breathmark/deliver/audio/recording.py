"""What a sound file says besides the sound: its length, chapters, tags and pictures."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from types import TracebackType
from typing import TYPE_CHECKING, Protocol, Self

from breathmark.problems import Fault
from breathmark.units import RATES_HZ

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

MOST_CHAPTERS = 255
"""An ID3 CTOC frame and a Nero `chpl` box both count their entries in one byte."""

MOST_TITLE = 255
"""The longest chapter title, in bytes of UTF-8: `chpl` counts them in one byte."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Chapter:
    """A named stretch of the recording; ``start`` and ``length`` are samples.

    ``picture`` is a small square JPEG to show while it plays, for the formats that have a
    place for one: MP3 and M4A.
    """

    title: str
    start: int
    length: int
    picture: bytes | None = None

    @property
    def end(self) -> int:
        """The first sample after the chapter."""
        return self.start + self.length


@dataclass(frozen=True, kw_only=True, slots=True)
class Tags:
    """The words a player shows.  Nothing is added to what is handed in.

    ``language`` is a BCP 47 tag (``en``, ``de-AT``); ``date`` is a year or an ISO 8601
    day (``2025``, ``2025-03-01``), or empty: no clock is ever read, so that the same
    inputs give the same bytes.  ``track`` of ``tracks`` is the file's place among those of
    its album, both 0 for a recording that stands alone.
    """

    title: str
    album: str = ""
    comment: str = ""
    language: str = "en"
    date: str = ""
    track: int = 0
    tracks: int = 0

    @property
    def track_of_tracks(self) -> str:
        """The place in the album as players read it, such as ``3/9``; empty without one."""
        return f"{self.track}/{self.tracks}" if self.tracks else ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Recording:
    """Everything about a sound file that is known before its first sample.

    ``length`` is the exact number of samples at ``rate_hz``.  ``chapters`` follow one
    another inside it, each at least one sample long; ``cover`` is a PNG or JPEG
    picture; ``lyrics`` is text shown while playing.  Anything else is a
    :class:`~breathmark.problems.Fault`.
    """

    rate_hz: int
    length: int
    chapters: tuple[Chapter, ...]
    tags: Tags
    cover: bytes | None = None
    lyrics: str = ""

    def __post_init__(self) -> None:
        if self.rate_hz not in RATES_HZ:
            raise Fault(f"a recording has {_either(RATES_HZ)} samples a second, not {self.rate_hz}")
        if self.length < 1:
            raise Fault("a recording without a single sample cannot be written")
        if len(self.chapters) > MOST_CHAPTERS:
            raise Fault(
                f"{len(self.chapters)} chapters are more than sound files can list",
                remedy=f"Make it {MOST_CHAPTERS} or fewer: shorten the routine or merge exercises.",
            )
        _require_order(self.chapters, self.length)
        for chapter in self.chapters:
            if chapter.picture is not None and picture_type(chapter.picture) != "image/jpeg":
                raise Fault(f"the picture of the chapter {shortened(chapter.title)!r} is no JPEG")
            require_line(chapter.title, f"the chapter title {shortened(chapter.title)!r}")
        for name in ("title", "album", "comment", "language", "date"):
            value: str = getattr(self.tags, name)
            require_line(value, f"the tag `{name}`", most=4000)
        if not min(self.tags.tracks, 1) <= self.tags.track <= self.tags.tracks:
            raise Fault(f"there is no track {self.tags.track} of {self.tags.tracks}")
        if self.cover is not None:
            picture_type(self.cover)


class Writer(Protocol):
    """A sound file being written: a context manager that is fed the samples in order.

    It refuses (:class:`~breathmark.problems.Fault`) samples beyond the promised length
    at once, and missing ones when the context closes; a file that was not finished is
    removed.
    """

    def __enter__(self) -> Self:
        """Open the file."""
        ...

    def add(self, block: NDArray[np.int16]) -> None:
        """Append ``block``, one-dimensional 16-bit samples, any number of them."""
        ...

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Finish the file, or remove it when the context failed."""
        ...


_ISO_639_2 = {
    "ar": "ara", "cs": "ces", "da": "dan", "de": "deu", "el": "ell", "en": "eng",
    "es": "spa", "fi": "fin", "fr": "fra", "he": "heb", "hi": "hin", "hu": "hun",
    "it": "ita", "ja": "jpn", "ko": "kor", "nb": "nob", "nl": "nld", "no": "nor",
    "pl": "pol", "pt": "por", "ro": "ron", "ru": "rus", "sv": "swe", "tr": "tur",
    "uk": "ukr", "vi": "vie", "zh": "zho",
}  # fmt: skip


def three_letters(language: str) -> str:
    """The ISO 639-2/T code that ID3 and MP4 want; ``und`` for a language not listed.

    >>> three_letters("en-GB"), three_letters("spa"), three_letters("tlh-x")
    ('eng', 'spa', 'tlh')
    """
    first = language.split("-", maxsplit=1)[0].lower()
    if len(first) == 3 and first.isascii() and first.isalpha():
        return first
    return _ISO_639_2.get(first, "und")


def picture_type(cover: bytes) -> str:
    """The media type of a cover picture, by its first bytes; a Fault for other kinds."""
    if cover.startswith(b"\x89PNG\r\n\x1a\n"):
        return "image/png"
    if cover.startswith(b"\xff\xd8\xff"):
        return "image/jpeg"
    raise Fault("the cover picture is neither PNG nor JPEG")


def require_line(text: str, what: str, *, most: int = MOST_TITLE) -> None:
    """Refuse text that is no single line: control characters, half characters, too long."""
    if any(unicodedata.category(char) in {"Cc", "Cs", "Zl", "Zp"} for char in text):
        raise Fault(f"{what} holds a line break or another character that cannot be shown")
    if len(text.encode()) > most:
        raise Fault(f"{what} is longer than {most} bytes", remedy="Shorten it.")


def shortened(text: str, most: int = 40) -> str:
    """``text``, cut to ``most`` characters with an ellipsis, for messages."""
    return text if len(text) <= most else text[: most - 1] + "…"


def _require_order(chapters: tuple[Chapter, ...], length: int) -> None:
    at = 0
    for chapter in chapters:
        if not chapter.title.strip():
            raise Fault(f"the chapter at sample {chapter.start} has no title")
        if chapter.start < at or chapter.length < 1 or chapter.end > length:
            raise Fault(
                f"the chapter {shortened(chapter.title)!r} (samples {chapter.start} to"
                f" {chapter.end}) is empty, overlaps another or leaves the recording"
            )
        at = chapter.end


def _either(values: tuple[int, ...]) -> str:
    return " or ".join(str(value) for value in values)
