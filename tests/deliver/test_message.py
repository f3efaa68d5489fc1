"""The draft message: two readers of mail agree on it, and it keeps under its limit."""

from __future__ import annotations

import dataclasses
import email
import html.parser
from email.message import EmailMessage
from email.policy import default
from pathlib import Path

import mailparser
import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from breathmark.deliver.audio import open_writer
from breathmark.deliver.message import Attachment, drafted, message_eml
from breathmark.deliver.message_size import (
    BIT_RATES,
    LIMIT_BYTES,
    encoded_bytes,
    mail_fit,
    mp3_bytes,
)
from breathmark.problems import Fault
from tests.deliver.handed import prescribed
from tests.deliver.sound_files import RATE_HZ, Samples, recording

NAMES = ("steady-on-your-feet.mp3", "handout.pdf")

SUBJECT = "Übung und für Füße Größe der — – è l'épaule : « » días 🙂 mollet Hüfte"


def attachments(sound: bytes = b"ID3" + bytes(range(256)) * 40) -> tuple[Attachment, ...]:
    """A recording and a handout."""
    return (
        Attachment(name=NAMES[0], mime="audio/mpeg", data=sound),
        Attachment(name=NAMES[1], mime="application/pdf", data=b"%PDF-1.7\r\n\n\r\0" * 99),
    )


def parsed(data: bytes) -> EmailMessage:
    """The message as the standard library reads it, without a defect anywhere."""
    message = email.message_from_bytes(data, policy=default)
    assert isinstance(message, EmailMessage)
    assert [part.defects for part in message.walk() if part.defects] == []
    return message


def text_of(data: bytes) -> str:
    """The plain words."""
    body = parsed(data).get_body(("plain",))
    assert body is not None
    return str(body.get_content())


def test_two_readers_find_the_same_message() -> None:
    """The standard library and mail-parser: subject, words in both forms, the very bytes."""
    files = attachments()
    data = message_eml(prescribed(), files)
    message = parsed(data)
    assert message["subject"] == "Your recording: Steady on your feet"
    assert message["x-unsent"] == "1"
    kinds = [part.get_content_type() for part in message.walk()]
    assert kinds == [
        *("multipart/mixed", "multipart/alternative", "text/plain", "text/html"),
        *("audio/mpeg", "application/pdf"),
    ]
    for part, file in zip(message.iter_attachments(), files, strict=True):
        assert part.get_filename() == file.name
        assert part.get_content() == file.data
    other = mailparser.parse_from_bytes(data)
    assert other.subject == message["subject"]
    assert [(one["filename"], one["mail_content_type"]) for one in other.attachments] == [
        (file.name, file.mime) for file in files
    ]
    assert other.text_plain[0].split() == text_of(data).split()
    assert not other.defects


def test_it_is_a_draft_of_nobody_to_nobody_at_no_time() -> None:
    """Whose it is and when it is sent are for the clinician's own program to say."""
    message = parsed(message_eml(prescribed(), attachments()))
    assert set(message.keys()) == {
        *("Subject", "X-Unsent", "Content-Language", "MIME-Version", "Content-Type"),
    }


def test_it_is_the_same_every_time_and_every_line_is_as_mail_wants_it() -> None:
    """Identical bytes; lines end in CR LF and have at most 998 letters (RFC 5322, 2.1.1)."""
    data = message_eml(prescribed(), attachments())
    assert data == message_eml(prescribed(), attachments())
    assert data.count(b"\n") == data.count(b"\r\n") == data.count(b"\r")
    assert max(map(len, data.split(b"\r\n"))) <= 998
    assert data.isascii()


class Words(html.parser.HTMLParser):
    """What a person reads of a page, and what it would load."""

    def __init__(self) -> None:
        super().__init__()
        self.text: list[str] = []
        self.tags: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        assert not {"src", "href", "background"} & {name for name, _ in attrs}

    def handle_data(self, data: str) -> None:
        self.text += data.split()


def test_both_forms_say_the_same() -> None:
    """Word for word; the page loads nothing."""
    data = message_eml(prescribed(title="Feet & <b>knees</b>"), attachments())
    page = parsed(data).get_body(("html",))
    assert page is not None
    reader = Words()
    reader.feed(str(page.get_content()))
    plain = text_of(data).replace("\n- ", "\n").casefold().split()
    shown = [word.casefold() for word in reader.text]
    assert shown[-len(plain) :] == plain
    assert "b" not in reader.tags


