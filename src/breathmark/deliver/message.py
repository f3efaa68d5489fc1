"""``message.eml``: a draft that any mail program opens, with the recording attached.

It has no sender, no receiver and no date; the clinician's program fills them in.  Nothing
about the patient is in it: a subject and file names are read by every server on the way.

Sources: RFC 5322 (form), RFC 2045 to 2047 and 2231 (MIME), all as the standard library
writes them.  `X-Unsent: 1` opens a file as a draft (common practice, Microsoft Outlook).
"""

from __future__ import annotations

import html
import re
import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from email.header import Header
from email.message import EmailMessage
from email.policy import SMTP
from typing import Final

from breathmark.deliver.message_size import LIMIT_BYTES, encoded_bytes
from breathmark.deliver.one_line import one_line
from breathmark.deliver.record import Prescribed
from breathmark.problems import Fault
from breathmark.script.words import Words, words_of
from breathmark.units import milliseconds, nearest

FILE_NAME: Final = "message.eml"

_MIME: Final = re.compile(r"[a-z]+/[a-z0-9][a-z0-9.+-]*")
_BOUNDARY: Final = "=_breathmark_"
"""`=_` stands in no base64 and no quoted-printable text (RFC 2045, 6.7), so it parts both."""
_PART_BYTES: Final = 600
"""The most that an attachment adds beside its data: its headers and its boundary."""
_WIDTH: Final = 72
_SIGNS: Final = ("chest", "breath", "sweat", "dizzy", "weak", "joint")


@dataclass(frozen=True, kw_only=True, slots=True)
class Attachment:
    """A file that goes with the message: its name, its media type and its bytes.

    A :class:`~breathmark.problems.Fault` for a name with a path or a line break in it, or
    for what is no media type.
    """

    name: str
    mime: str
    data: bytes

    def __post_init__(self) -> None:
        if not self.name or self.name != one_line(self.name) or set("/\\:") & set(self.name):
            raise Fault(f"{self.name!r} is no name for an attachment")
        if not _MIME.fullmatch(self.mime):
            raise Fault(f"{self.mime!r} is no media type")


@dataclass(frozen=True, kw_only=True, slots=True)
class Draft:
    """A message as bytes, and the names of the files that were too large for it."""

    data: bytes
    left_out: tuple[str, ...] = ()


def message_eml(
    prescribed: Prescribed,
    attachments: Sequence[Attachment],
    *,
    limit_bytes: int = LIMIT_BYTES,
) -> bytes:
    """The message as it lies on disk; see :func:`drafted`."""
    return drafted(prescribed, attachments, limit_bytes=limit_bytes).data


def drafted(
    prescribed: Prescribed,
    attachments: Sequence[Attachment],
    *,
    limit_bytes: int = LIMIT_BYTES,
) -> Draft:
    """A draft with as many of the attachments as fit, the first one first.

    ``limit_bytes`` is for the whole message as it is sent.  Without a recording, be it that
    none is given as too large, the text says so, with what to do.
    """
    everything = tuple(attachments)
    room = limit_bytes - len(_written(prescribed, ()))
    kept: list[Attachment] = []
    for one in everything:
        needed = encoded_bytes(len(one.data)) + _PART_BYTES
        if needed <= room:
            kept.append(one)
            room -= needed
    out = tuple(one for one in everything if one not in kept)
    return Draft(
        data=_written(prescribed, kept),
        left_out=tuple(one.name for one in out),
    )


@dataclass(frozen=True, kw_only=True, slots=True)
class _Block:
    """A heading, or a paragraph, or a list, of the text."""

    heading: str = ""
    text: str = ""
    items: tuple[str, ...] = ()


def _written(prescribed: Prescribed, kept: Sequence[Attachment]) -> bytes:
    words = words_of(prescribed.session.language)
    title = one_line(prescribed.session.title)
    subject = words.say("message subject", title=title)
    blocks = tuple(_blocks(prescribed, words, kept))
    message = EmailMessage(policy=SMTP)
    message["X-Unsent"] = "1"
    message.set_content(_as_text(blocks), cte="quoted-printable")
    page = _as_html(blocks, subject, prescribed.session.language)
    message.add_alternative(page, subtype="html", cte="quoted-printable")
    message.set_boundary(f"{_BOUNDARY}words")
    for one in kept:
        kind, _, part = one.mime.partition("/")
        message.add_attachment(one.data, maintype=kind, subtype=part, filename=one.name)
    if kept:
        message.set_boundary(f"{_BOUNDARY}files")
    message["Content-Language"] = prescribed.session.language
    return _subject_line(subject) + message.as_bytes()


