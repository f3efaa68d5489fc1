"""The whole way, for real: what comes out, that it is repeatable, and whole or not at all."""

from __future__ import annotations

import dataclasses
import email
import hashlib
import json
import os
import random
import re
import signal
import subprocess
import sys
import time
from datetime import date
from email.policy import default
from pathlib import Path
from typing import Any

import mutagen
import numpy as np
import pytest
import typer.main

from breathmark.cli.app import app
from breathmark.deliver.audio import FORMATS
from breathmark.deliver.handing import Wanted
from breathmark.deliver.plan_json import plan_from_json
from breathmark.deliver.record import own_digest
from breathmark.pipeline import Order, ProofFailed, make, plan
from breathmark.problems import InputProblems, UsageProblem
from breathmark.proof.check import Check, Report
from breathmark.proof.decode import decode
from breathmark.proof.verify import verify_folder
from tests.deliver.paper_cases import coloured
from tests.house.sources import TOP
from tests.house.test_demo import DEMO
from tests.outside import decode_with_ffmpeg, ffprobe_chapters
from tests.pipeline.short import SHORT, short_routine

LENGTH_S = 75


def hashes(folder: Path) -> dict[str, str]:
    """The hash of every file in a folder."""
    return {
        path.name: hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.iterdir())
    }


BARE = ("captions.vtt", "plan.json", "plan.svg", "record.json")
CHANGED = "The record was changed after it was made."


def test_every_format_comes_out_exact_chaptered_and_proved(tmp_path: Path) -> None:
    """One call writes all five formats; an outside decoder counts the planned samples."""
    made = make(Order(source=short_routine(tmp_path), output=tmp_path / "out", formats=FORMATS))
    assert made.report.passed
    assert made.folder == tmp_path / "out" / "short-and-sweet-1min15s"
    names = {path.name for path in made.files}
    assert names == {
        *(f"short-and-sweet.{ending}" for ending in FORMATS),
        "captions.vtt",
        "handout.pdf",
        "message.eml",
        "plan.json",
        "plan.png",
        "plan.svg",
        "player.html",
        "record.json",
        "record.pdf",
    }
    for ending in FORMATS:
        path = made.folder / f"short-and-sweet.{ending}"
        rate_hz = 48_000 if ending == "opus" else 24_000
        assert len(decode_with_ffmpeg(path, rate_hz)) == LENGTH_S * rate_hz, ending
    planned = [(block.title, block.start / 24) for block in made.session.blocks]
    heard = ffprobe_chapters(made.folder / "short-and-sweet.mp3")
    assert [chapter.title for chapter in heard] == [title for title, _ in planned]
    for chapter, (_, start_ms) in zip(heard, planned, strict=True):
        assert abs(chapter.start_ms - start_ms) <= 2


def test_the_record_says_what_was_built(tmp_path: Path) -> None:
    """The record holds the routine's hash, the dose, the hashes of the files and the proof."""
    routine = short_routine(tmp_path)
    made = make(Order(source=routine, output=tmp_path / "out"))
    record = json.loads((made.folder / "record.json").read_text(encoding="utf-8"))
    assert record["routine"]["sha256"] == hashlib.sha256(routine.read_bytes()).hexdigest()
    assert record["length"]["ms"] == LENGTH_S * 1000
    assert record["exercises"][0]["dose"] == "4 repetitions of 4 s"
    assert {check["passed"] for check in record["checks"]} == {True}
    assert (
        record["files"]["short-and-sweet.mp3"]["sha256"]
        == hashes(made.folder)["short-and-sweet.mp3"]
    )
    assert plan_from_json((made.folder / "plan.json").read_text()) == made.session
    assert record["record_sha256"] == own_digest(record)
    for altered in (
        {"patient": {"label": "R-999"}},
        {"exercises": [{**record["exercises"][0], "dose": "9 repetitions of 4 s"}]},
        {"cautions": ["Go on through any pain."]},
    ):
        text = json.dumps({**record, **altered})
        (made.folder / "record.json").write_text(text, encoding="utf-8")
        (found,) = verify_folder(made.folder).failed
        assert (found.check, found.detail) == ("record", CHANGED)