def test_a_full_stop_is_not_doubled() -> None:
    """A clinician may end the frequency as a sentence."""
    flat = " ".join(text_of(message_eml(prescribed(frequency="Twice a week. "), ())).split())
    assert "How often: Twice a week." in flat
    assert ".." not in flat


def test_it_says_what_is_attached_and_when_to_stop() -> None:
    """Each file by name; the signs to stop at; that the clinician's word comes first."""
    text = text_of(message_eml(prescribed(), attachments()))
    flat = " ".join(text.split())
    for said in (
        *NAMES,
        "This session takes 12 minutes. How often: 5 days a week.",
        "WHEN TO STOP",
        "- pain or pressure in your chest",
        "call the emergency number",
        "What your clinician told you comes first.",
    ):
        assert said in flat, said


@pytest.mark.parametrize(
    "title",
    [
        "Feet\r\nBcc: everybody@example.org",
        "Feet\nX-Evil: 1\n\n<html>",
        "Feet\u2028Bcc: a@example.org\x00\x0b\x85",
        "Füße, колени & 膝 — ثبات",
        "=?utf-8?q?Bcc=3A_a=40example=2Eorg?=",
        "\ud800 half a letter",
        "so long " * 200,
    ],
)
def test_no_title_can_become_a_header_or_break_the_message(title: str) -> None:
    """CR, LF and other breaks become spaces; other letters arrive (RFC 2047)."""
    data = message_eml(prescribed(title=title), attachments())
    message = parsed(data)
    assert set(message.keys()) == {
        *("Subject", "X-Unsent", "Content-Language", "MIME-Version", "Content-Type"),
    }
    assert len(list(message.iter_attachments())) == 2
    if "ü" in title:
        assert message["subject"] == f"Your recording: {title}"
        assert mailparser.parse_from_bytes(data).subject == f"Your recording: {title}"


@settings(max_examples=60)
@given(st.lists(st.sampled_from(SUBJECT.split()), min_size=1, max_size=14).map(" ".join))
@example("Übung und Größe für Füße – l'épaule trois « «")
def test_the_subject_keeps_its_spaces(title: str) -> None:
    """However long it is and wherever it is folded, for both readers."""
    data = message_eml(prescribed(title=title), ())
    assert parsed(data)["subject"] == f"Your recording: {title}"
    assert mailparser.parse_from_bytes(data).subject == f"Your recording: {title}"
    head = data.partition(b"\r\nX-Unsent")[0]
    assert max(map(len, head.split(b"\r\n"))) <= 76  # RFC 2047, 2


@pytest.mark.parametrize("name", ["", "a\r\nBcc: b@c.d", "../a.mp3", "a\\b.mp3", "C:a", " a.mp3"])
def test_a_name_that_is_none_is_refused(name: str) -> None:
    with pytest.raises(Fault, match="attachment"):
        Attachment(name=name, mime="audio/mpeg", data=b"")


@pytest.mark.parametrize("mime", ["", "audio", "audio/mpeg\r\nBcc: a@b.c", "a/b; c=d"])
def test_a_media_type_that_is_none_is_refused(mime: str) -> None:
    with pytest.raises(Fault, match="media type"):
        Attachment(name="a.mp3", mime=mime, data=b"")


@pytest.mark.parametrize("size", [0, 1, 2, 3, 56, 57, 58, 113, 114, 115, 5_701])
def test_the_encoded_size_is_what_the_encoder_writes(size: int) -> None:
    """Held against the standard library's base64 in a message."""
    message = EmailMessage(policy=default.clone(linesep="\r\n"))
    message.set_content(bytes(size), maintype="audio", subtype="mpeg")
    body = message.as_bytes().partition(b"\r\n\r\n")[2]
    assert len(body) == encoded_bytes(size)


def test_what_does_not_fit_is_left_out_and_said() -> None:
    """The recording goes first; without it the text says what to do."""
    large = attachments(bytes(60_000))
    draft = drafted(prescribed(), large, limit_bytes=30_000)
    assert draft.left_out == (NAMES[0],)
    assert [part.get_filename() for part in parsed(draft.data).iter_attachments()] == [NAMES[1]]
    assert "The recording is too large for e-mail" in " ".join(text_of(draft.data).split())
    assert drafted(prescribed(), large, limit_bytes=100_000).left_out == ()
    assert "too large" not in text_of(message_eml(prescribed(), large))


@pytest.mark.parametrize("files", [(), attachments()[1:]])
def test_without_a_recording_it_does_not_claim_to_carry_one(files: tuple[Attachment, ...]) -> None:
    """A session too long for any bit rate comes without one from the start."""
    said = " ".join(text_of(drafted(prescribed(), files).data).split())
    assert "The recording is too large for e-mail" in said
    assert "Here is your recording" not in said


