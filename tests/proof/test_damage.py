"""The proof can fail: each damage below is found, by the check that is there for it."""

from __future__ import annotations

import importlib
import json
import shutil
import wave
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from breathmark.deliver.audio import FORMATS, Chapter
from breathmark.deliver.captions import captions_vtt
from breathmark.proof.check import Check, Report
from breathmark.proof.verify import verify_folder
from breathmark.script.session import Breathed, Sounded, Spoken, Tone
from breathmark.sound.tones import tone
from tests.plan_sessions import RATE_HZ
from tests.proof.results import (
    NAME,
    Result,
    Samples,
    brief_session,
    planned_chapters,
    planned_tags,
    small_session,
    small_sound,
    write_record,
)

FULL = 32_767


def failed(report: Report) -> set[Check]:
    return {finding.check for finding in report.failed}


# --- What is damaged in the sound -------------------------------------------------


def events(kind: type[Any]) -> list[Any]:
    return [event for event in small_session().events if isinstance(event, kind)]


def halfway() -> Sounded:
    found: list[Sounded] = [event for event in events(Sounded) if event.tone is Tone.HALFWAY]
    return found[0]


def edited(change: Callable[[Samples], object]) -> Samples:
    """The sound after ``change`` worked on a copy of it."""
    sound = small_sound().copy()
    change(sound)
    return sound


def cleared(start: int, end: int) -> Samples:
    """The sound with nothing from ``start`` to ``end``."""
    return edited(lambda sound: sound[start:end].fill(0))


def moved_tone(by_ms: int) -> Samples:
    event = halfway()
    by = by_ms * RATE_HZ // 1000

    def move(sound: Samples) -> None:
        cut = sound[event.start : event.end].copy()
        sound[event.start : event.end] = 0
        sound[event.start + by : event.end + by] = cut

    return edited(move)


def other_tone() -> Samples:
    event = halfway()

    def swap(sound: Samples) -> None:
        sound[event.start : event.end] = 0
        other = np.rint(tone(Tone.START, RATE_HZ) * FULL).astype(np.int16)
        sound[event.start : event.start + len(other)] = other

    return edited(swap)


def scaled(by_db: float) -> Samples:
    louder = small_sound().astype(float) * 10 ** (by_db / 20)
    return np.clip(np.rint(louder), -FULL, FULL).astype(np.int16)


def clipped() -> Samples:
    """Three full waves at full scale in the middle of a line."""
    line = events(Spoken)[0]
    at = line.start + line.length // 4

    def clip(sound: Samples) -> None:
        sound[at : at + 24] = np.tile([FULL] * 4 + [-FULL] * 4, 3)

    return edited(clip)


def shifted_middle() -> Samples:
    """Half a second of silence put in early and as much cut out late: the length is right."""
    half, early, late = RATE_HZ // 2, 20 * RATE_HZ, 86 * RATE_HZ
    sound = small_sound()
    gap = np.zeros(half, np.int16)
    parts = (sound[:early], gap, sound[early:late], sound[late + half :])
    return np.concatenate(parts)


def muted_line(number: int) -> Samples:
    line = events(Spoken)[number]
    return cleared(line.start, line.end)


def over_a_breath() -> Spoken:
    """A line that is said over a breath."""
    breaths = events(Breathed)
    found: list[Spoken] = [
        line
        for line in small_session().spoken
        if any(breath.start < line.start and line.end < breath.end for breath in breaths)
    ]
    return found[0]


def hushed_over_a_breath() -> Samples:
    """A line over a breath taken away, the breath left as it is under a line."""
    line = over_a_breath()
    hush = 10 ** (-16 / 20)
    rng = np.random.default_rng(3)
    air = rng.normal(0, FULL * 10 ** (-25 / 20) * hush, line.length)

    def take(sound: Samples) -> None:
        sound[line.start : line.end] = air

    return edited(take)