def _subject_line(subject: str) -> bytes:
    """The subject's own line, as encoded words (RFC 2047) where it is no ASCII.

    The library's newer way of folding drops spaces between encoded words: "HüfteFüße".
    """
    # Half a letter cannot be written; words that look encoded would be read as such (2047, 5).
    plain = subject.isascii() and "=?" not in subject
    header = Header(subject, "us-ascii" if plain else "utf-8", 75, "Subject")
    return f"Subject: {header.encode(linesep=SMTP.linesep)}{SMTP.linesep}".encode("ascii")


def _blocks(
    prescribed: Prescribed,
    words: Words,
    kept: Sequence[Attachment],
) -> Iterator[_Block]:
    """The words of the message, in order."""
    session, routine = prescribed.session, prescribed.routine
    length_ms = milliseconds(session.length, session.rate_hz)
    minutes = max(1, nearest(length_ms, 60_000))
    key = "paper session" if length_ms == minutes * 60_000 else "paper session about"
    lasts = words.say(key, time=words.say("minutes", n=minutes))
    frequency = routine.frequency.rstrip(". ")
    often = [words.say("paper often", frequency=frequency)] * bool(frequency)
    heard = any(one.mime.startswith("audio/") for one in kept)
    about = words.say("message about" if heard else "message about without", title=session.title)
    yield _Block(text=words.say("message hello"))
    yield _Block(text=" ".join([about, lasts, *often]))
    if not heard:
        yield _Block(text=words.say("message too large"))
    if kept:
        items = tuple(
            f"{words.say('paper label', name=one.name)} {words.say(_about(one))}" for one in kept
        )
        yield _Block(heading=words.say("message attached"), items=items)
    yield _Block(
        heading=words.say("paper recording"),
        text=f"{words.say('paper recording play')} {words.say('paper recording pause')}",
    )
    signs = tuple(words.say(f"paper stop {sign}") for sign in _SIGNS)
    yield _Block(heading=words.say("paper stop"), text=words.say("paper stop if"), items=signs)
    yield _Block(text=words.say("paper stop help"))
    yield _Block(text=f"{words.say('clinician first')} {words.say('message standing')}")


def _about(one: Attachment) -> str:
    """The key of what a file is, by its type."""
    kinds = {
        "audio": "message recording",
        "application/pdf": "message handout",
        "text/html": "message player",
        "text/calendar": "message reminders",
    }
    return kinds.get(one.mime) or kinds.get(one.mime.partition("/")[0]) or "message file"


def _as_text(blocks: Sequence[_Block]) -> str:
    parts = []
    for block in blocks:
        lines = [block.heading.upper()] if block.heading else []
        lines += textwrap.wrap(one_line(block.text), _WIDTH)
        for item in block.items:
            lines += textwrap.wrap(
                f"- {one_line(item)}", _WIDTH, subsequent_indent="  ", break_on_hyphens=False
            )
        parts.append("\n".join(lines))
    return "\n\n".join(parts) + "\n"


def _as_html(blocks: Sequence[_Block], title: str, language: str) -> str:
    """A page in the reader's own colours, large enough to read, with nothing to load."""
    body = []
    for block in blocks:
        if block.heading:
            body.append(f'<h2 dir="auto" style="font-size:20px">{_safe(block.heading)}</h2>')
        if block.text:
            body.append(f'<p dir="auto">{_safe(block.text)}</p>')
        if block.items:
            items = "".join(f'<li dir="auto">{_safe(item)}</li>' for item in block.items)
            body.append(f"<ul>{items}</ul>")
    inside = "\n".join(body)
    return (
        f'<!DOCTYPE html>\n<html lang="{_safe(language)}">\n<head><meta charset="utf-8">'
        f"<title>{_safe(title)}</title></head>\n"
        '<body style="font-family:Verdana,Arial,sans-serif;font-size:18px;line-height:1.5;'
        f'max-width:36em">\n{inside}\n</body>\n</html>\n'
    )


def _safe(text: str) -> str:
    return html.escape(one_line(text))
