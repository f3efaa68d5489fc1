"""From a routine to a session in one's own voice, by the commands a person types."""

from __future__ import annotations

import json
import random
import subprocess
import sys
from pathlib import Path

import pytest
import soundfile

from breathmark.speech.sheet import read_sheet
from tests.pipeline.short import SHORT, short_routine
from tests.recorded.reading import RATE_HZ, Faults, read_aloud
from tests.recorded.voices import read_by_system

PATIENT = "label: R-204\nroutine: short.yaml\ngreeting: Good morning, Samantha.\n"


def breathmark(folder: Path, *words: str | Path) -> subprocess.CompletedProcess[str]:
    """Run a command line in a folder."""
    command = [sys.executable, "-m", "breathmark", *map(str, words)]
    done = subprocess.run(command, capture_output=True, text=True, cwd=folder, check=False)
    assert "Traceback" not in done.stdout + done.stderr
    return done


@pytest.mark.slow
def test_a_session_in_ones_own_voice(tmp_path: Path) -> None:
    """lines, record-in, plan and make; the greeting stays private; what lacks is told."""
    short_routine(tmp_path, SHORT.replace("exercises:", "voice: system\nexercises:", 1))
    (tmp_path / "r-204.yaml").write_text(PATIENT)
    written = breathmark(tmp_path, "lines", "r-204.yaml", "--to", "sheet.txt", "--voice", "mine")
    assert written.returncode == 0, written.stderr
    sheet = read_sheet(tmp_path / "sheet.txt")
    assert [line.text for line in sheet.lines if line.private] == ["Good morning, Samantha."]
    texts = [line.text for line in sheet.lines]
    reading = read_aloud(
        read_by_system(texts, 140), Faults(missing=(len(texts) - 2,)), random.Random(2)
    )
    soundfile.write(tmp_path / "reading.flac", reading.samples, RATE_HZ)
    took = breathmark(
        tmp_path, "record-in", "reading.flac", "--sheet", "sheet.txt", "--otherwise", "system"
    )
    assert took.returncode == 0, took.stderr
    assert "Took in" in took.stdout
    assert f"{texts[-2]}\n        missing" in took.stdout
    voices = tmp_path / "voices"
    assert "otherwise: system" in (voices / "mine.yaml").read_text()
    assert not any(b"Samantha" in path.read_bytes() for path in voices.rglob("*") if path.is_file())

    planned = breathmark(
        tmp_path, "plan", "r-204.yaml", "--voice", "mine", "--voices", "voices", "--save", "."
    )
    assert planned.returncode == 0, planned.stderr
    assert "voice mine, system in " in planned.stdout
    assert f"“{texts[-2]}” (voice system)" in " ".join(planned.stdout.split())
    events = json.loads((tmp_path / "plan.json").read_text(encoding="utf-8"))["events"]
    said = {event["text"]: event["voice"] for event in events if event["kind"] == "spoken"}
    assert said["Good morning, Samantha."] == "mine"
    assert said[texts[-2]] == "system"

    made = breathmark(tmp_path, "make", "r-204.yaml", "--voice", "mine", "--voices", "voices")
    assert made.returncode == 0, made.stderr
    record = json.loads(next(tmp_path.rglob("record.json")).read_text(encoding="utf-8"))
    assert [one["voice"] for one in record["voices"]] == ["mine", "system"]
    again = breathmark(tmp_path, "lines", "r-204.yaml")
    left = [line for line in again.stdout.splitlines() if line[:6].strip()[:1].isdigit()]
    assert texts[-2] in again.stdout
    assert "breathmark plan ROUTINE --voice mine --voices voices" in took.stdout
    lost = breathmark(tmp_path, "plan", "r-204.yaml", "--voice", "mine")
    assert (lost.returncode, "add `--voices voices`" in lost.stderr) == (2, True), lost.stderr
    assert len(left) < len(texts) / 2


def test_wrong_names_are_said_in_words(tmp_path: Path) -> None:
    """A voice of the computer's, a name that is none, a sheet that is none: exit status 2."""
    short_routine(tmp_path)
    (tmp_path / "sheet.txt").write_text("1  Sit tall.\n")
    for words, why in (
        (("lines", "short.yaml", "--voice", "calm"), "spoken by the computer"),
        (("lines", "short.yaml", "--voice", "My Voice"), "no name for a voice"),
        (("record-in", "x.wav", "--sheet", "short.yaml"), "no sheet"),
        (("record-in", "x.wav", "--sheet", "sheet.txt", "--otherwise", "clam"), "`calm`"),
    ):
        done = breathmark(tmp_path, *words)
        assert (done.returncode, why in done.stderr) == (2, True), done.stderr
    assert not (tmp_path / "voices").exists()


def test_a_place_where_no_voice_can_lie_is_told(tmp_path: Path) -> None:
    """Exit status 3 and a remedy; here, a file is where the folder should be."""
    (tmp_path / "sheet.txt").write_text("1  Sit tall.\n")
    (tmp_path / "blocked").write_text("")
    breathmark(tmp_path, "voices", "say", "Sit tall.", "--voice", "system", "--to", "clip.wav")
    done = breathmark(
        tmp_path, "record-in", "clip.wav", "--sheet", "sheet.txt", "--voices", "blocked/mine"
    )
    assert done.returncode == 3
    assert "cannot be made" in done.stderr