@pytest.mark.parametrize("spare", [-1, 0, 1, 700, 1400, 50_000])
def test_the_limit_is_kept_to_the_byte(spare: int) -> None:
    """Whatever is attached, the message as sent has no more bytes than allowed."""
    files = attachments()
    whole = len(message_eml(prescribed(), files))
    draft = drafted(prescribed(), files, limit_bytes=whole + spare)
    assert len(draft.data) <= whole + spare
    if spare >= 1400:
        assert draft.left_out == ()


# Minutes, and the best bit rate by hand: 60 s at 24 kbit/s are 180 000 bytes, as mail 246 316.
@pytest.mark.parametrize(
    ("minutes", "rate_hz", "bit_rate"),
    [
        (10, 24_000, 64_000),  # 4.8 MB, 6.6 MB as mail
        (30, 24_000, 64_000),  # 14.4 MB, 19.7 MB as mail
        (40, 24_000, 48_000),  # 14.4 MB; at 56 it would be 16.8 MB, 23.0 MB
        (60, 24_000, 32_000),  # 14.4 MB
        (75, 24_000, 24_000),  # 13.5 MB, 18.5 MB as mail
        (120, 24_000, None),  # 21.6 MB at the least rate
        (60, 48_000, 32_000),
        (75, 48_000, None),  # there is no lower rate than 32 at 48 kHz
    ],
)
def test_the_bit_rate_fits_the_length(minutes: int, rate_hz: int, bit_rate: int | None) -> None:
    assert mail_fit(minutes * 60 * rate_hz, rate_hz).bit_rate == bit_rate


def test_the_other_files_count() -> None:
    """A handout of half a megabyte takes the hour from 32 to 24 kbit/s."""
    fit = mail_fit(3600 * RATE_HZ, RATE_HZ, other_bytes=500_000)
    assert fit.bit_rate == 24_000
    assert fit.sentence == (
        "The recording is attached at 24 kbit/s so that the mail stays under 20 MB."
    )
    assert "memory stick" in mail_fit(7200 * RATE_HZ, RATE_HZ).sentence
    assert mail_fit(600 * RATE_HZ, RATE_HZ).sentence.endswith("the mail stays under 20 MB.")


def noise(seconds: int) -> Samples:
    """The hardest sound there is to make small."""
    chance = np.random.default_rng(seconds)
    return chance.normal(0, 6_000, seconds * RATE_HZ).astype(np.int16)


def encoded(path: Path, seconds: int, bit_rate: int) -> bytes:
    """A real MP3 of so many seconds, as long as the usual tags make it."""
    minute = noise(60)
    with open_writer("mp3", path, recording(seconds * RATE_HZ), bit_rate=bit_rate) as writer:
        for _ in range(seconds // 60):
            writer.add(minute)
    return path.read_bytes()


@pytest.mark.parametrize("bit_rate", BIT_RATES)
def test_a_real_recording_is_no_larger_than_foreseen(tmp_path: Path, bit_rate: int) -> None:
    """Noise, with tags: within 7 frames and 2 kB of what was foreseen, never over."""
    data = encoded(tmp_path / "a.mp3", 60, bit_rate)
    foreseen = mp3_bytes(60 * RATE_HZ, RATE_HZ, bit_rate)
    tags = int.from_bytes(data[6:8]) << 14 | data[8] << 7 | data[9]
    assert 0 <= foreseen - (len(data) - tags - 10) <= 7 * 3 * bit_rate // 1000


@pytest.mark.slow
@pytest.mark.parametrize("minutes", [10, 30, 60, 120])
def test_a_whole_session_keeps_under_the_limit(tmp_path: Path, minutes: int) -> None:
    """10, 30 and 60 min of noise and a handout of 300 kB in real mails; 2 h are refused."""
    length = minutes * 60 * RATE_HZ
    handout = dataclasses.replace(attachments()[1], data=noise(10)[:150_000].tobytes())
    fit = mail_fit(length, RATE_HZ, other_bytes=len(handout.data) + 1_000)
    if minutes == 120:
        assert fit.bit_rate is None
        return
    assert fit.bit_rate is not None
    data = encoded(tmp_path / "a.mp3", minutes * 60, fit.bit_rate)
    sound = Attachment(name=NAMES[0], mime="audio/mpeg", data=data)
    draft = drafted(prescribed(), (sound, handout))
    assert draft.left_out == ()
    assert len(draft.data) <= LIMIT_BYTES
    assert len(mailparser.parse_from_bytes(draft.data).attachments) == 2
