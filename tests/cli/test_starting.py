"""What `breathmark new` writes, and that the pages say what is so."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from breathmark.caseload.entries import read_caseload
from breathmark.cli.starting import start_folder
from breathmark.pipeline import read_case
from breathmark.problems import UsageProblem
from breathmark.routine.model import HoldDose
from breathmark.routine.patient_reading import PATIENT_KEYS, read_patient
from breathmark.script.dose_words import dose_text
from tests.house.sources import PACKAGE

GUIDE = PACKAGE / "routine" / "guide"
ROUTINE = """\
title: Steady
exercises:
  - use: Standing calf stretch
    instead: Seated calf stretch
  - use: Heel raises
alternatives:
  - name: Seated calf stretch
    kind: hold
    position: seated
    sides: each
    hold: 30 s (20 to 45)
    involves: [sitting]
"""


def blocks(page: str, language: str = "yaml") -> list[str]:
    """The code blocks of a page."""
    text = (GUIDE / page).read_text(encoding="utf-8")
    return re.findall(rf"^```{language}\n(.*?)^```", text, re.MULTILINE | re.DOTALL)


def test_a_new_folder_holds_all_that_is_needed(tmp_path: Path) -> None:
    """Routine, patient, and every page; each link of a page leads to another one there."""
    written = start_folder(tmp_path / "clinic")
    assert [path.name for path in written][:2] == ["routine.yaml", "r-204.yaml"]
    assert {path.name for path in written[2:]} == {path.name for path in GUIDE.glob("*.md")}
    for page in written[2:]:
        for target in re.findall(r"\]\(([\w.-]+)\)", page.read_text(encoding="utf-8")):
            assert (tmp_path / "clinic" / target).exists(), f"{page.name}: {target}"
    assert read_case(written[0]).checked.problems == ()
    assert read_case(written[1]).checked.problems == ()
    assert read_case(written[1], week=3).checked.problems == ()


def test_what_is_there_is_left_alone(tmp_path: Path) -> None:
    """A patient's file of the clinician's own stays; a routine stops it all."""
    (tmp_path / "r-204.yaml").write_text("mine")
    assert tmp_path / "r-204.yaml" not in start_folder(tmp_path)
    assert (tmp_path / "r-204.yaml").read_text() == "mine"
    with pytest.raises(UsageProblem, match="left as it is"):
        start_folder(tmp_path)


def test_every_line_of_the_patient_that_sleeps_can_be_woken(tmp_path: Path) -> None:
    """Each commented key, taken in alone, is right as it stands."""
    _, path, *_ = start_folder(tmp_path)
    lines = path.read_text(encoding="utf-8").splitlines()
    asleep = [at for at, line in enumerate(lines) if re.match(r"\s*# [A-Za-z ]+: [^ ]", line)]
    assert len(asleep) >= 9
    for at in asleep:
        woken = [*lines[:at], lines[at].replace("# ", "", 1), *lines[at + 1 :]]
        path.write_text("\n".join(woken), encoding="utf-8")
        read_patient(path)


def test_the_page_explains_every_key_of_the_patient_file() -> None:
    """Its table names them all, and its first example uses what there is."""
    text = (GUIDE / "patient-file.md").read_text(encoding="utf-8")
    table = re.findall(r"^\| `([\w ]+)` \|", text, re.MULTILINE)
    assert sorted(table) == sorted(PATIENT_KEYS)


def test_the_worked_example_of_the_page_is_so(tmp_path: Path) -> None:
    """The standing stretch is replaced, heel raises are out, and week 3 holds for 30 s."""
    (tmp_path / "routine.yaml").write_text(ROUTINE)
    path = tmp_path / "r-204.yaml"
    example = blocks("patient-file.md")[-1]
    path.write_text(example)
    for week, hold_ms in ((1, 20_000), (3, 30_000)):
        (exercise,) = read_case(path, week=week).routine.exercises
        assert exercise.name == "Seated calf stretch"
        assert isinstance(exercise.dose, HoldDose), dose_text(exercise)
        assert exercise.dose.hold_ms.usual == hold_ms
    path.write_text(example.replace("  Heel raises: skip\n", ""))
    names = [one.name for one in read_case(path).routine.exercises]
    assert names == ["Seated calf stretch", "Seated ankle pumps"]


def test_the_caseloads_of_the_page_are_read(tmp_path: Path) -> None:
    """The table and the list give three patients each, with nothing wrong in the file itself."""
    table = next(text for text in blocks("caseload.md", "") if text.startswith("label"))
    (tmp_path / "a.csv").write_text(table)
    (tmp_path / "a.yaml").write_text(blocks("caseload.md")[0])
    for name in ("r-204.yaml", "r-205.yaml"):
        (tmp_path / name).write_text("")
    for name in ("a.csv", "a.yaml"):
        entries = read_caseload(tmp_path / name)
        assert len(entries) == 3
        assert [entry.problems for entry in entries] == [(), (), ()]