def stray_tone() -> Samples:
    """A soft pip in a rest, where the plan has nothing."""
    at = int(58.5 * RATE_HZ)

    def add(sound: Samples) -> None:
        pip = np.rint(tone(Tone.COUNTDOWN, RATE_HZ) * FULL * 0.03).astype(np.int16)
        sound[at : at + len(pip)] = pip

    return edited(add)


def long_pause() -> Samples:
    """A line whose middle is silent for two seconds, though both its ends are heard."""
    line = max(small_session().spoken, key=lambda spoken: spoken.length)
    middle = line.start + line.length // 2
    return cleared(middle - RATE_HZ, middle + RATE_HZ)


def muted_breath() -> Samples:
    """The last breath taken away behind the line that is said over it."""
    breath = events(Breathed)[-1]
    return cleared(breath.end - breath.length * 7 // 10, breath.end)


SOUND: dict[str, tuple[Callable[[], Samples], set[Check]]] = {
    "one sample short": (lambda: small_sound()[:-1], {Check.LENGTH}),
    "one sample long": (lambda: np.append(small_sound(), np.int16(0)), {Check.LENGTH}),
    "a tone 30 ms late": (lambda: moved_tone(30), {Check.TONES}),
    "a tone 30 ms early": (lambda: moved_tone(-30), {Check.TONES}),
    "a tone missing": (
        lambda: cleared(halfway().start, halfway().end), {Check.TONES, Check.SILENCE},
    ),
    "a tone of another kind": (other_tone, {Check.TONES}),
    "1 dB louder": (lambda: scaled(1.0), {Check.LOUDNESS}),
    "1 dB softer": (lambda: scaled(-1.0), {Check.LOUDNESS}),
    "a clipped peak": (clipped, {Check.PEAK}),
    "a second of silence shifts the middle": (
        shifted_middle, {Check.TONES, Check.LINES, Check.QUIET, Check.SILENCE},
    ),
    "a line muted": (lambda: muted_line(2), {Check.LINES, Check.SILENCE}),
    "a one-word line muted": (lambda: muted_line(4), {Check.LINES, Check.SILENCE}),
    "a line over a breath gone": (hushed_over_a_breath, {Check.LINES}),
    "the first half second of a line gone": (
        lambda: cleared(events(Spoken)[0].start, events(Spoken)[0].start + RATE_HZ // 2),
        {Check.LINES, Check.SILENCE},
    ),
    "a hole in a line": (long_pause, {Check.SILENCE}),
    "a breath gone": (muted_breath, {Check.BREATHS, Check.SILENCE}),
    "a soft pip where nothing is planned": (stray_tone, {Check.QUIET}),
    "all of it gone": (
        lambda: np.zeros_like(small_sound()),
        {Check.TONES, Check.LINES, Check.BREATHS, Check.SILENCE, Check.LOUDNESS},
    ),
}  # fmt: skip


@pytest.mark.parametrize("damage", SOUND)
def test_damaged_sound_is_found(damage: str, tmp_path: Path) -> None:
    """Sound that differs from the plan fails the check for it, and no other."""
    make, due = SOUND[damage]
    folder = Result(session=small_session(), sound=make(), formats=("wav",)).written(tmp_path)
    assert failed(verify_folder(folder)) == due


@pytest.mark.parametrize("damage", ["one sample short", "one sample long", "a tone 30 ms late"])
@pytest.mark.parametrize("format", FORMATS)
def test_every_format_is_heard(format: str, damage: str, tmp_path: Path) -> None:
    """The same damage is found in each format."""
    make, due = SOUND[damage]
    folder = Result(session=small_session(), sound=make(), formats=(format,)).written(tmp_path)
    assert failed(verify_folder(folder)) >= due


# --- What is damaged in the container ---------------------------------------------


def chapter(number: int, **fields: Any) -> tuple[Chapter, ...]:
    listed = list(planned_chapters(brief_session()))
    listed[number] = replace(listed[number], **fields)
    return tuple(listed)


def later(by_ms: int) -> tuple[Chapter, ...]:
    """The third chapter begins later, and the second lasts as much longer."""
    one, two, three, four = planned_chapters(brief_session())
    by = by_ms * RATE_HZ // 1000
    return (
        one,
        replace(two, length=two.length + by),
        replace(three, start=three.start + by, length=three.length - by),
        four,
    )


def swapped_titles() -> tuple[Chapter, ...]:
    one, two, three, four = planned_chapters(brief_session())
    return one, replace(two, title=three.title), replace(three, title=two.title), four


CHAPTERS: dict[str, Callable[[], tuple[Chapter, ...]]] = {
    "5 ms late": lambda: later(5),
    "5 ms early": lambda: later(-5),
    "renamed": lambda: chapter(2, title="Heels and toes"),
    "the last one missing": lambda: planned_chapters(brief_session())[:-1],
    "none": lambda: (),
    "out of order": swapped_titles,
}


@pytest.mark.parametrize("damage", CHAPTERS)
@pytest.mark.parametrize("format", FORMATS)
def test_damaged_chapters_are_found(format: str, damage: str, tmp_path: Path) -> None:
    """Chapters that differ from the plan's are found in every format."""
    folder = Result(chapters=CHAPTERS[damage](), formats=(format,)).written(tmp_path)
    assert failed(verify_folder(folder)) == {Check.CHAPTERS}


def test_a_wrong_table_of_contents_is_found(tmp_path: Path) -> None:
    """MP3: the frames are right, but the order that players follow is not."""

    def swap(folder: Path) -> None:
        path = folder / f"{NAME}.mp3"
        data = path.read_bytes()
        assert data.count(b"ch1\0ch2\0") == 1
        path.write_bytes(data.replace(b"ch1\0ch2\0", b"ch2\0ch1\0"))

    report = verify_folder(Result(after=swap).written(tmp_path))
    assert failed(report) == {Check.CHAPTERS}
    assert "the table of contents" in report.failed[0].detail


def named_mp3(path: Path) -> None:
    """Put an artist's frame in front of the others (the library would reorder chapters)."""
    data = path.read_bytes()
    frame = b"TPE1" + (9).to_bytes(4) + bytes(3) + b"somebody"
    size = len(frame) + sum(
        part << shift for part, shift in zip(data[6:10], (21, 14, 7, 0), strict=True)
    )
    sevens = bytes(size >> shift & 0x7F for shift in (21, 14, 7, 0))
    path.write_bytes(data[:6] + sevens + frame + data[10:])


def named_elsewhere(path: Path) -> None:
    """M4A, Opus, FLAC: through the library's own way to add a field."""
    file = importlib.import_module("mutagen").File(path)
    file["©ART" if path.suffix == ".m4a" else "patient"] = ["somebody"]
    file.save()


def named_wav(path: Path) -> None:
    data = path.read_bytes() + b"id3 \x08\0\0\0somebody"
    path.write_bytes(data[:4] + (len(data) - 8).to_bytes(4, "little") + data[8:])


NAMED = {"mp3": named_mp3, "wav": named_wav}


@pytest.mark.parametrize("format", FORMATS)
def test_a_name_in_the_tags_is_found(format: str, tmp_path: Path) -> None:
    """A field that nobody planned is found, and what it says is said."""
    folder = Result(
        formats=(format,),
        after=lambda at: NAMED.get(format, named_elsewhere)(at / f"{NAME}.{format}"),
    ).written(tmp_path)
    report = verify_folder(folder)
    assert failed(report) == {Check.TAGS}
    assert "somebody" in report.failed[0].detail


@pytest.mark.parametrize("format", FORMATS)
@pytest.mark.parametrize("field", ["title", "album", "comment"])
def test_other_words_in_a_known_field_are_found(field: str, format: str, tmp_path: Path) -> None:
    """A field that may be there says what the plan says, and not somebody's name."""
    tags = replace(planned_tags(brief_session()), **{field: "For somebody"})
    folder = Result(tags=tags, formats=(format,)).written(tmp_path)
    assert failed(verify_folder(folder)) == {Check.TAGS}


@pytest.mark.parametrize("format", ["mp3", "m4a", "opus", "flac"])
def test_other_lyrics_are_found(format: str, tmp_path: Path) -> None:
    """The words in the lyrics are the words that are said."""
    folder = Result(lyrics="[00:01.00]Sit down.\n", formats=(format,)).written(tmp_path)
    assert failed(verify_folder(folder)) == {Check.TAGS}


OLD_TAGS = {
    "ID3v1": b"TAG" + b"somebody".ljust(125, b"\0"),
    "APE": b"APETAGEX" + (2000).to_bytes(4, "little") + bytes(20),
}


@pytest.mark.parametrize("kind", OLD_TAGS)
def test_an_old_tag_at_the_end_is_found(kind: str, tmp_path: Path) -> None:
    """MP3: a tag of an older kind, which holds an artist's name, may hang on the end."""

    def add(folder: Path) -> None:
        with (folder / f"{NAME}.mp3").open("ab") as file:
            file.write(OLD_TAGS[kind])

    report = verify_folder(Result(after=add).written(tmp_path))
    assert failed(report) == {Check.TAGS}
    assert kind in report.failed[0].detail


# --- What is damaged in the captions ----------------------------------------------


def recaptioned(old: str, new: str) -> Callable[[], str]:
    def change() -> str:
        text = captions_vtt(brief_session())
        assert text.count(old) == 1, old
        return text.replace(old, new)

    return change


def shifted(by_ms: int) -> str:
    session = brief_session()
    moved = [
        replace(event, start=event.start + by_ms * RATE_HZ // 1000) for event in session.events
    ]
    return captions_vtt(replace(session, events=tuple(moved)))


def without(text: str) -> str:
    blocks = captions_vtt(brief_session()).split("\n\n")
    kept = [block for block in blocks if text not in block]
    assert len(kept) == len(blocks) - 1
    return "\n\n".join(kept)


def appended(block: str) -> Callable[[], str]:
    return lambda: f"{captions_vtt(brief_session())}\n{block}\n"


CAPTIONS: dict[str, tuple[Callable[[], str], str]] = {
    "50 ms late": (lambda: shifted(50), "appears 50 ms too late"),
    "15 ms early": (lambda: shifted(-15), "appears 15 ms too early"),
    "a caption missing": (lambda: without("Well done."), "“Well done.”, has no caption"),
    "a tone's caption missing": (lambda: without("[start tone]"), "start tone at 0:05.000"),
    "a word changed": (recaptioned("Well done.", "Well made."), "is shown as “Well made.”"),
    "a line shown twice": (
        appended("00:14.000 --> 00:14.400\nWell done."), "“Well done.”, is said nowhere",
    ),
    "an overlap": (appended("00:13.500 --> 00:14.400\n[pause]"), "begins before the caption"),
    "past the end": (appended("00:14.400 --> 00:15.000\n[end tone]"), "past the end"),
    "not WebVTT": (lambda: "1\n00:01,000 --> 00:02,000\nWell done.\n", "line 1"),
    "a damaged arrow": (recaptioned("00:00:13.000 --> ", "00:00:13.000 -> "), "no times"),
    "a bare ampersand": (
        lambda: captions_vtt(brief_session()).replace("&amp;", "&"), "&amp;",
    ),
    "empty": (lambda: "", "line 1 does not say WEBVTT"),
}  # fmt: skip


@pytest.mark.parametrize("damage", CAPTIONS)
def test_damaged_captions_are_found(damage: str, tmp_path: Path) -> None:
    """Captions that are not the plan's, or not WebVTT, are found, and what is wrong is said."""
    make, said = CAPTIONS[damage]
    report = verify_folder(Result(captions=make(), formats=("wav",)).written(tmp_path))
    assert failed(report) == {Check.CAPTIONS}
    assert said in report.failed[0].detail


# --- What is damaged in the folder ------------------------------------------------


@pytest.fixture(scope="module")
def good(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A good folder in every format, to be copied."""
    return Result(formats=FORMATS).written(tmp_path_factory.mktemp("good"))


@pytest.fixture
def folder(good: Path, tmp_path: Path) -> Path:
    """A copy of the good folder."""
    return Path(shutil.copytree(good, tmp_path / "result"))


def test_a_good_folder_passes(folder: Path) -> None:
    """Undamaged, every check of every format passes."""
    report = verify_folder(folder)
    assert report.failed == ()
    assert {finding.check for finding in report.findings} == set(Check)
    assert len(report.findings) == 4 + len(FORMATS) * 11


@pytest.mark.parametrize("format", FORMATS)
@pytest.mark.parametrize("content", ["", "half", "text", "noise", "header"])
def test_a_file_that_is_no_recording_is_found(format: str, content: str, folder: Path) -> None:
    """Empty, cut short, text, noise, a header alone: a finding each, never a traceback."""
    path = folder / f"{NAME}.{format}"
    whole = path.read_bytes()
    contents = {
        "": b"",
        "half": whole[: len(whole) // 2],
        "text": b"#EXTM3U\n#EXTINF:1\nhttp://example.org/\n" * 40,
        "noise": np.random.default_rng(1).bytes(40_000),
        "header": whole[:60],
    }
    path.write_bytes(contents[content])
    found = failed(verify_folder(folder))
    assert Check.RECORD in found
    assert found & {Check.READABLE, Check.LENGTH}


@pytest.mark.parametrize("format", FORMATS)
def test_random_damage_never_breaks_the_proof(format: str, folder: Path) -> None:
    """Bytes changed at random anywhere in the file end in findings, not in an error."""
    rng = np.random.default_rng(FORMATS.index(format))
    path = folder / f"{NAME}.{format}"
    for other in FORMATS:
        if other != format:
            (folder / f"{NAME}.{other}").unlink()
    whole = path.read_bytes()
    for trial in range(12):
        data = bytearray(whole)
        most = (400, 4_000, len(whole))[trial % 3]  # the header, the tags, anywhere
        for place in rng.integers(0, min(most, len(whole)), 6):
            data[place] = rng.integers(256)
        path.write_bytes(data)
        assert Check.RECORD in failed(verify_folder(folder))


def test_a_renamed_file_is_found(folder: Path) -> None:
    """A WAV file called .mp3 is not an MP3 file."""
    shutil.copy(folder / f"{NAME}.wav", folder / f"{NAME}.mp3")
    write_record(folder)
    assert failed(verify_folder(folder)) == {Check.READABLE}


def test_a_recording_of_another_session_is_found(folder: Path, tmp_path: Path) -> None:
    """The file of another routine, even if the record agrees, is not this plan's."""
    other = Result(session=small_session()).written(tmp_path / "other")
    shutil.copy(other / f"{NAME}.mp3", folder / f"{NAME}.mp3")
    write_record(folder)
    found = failed(verify_folder(folder))
    assert found >= {Check.LENGTH, Check.TONES, Check.LINES, Check.CHAPTERS, Check.TAGS}


@pytest.mark.parametrize("longer", [False, True])
@pytest.mark.parametrize("name", ["captions.vtt", "plan.json", f"{NAME}.mp3", f"{NAME}.wav"])
def test_a_changed_byte_is_found(name: str, longer: bool, folder: Path) -> None:
    """A file that is not what the record says is found by its size or its check sum."""
    data = bytearray((folder / name).read_bytes())
    if longer:
        data += b"\n"
    else:
        data[-1] ^= 0x2A  # turns a line end into a blank
    (folder / name).write_bytes(data)
    report = verify_folder(folder)
    assert Check.RECORD in failed(report)
    detail = next(found.detail for found in report.failed if found.check is Check.RECORD)
    assert name in detail
    assert ("bytes, not" if longer else "check sum differs") in detail


WAVES = {
    "two channels": (2, 2, 24_000, "2 channels"),
    "24 bits": (1, 3, 24_000, "pcm_s24le where pcm_s16le is due"),
    "another rate": (1, 2, 44_100, "44100 samples a second where 24000 are due"),
    "a rate nobody has": (1, 2, 192_000, "192000 samples a second"),
}


@pytest.mark.parametrize("kind", WAVES)
def test_sound_of_another_make_is_found(kind: str, folder: Path) -> None:
    """Good WAV files, but not one channel of 16 bits at the plan's rate."""
    channels, width, rate_hz, said = WAVES[kind]
    with wave.open(str(folder / f"{NAME}.wav"), "wb") as file:
        file.setnchannels(channels)
        file.setsampwidth(width)
        file.setframerate(rate_hz)
        file.writeframes(bytes(channels * width * rate_hz))
    write_record(folder)
    report = verify_folder(folder)
    assert failed(report) == {Check.READABLE}
    assert said in report.failed[0].detail


@pytest.mark.parametrize("name", ["captions.vtt", "plan.json", "record.json", f"{NAME}.mp3"])
def test_a_missing_file_is_found(name: str, folder: Path) -> None:
    """Each file that has to be there is missed."""
    (folder / name).unlink()
    assert Check.RECORD in failed(verify_folder(folder))


def test_a_recording_that_the_record_does_not_know_is_found(folder: Path) -> None:
    """A recording that was put there later is not one of the build's."""
    shutil.copy(folder / f"{NAME}.mp3", folder / "other.mp3")
    assert failed(verify_folder(folder)) == {Check.RECORD}


RECORDS: dict[str, Any] = {
    "no JSON": "{",
    "a list": [],
    "no files": {"files": None},
    "outside": {"files": {"../secret.txt": {"sha256": "0" * 64, "bytes": 1}}},
    "no check sum": {"files": {"plan.json": {"bytes": 1}}},
    "nothing listed": {"files": {}},
}


@pytest.mark.parametrize("damage", RECORDS)
def test_a_damaged_record_is_found(damage: str, folder: Path) -> None:
    """A record that cannot be right is found, whatever it says."""
    said = RECORDS[damage]
    text = said if isinstance(said, str) else json.dumps(said)
    (folder / "record.json").write_text(text, encoding="utf-8")
    assert failed(verify_folder(folder)) == {Check.RECORD}


def test_a_contradiction_in_the_plan_is_found(folder: Path) -> None:
    """A plan whose numbers do not add up proves nothing; the line is named."""
    path = folder / "plan.json"
    plan = json.loads(path.read_text(encoding="utf-8"))
    plan["events"][3]["start_samples"] += 24
    path.write_text(json.dumps(plan), encoding="utf-8")
    write_record(folder)
    report = verify_folder(folder)
    assert failed(report) == {Check.PLAN}
    assert "contradicts" in report.failed[0].detail


def test_a_plan_with_another_word_is_found(folder: Path) -> None:
    """A plan that was edited without contradiction differs from what was made from it."""
    path = folder / "plan.json"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("Well done.", "Sit down now."), encoding="utf-8")
    write_record(folder)
    assert failed(verify_folder(folder)) == {Check.CAPTIONS, Check.TAGS}


@pytest.mark.parametrize("text", ["", "[]", "{}", "\xff", "[" * 100_000])
def test_a_file_that_is_no_plan_is_found(text: str, folder: Path) -> None:
    """Anything in the place of the plan is a finding."""
    (folder / "plan.json").write_bytes(text.encode("latin-1"))
    assert Check.PLAN in failed(verify_folder(folder))


def test_an_empty_folder_proves_nothing(tmp_path: Path) -> None:
    """No folder, or nothing in it, is a failure."""
    for folder in (tmp_path, tmp_path / "nowhere"):
        report = verify_folder(folder)
        assert not report.passed
        assert Check.FOLDER in failed(report)
    assert not Report(()).passed