@pytest.mark.slow
def test_two_cold_builds_are_identical(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With a store of their own each, two builds give the same bytes in every file."""
    routine = short_routine(tmp_path)
    found = []
    for name in ("one", "two"):
        monkeypatch.setenv("BREATHMARK_STORE", str(tmp_path / f"store-{name}"))
        made = make(Order(source=routine, output=tmp_path / name, formats=FORMATS))
        found.append(hashes(made.folder))
    assert found[0] == found[1]


def test_a_routine_without_a_length_takes_whole_seconds(tmp_path: Path) -> None:
    """The natural length is rounded up to a whole second."""
    text = SHORT.replace("length: 1 min 15 s\n", "")
    planned = plan(Order(source=short_routine(tmp_path, text)))
    assert planned.session.length % 24_000 == 0


def test_the_system_voice_and_piper_speak_in_one_run(tmp_path: Path) -> None:
    """Both engines can be used in one process, in either order."""
    routine = short_routine(tmp_path)
    lengths = [
        plan(Order(source=routine, voice=voice)).session.spoken[0].length
        for voice in ("system", "calm", "system")
    ]
    assert lengths[0] == lengths[2] != lengths[1]


def test_a_voice_that_is_not_there_is_the_routines_problem(tmp_path: Path) -> None:
    """A wrong `voice:` has its line; a wrong --voice is a usage error with the nearest name."""
    text = SHORT.replace("exercises:", "voice: clam\nexercises:")
    with pytest.raises(InputProblems, match="unknown-voice") as caught:
        plan(Order(source=short_routine(tmp_path, text)))
    assert caught.value.problems[0].place.line == 3
    assert "`calm`" in str(caught.value)
    with pytest.raises(UsageProblem, match="calm"):
        plan(Order(source=short_routine(tmp_path), voice="clam"))


def test_a_format_that_is_not_there_costs_no_time(tmp_path: Path) -> None:
    """It is refused before anything is spoken."""
    with pytest.raises(UsageProblem, match="mp3"):
        make(Order(source=tmp_path / "nothing.yaml", formats=("mp4",)))


def test_what_does_not_agree_is_not_put_in_place(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """When the proof fails, the build fails and the old result stays."""
    routine = short_routine(tmp_path)
    order = Order(source=routine, output=tmp_path / "out")
    before = hashes(make(order).folder)

    def spoilt(folder: Path, **_options: object) -> object:
        captions = folder / "captions.vtt"
        captions.write_text(captions.read_text().replace("counter", "table"))
        return verify_folder(folder)

    monkeypatch.setattr("breathmark.pipeline.verify_folder", spoilt)
    with pytest.raises(ProofFailed):
        make(dataclasses.replace(order, voice="clear"))
    assert hashes(tmp_path / "out" / "short-and-sweet-1min15s") == before


def failing(report: Report, check: Check) -> Report:
    """The same report in which one check did not pass."""
    return Report(
        tuple(
            dataclasses.replace(one, passed=one.passed and one.check is not check)
            for one in report.findings
        )
    )


@pytest.mark.parametrize(
    ("check", "fails", "builds", "passes"),
    [
        (Check.PEAK, 1, 2, True),
        (Check.PEAK, 2, 3, True),
        (Check.PEAK, 4, 5, True),
        (Check.PEAK, 5, 5, False),
        (Check.QUIET, 1, 1, False),
    ],
)
def test_a_peak_that_a_coder_swells_is_made_lower(
    check: Check, fails: int, builds: int, passes: bool, tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    """Four times, by steps that grow, and said so; what else is wrong is told at once."""
    peaks: list[float] = []
    stages: dict[str, None] = {}

    def swollen(folder: Path, **_options: object) -> Report:
        sound = decode(folder / "short-and-sweet.wav").samples
        peaks.append(20 * np.log10(float(np.abs(sound).max())))
        report = verify_folder(folder)
        return failing(report, check) if len(peaks) <= fails else report

    monkeypatch.setattr("breathmark.pipeline.verify_folder", swollen)
    order = Order(
        source=short_routine(tmp_path), output=tmp_path / "out", formats=("wav",),
        wanted=Wanted(papers=False),
    )  # fmt: skip

    def progress(stage: str, _done: int, _total: int) -> None:
        stages[stage] = None

    if passes:
        assert verify_folder(make(order, progress).folder).passed
    else:
        with pytest.raises(ProofFailed):
            make(order, progress)
    assert len(peaks) == builds
    assert np.diff(peaks) == pytest.approx([-0.75, -0.75, -1.0, -1.5][: builds - 1], abs=0.1)
    assert ("writing again" in stages) == (builds > 1)


@pytest.mark.slow
@pytest.mark.parametrize("voice", ["calm", "system"])
def test_the_demo_is_proved_in_formats_that_swell(voice: str, tmp_path: Path) -> None:
    """AAC and Opus make more of the peaks than MP3 does, and Opus a tail of an offset."""
    order = Order(
        source=DEMO,
        output=tmp_path,
        voice=voice,
        formats=("m4a", "opus"),
        wanted=Wanted(papers=False),
    )
    assert make(order).report.passed


@pytest.mark.slow
@pytest.mark.parametrize("voice", ["calm", "clear"])
def test_soft_ends_over_a_background_pass_the_proof(voice: str, tmp_path: Path) -> None:
    """The lines of the starter library whose ends are softest ("leg lift", "weight shift")."""
    names = ("Side-lying leg lift", "Seated weight shift", "Chin tuck")
    routine = tmp_path / "soft.yaml"
    uses = "".join(f"  - use: {name}\n" for name in names)
    routine.write_text(f"title: Soft ends\nexercises:\n{uses}", encoding="utf-8")
    patient = tmp_path / "r-204.yaml"
    patient.write_text("label: R-204\nbackground: quiet\n", encoding="utf-8")
    order = Order(
        source=routine, patient=patient, output=tmp_path / "out", voice=voice,
        wanted=Wanted(papers=False),
    )  # fmt: skip
    assert make(order).report.passed


@pytest.mark.slow
def test_killed_at_50_moments_the_result_is_whole(tmp_path: Path) -> None:
    """SIGKILL at random moments leaves the old or the new result, and no litter after the next."""
    routine = short_routine(tmp_path)
    output = tmp_path / "out"
    wholes = []
    for voice in ("calm", "clear"):
        started = time.monotonic()
        folder = make(Order(source=routine, output=output, voice=voice)).folder
        took = time.monotonic() - started
        wholes.append(hashes(folder))
    assert wholes[0] != wholes[1]
    chance = random.Random(50)
    for number in range(50):
        voice = ("calm", "clear")[number % 2]
        code = (
            "from pathlib import Path; from breathmark.pipeline import Order, make; "
            f"make(Order(source=Path({str(routine)!r}), output=Path({str(output)!r}), "
            f"voice={voice!r}))"
        )
        build = subprocess.Popen([sys.executable, "-c", code], stderr=subprocess.DEVNULL)
        time.sleep(chance.uniform(0.1, max(1.5, 2 * took)))
        os.kill(build.pid, signal.SIGKILL)
        build.wait()
        assert hashes(folder) in wholes, f"kill {number} left half a result"
    make(Order(source=routine, output=output))
    left = {path.name for path in output.iterdir() if not path.name.endswith(".lock")}
    assert left == {folder.name}


def test_everything_wanted_comes_with_it(tmp_path: Path) -> None:
    """Tracks, a page with the recording inside and reminders, on request; bare has no papers."""
    text = SHORT.replace("exercises:", "frequency: daily\nexercises:")
    routine = short_routine(tmp_path, text)
    wanted = Wanted(tracks=True, embed=True, start=date(2026, 12, 1))
    made = make(Order(source=routine, output=tmp_path / "out", wanted=wanted))
    names = {path.relative_to(made.folder).as_posix() for path in made.files}
    assert {"reminders.ics", "tracks/01-opening.mp3", "tracks/short-and-sweet.m3u8"} <= names
    page = (made.folder / "player.html").read_text(encoding="utf-8")
    assert "data:audio/mpeg;base64," in page or "audio/mpeg" in page
    assert len(page) > (made.folder / "short-and-sweet.mp3").stat().st_size
    bare = make(Order(source=routine, output=tmp_path / "bare", wanted=Wanted(papers=False)))
    assert {path.name for path in bare.files} == {*BARE, "short-and-sweet.mp3"}


def test_a_result_of_another_plan_does_not_give_way_without_a_word(tmp_path: Path) -> None:
    """What a patient was sent two weeks ago was gone, record and all, and nothing said so."""
    routine = short_routine(tmp_path)
    order = Order(source=routine, output=tmp_path / "out", wanted=Wanted(papers=False))
    assert not any("took the place" in one for one in (*make(order).said, *make(order).said))
    short_routine(tmp_path, SHORT.replace("Toes to the ceiling.", "Toes up."))
    assert "took the place of an earlier recording" in make(order).said[0]


def test_what_bare_makes_is_said() -> None:
    """By the help of every command that has the option, and by the README."""
    commands = typer.main.get_command(app).commands  # type: ignore[attr-defined]
    helps = [option.help for name in ("make", "caseload") for option in commands[name].params
             if option.name == "bare"]  # fmt: skip
    readme = (TOP / "README.md").read_text(encoding="utf-8")
    said = re.findall(r"`--bare` makes [^.]+(?:\.\w[^.]*)*\.", readme)
    assert (len(helps), len(said)) == (2, 1)
    assert [name for name in BARE for text in (*helps, *said) if name not in text] == []


@pytest.mark.parametrize(
    ("formats", "mail_bytes", "mail"),
    [
        (("mp3",), 800_000, "48 kbit/s"),
        (("mp3",), 500_000, "24 kbit/s"),
        (("m4a",), 2_000_000, "64 kbit/s"),
    ],
)
def test_what_is_made_for_the_mail_is_proved(
    formats: tuple[str, ...], mail_bytes: int, mail: str, tmp_path: Path
) -> None:  # fmt: skip
    """Where the mail's limit asks for a lower bit rate, or no MP3 was wanted."""
    wanted = Wanted(mail_bytes=mail_bytes)
    order = Order(
        source=short_routine(tmp_path), output=tmp_path / "out", formats=formats, wanted=wanted
    )
    made = make(order)
    checks = {one.check for one in made.report.findings if one.file == "message.eml"}
    assert made.handed.mail == mail
    assert checks >= {Check.MESSAGE, Check.LENGTH, Check.TONES, Check.LINES, Check.PEAK}


def test_reminders_without_days_are_refused_before_anything_is_made(tmp_path: Path) -> None:
    """A routine that names no days cannot have reminders; its file is at fault."""
    order = Order(source=short_routine(tmp_path), wanted=Wanted(start=date(2026, 12, 1)))
    with pytest.raises(InputProblems, match="frequency"):
        make(dataclasses.replace(order, output=tmp_path / "out"))
    assert not list((tmp_path / "out").glob("*/*"))


def test_an_exercises_picture_goes_along(tmp_path: Path) -> None:
    """In the chapter of the recording that is mailed, too; and the proof misses it when it goes."""
    (tmp_path / "toes.jpg").write_bytes(coloured("red"))
    routine = short_routine(tmp_path, SHORT.replace("    kind", "    picture: toes.jpg\n    kind"))
    made = make(Order(source=routine, output=tmp_path / "out", formats=("mp3", "m4a")))
    recording = made.folder / "short-and-sweet.mp3"
    tags: Any = mutagen.File(recording).tags
    shown = [frame.sub_frames.getall("APIC") for frame in tags.getall("CHAP")]
    (one,) = next(found for found in shown if found)
    assert sum(map(len, shown)) == 1
    message = email.message_from_bytes((made.folder / "message.eml").read_bytes(), policy=default)
    mailed = next(
        part for part in message.iter_attachments() if part.get_filename() == recording.name
    )
    assert mailed.get_content() == recording.read_bytes()
    assert one.data in recording.read_bytes()
    record = json.loads((made.folder / "record.json").read_text(encoding="utf-8"))
    record["exercises"][0]["picture_sha256"] = None
    (made.folder / "record.json").write_text(json.dumps(record), encoding="utf-8")
    failed = [(each.check, each.file) for each in verify_folder(made.folder).failed]
    assert failed == [
        ("record", "record.json"),
        ("chapters", "short-and-sweet.m4a"),
        ("chapters", "short-and-sweet.mp3"),
    ]


def test_a_picture_that_is_none_is_told_before_anything_is_said(tmp_path: Path) -> None:
    """At its place in the routine, with a remedy; and nothing is made."""
    (tmp_path / "toes.jpg").write_text("not a picture")
    routine = short_routine(tmp_path, SHORT.replace("    kind", "    picture: toes.jpg\n    kind"))
    with pytest.raises(InputProblems, match="no PNG, JPEG or WebP") as found:
        make(Order(source=routine, output=tmp_path / "out"))
    (problem,) = found.value.problems
    assert (problem.place.line, problem.remedy) == (5, "Save it as PNG or JPEG.")
    assert not list((tmp_path / "out").glob("*/*"))
