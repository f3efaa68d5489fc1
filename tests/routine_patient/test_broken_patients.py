"""Broken patient files: every problem is found, at its line and column, under its rule."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from breathmark.problems import InputProblems, Problem
from breathmark.routine.patient_reading import read_patient, read_prescription

_HERE = Path(__file__).parent
_EXPECTED = re.compile(r"(?P<lead>[ \t]*)(?P<caret>\^+) (?P<rule>[a-z-]+)")

Found = tuple[str, int, int, int]


def _cases() -> Iterator[tuple[str, str, list[Found]]]:
    """Each broken file's name, its text, and (rule, line, column, width) of its problems."""
    for part in (_HERE / "broken_patients.txt").read_text("utf-8").split("\n=== ")[1:]:
        name, _, body = part.partition("\n")
        lines: list[str] = []
        expected: list[Found] = []
        for line in body.rstrip("\n").split("\n"):
            match = _EXPECTED.fullmatch(line)
            if match is None:
                lines.append(line)
                continue
            column = len(match["lead"]) + 1
            expected.append((match["rule"], max(1, len(lines)), column, len(match["caret"])))
        yield name, "\n".join(lines) + "\n", expected


CASES = list(_cases())


def _problems(path: Path) -> tuple[Problem, ...]:
    with pytest.raises(InputProblems) as raised:
        read_patient(path)
    return raised.value.problems


def _found(problem: Problem) -> Found:
    place = problem.place
    return problem.rule, place.line, place.column, place.width


@pytest.mark.parametrize(("text", "expected"), [c[1:] for c in CASES], ids=[c[0] for c in CASES])
def test_all_problems_of_a_patient_file_are_found_in_their_place(
    tmp_path: Path, text: str, expected: list[Found]
) -> None:
    shutil.copy(_HERE / "routine.yaml", tmp_path)
    path = tmp_path / "patient.yaml"
    path.write_text(text, "utf-8")
    problems = _problems(path)
    shown = "\n".join(problem.shown() for problem in problems)
    assert sorted(map(_found, problems)) == sorted(expected), shown
    assert all(problem.place.file == str(path) for problem in problems)


def test_the_table_is_as_large_as_promised() -> None:
    assert len(CASES) >= 40
    assert len({name for name, _, _ in CASES}) == len(CASES)
    assert all(expected for _, _, expected in CASES)


SIDES = "Write `sides: {first: left}`, or `sides: {only: left}` if there is no other."
HARDER = "Did you mean `harder`? Valid here: easier, harder."


@pytest.mark.parametrize(
    ("written", "remedy"),
    [
        ("avoid: [kneelng]", "Did you mean `kneeling`?"),
        ("avoid: [wet flor]", "Did you mean `wet floor`?"),
        ("changes: {Standing calf strech: skip}", "Did you mean `Standing calf stretch`?"),
        ("weeks: [{from: 2, changes: {Slow brething: skip}}]", "Did you mean `Slow breathing`?"),
        ("greting: Hello.", "Did you mean `greeting`?"),
        ("title: Ankles", "It belongs to the routine's own file."),
        ("sides: left", SIDES),
        ("sets: 2", "It belongs to an exercise, named under `changes`."),
        ("changes: {Standing calf stretch: {version: hardr}}", HARDER),
    ],
)
def test_the_remedy_names_the_nearest_word(tmp_path: Path, written: str, remedy: str) -> None:
    shutil.copy(_HERE / "routine.yaml", tmp_path)
    path = tmp_path / "patient.yaml"
    path.write_text(f"label: R-204\nroutine: routine.yaml\n{written}\n", "utf-8")
    (problem,) = _problems(path)
    assert problem.remedy == remedy


def test_the_problems_of_both_files_come_at_once_each_in_its_file(tmp_path: Path) -> None:
    routine = tmp_path / "routine.yaml"
    routine.write_text("title: Ankles\nexercises:\n  - {name: Calf, kind: hld, hold: 3 s}\n")
    patient = tmp_path / "patient.yaml"
    patient.write_text("label: Given Names\nroutine: routine.yaml\navoid: [anything]\n")
    for read in (read_patient, read_prescription):
        with pytest.raises(InputProblems) as raised:
            read(patient)
        places = [(p.rule, p.place.file, p.place.line) for p in raised.value.problems]
        assert places == [
            ("label-name", str(patient), 1),
            ("not-a-choice", str(routine), 3),
        ]


def test_a_routine_that_is_given_is_read_instead_of_the_one_named(tmp_path: Path) -> None:
    shutil.copy(_HERE / "routine.yaml", tmp_path / "other.yaml")
    patient = tmp_path / "patient.yaml"
    patient.write_text("label: R-204\nroutine: gone.yaml\nchanges: {Step reach: skip}\n")
    both = read_prescription(patient, routine=tmp_path / "other.yaml")
    assert both.routine.file == str(tmp_path / "other.yaml")
    assert read_patient(patient, routine=both.routine) == both.patient
