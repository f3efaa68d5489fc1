"""The recording in the message is what the patient gets: it is proved, whatever it is."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable
from email.message import EmailMessage
from email.policy import SMTP
from pathlib import Path

import pytest

from breathmark.deliver.audio import open_writer
from breathmark.deliver.message import FILE_NAME
from breathmark.deliver.message_size import BIT_RATES
from breathmark.deliver.result import recording_of
from breathmark.proof.check import Check, Finding
from breathmark.proof.verify import verify_folder
from tests.proof.results import (
    NAME,
    Result,
    Samples,
    brief_session,
    failed,
    small_session,
    sound_of,
)

Attached = Callable[[Path], bytes]
"""What is attached, made from what lies in the folder."""


def message(attached: Attached | None) -> Callable[[Path], None]:
    """Puts a message into the folder, with a handout and what is attached."""

    def write(folder: Path) -> None:
        mail = EmailMessage(policy=SMTP)
        mail.set_content("Dear patient, here is your session.")
        mail.add_attachment(b"%PDF-1.7", maintype="application", subtype="pdf", filename="a.pdf")
        if attached is not None:
            data = attached(folder)
            mail.add_attachment(data, maintype="audio", subtype="mpeg", filename="a.mp3")
        (folder / FILE_NAME).write_bytes(mail.as_bytes())

    return write


def encoded(bit_rate: int, sound: Samples | None = None) -> Attached:
    """The brief session at a bit rate, or another sound in its place."""
    session = brief_session()

    def encode(folder: Path) -> bytes:
        path = folder / ".for-the-mail.mp3"
        with open_writer("mp3", path, recording_of(session, ""), bit_rate=bit_rate) as writer:
            writer.add(sound_of(session) if sound is None else sound)
        data = path.read_bytes()
        path.unlink()
        return data

    return encode


def without_a_line() -> Samples:
    line = brief_session().spoken[0]
    sound = sound_of(brief_session()).copy()
    sound[line.start : line.end] = 0
    return sound


def found(folder: Path) -> list[Finding]:
    """What was found about the message."""
    return [one for one in verify_folder(folder).findings if one.file == FILE_NAME]


def test_the_recording_of_the_folder_needs_no_second_listening(tmp_path: Path) -> None:
    """Byte for byte the same."""
    same = message(lambda folder: (folder / f"{NAME}.mp3").read_bytes())
    (one,) = found(Result(after=same).written(tmp_path))
    assert (one.check, one.passed, one.measured) == (
        Check.MESSAGE, True, "the recording of this folder",
    )  # fmt: skip


def test_a_message_without_a_recording_says_so(tmp_path: Path) -> None:
    """As where it is too large for a mail."""
    (one,) = found(Result(after=message(None)).written(tmp_path))
    assert (one.passed, one.measured) == (True, "no recording")


@pytest.mark.parametrize("bit_rate", BIT_RATES[1:])
@pytest.mark.parametrize("formats", [("mp3",), ("m4a",)])
def test_a_recording_made_for_the_mail_passes_the_same_checks(
    formats: tuple[str, ...], bit_rate: int, tmp_path: Path
) -> None:
    """At every bit rate that a message may need."""
    folder = Result(formats=formats, after=message(encoded(bit_rate))).written(tmp_path)
    findings = found(folder)
    assert {one.check for one in findings} >= {
        Check.MESSAGE, Check.LENGTH, Check.TONES, Check.LINES, Check.PEAK, Check.CHAPTERS,
    }  # fmt: skip
    assert [one.detail for one in findings if not one.passed] == []


@pytest.mark.parametrize(
    ("attached", "due"),
    [
        (encoded(48_000, without_a_line()), {Check.LINES, Check.SILENCE}),
        (encoded(48_000, sound_of(brief_session()) // 2), {Check.LOUDNESS}),
        (lambda folder: (folder / f"{NAME}.mp3").read_bytes()[:-3_000], {Check.LENGTH}),
        (lambda _: b"", {Check.READABLE}),
        (lambda _: b"no sound at all" * 500, {Check.READABLE}),
    ],
    ids=["a line gone", "too soft", "cut short", "empty", "text"],
)
def test_what_is_wrong_with_it_is_found(
    attached: Attached, due: set[Check], tmp_path: Path
) -> None:
    """By the check for it, in the message, though the folder's own recording is good."""
    folder = Result(after=message(attached)).written(tmp_path)
    report = verify_folder(folder)
    assert {one.file for one in report.failed} == {FILE_NAME}
    assert failed(report) >= due


def test_another_sessions_recording_is_found(tmp_path: Path) -> None:
    """The likeliest mishap of all: the wrong file."""
    other = Result(session=small_session()).written(tmp_path / "other") / f"{NAME}.mp3"
    folder = Result(after=message(lambda _: other.read_bytes())).written(tmp_path / "one")
    report = verify_folder(folder)
    assert failed(report) >= {Check.LENGTH, Check.CHAPTERS}
    assert {one.file for one in report.failed} == {FILE_NAME}


def test_a_folder_with_a_recordings_name_beside_a_message_is_a_finding(tmp_path: Path) -> None:
    """It is no recording to compare with, and no error of ours."""
    folder = Result(after=message(encoded(48_000))).written(tmp_path)
    (folder / "more.mp3").mkdir()
    report = verify_folder(folder)
    assert failed(report) == {Check.READABLE, Check.RECORD}
    assert FILE_NAME not in {one.file for one in report.failed}


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.ENOENT])
def test_where_there_is_no_room_for_a_copy_it_is_a_finding(
    number: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A full disk, say, or no folder for what is temporary; it does not count as proved."""
    folder = Result(after=message(encoded(48_000))).written(tmp_path)

    def full(*_arguments: object, **_options: object) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr("breathmark.proof.message.TemporaryDirectory", full)
    (one,) = verify_folder(folder).failed
    assert (one.check, one.file) == (Check.MESSAGE, FILE_NAME)
    assert os.strerror(number) in one.detail


@pytest.mark.parametrize("part", [0.01, 0.1, 0.3, 0.5, 0.9])
def test_a_message_cut_short_never_breaks_the_proof(part: float, tmp_path: Path) -> None:
    """Whatever is left of it, something is found and nothing is raised."""
    folder = Result(after=message(encoded(48_000))).written(tmp_path)
    path = folder / FILE_NAME
    whole = path.read_bytes()
    path.write_bytes(whole[: round(len(whole) * part)])
    assert Check.RECORD in failed(verify_folder(folder))
