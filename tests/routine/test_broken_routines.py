"""Broken routine files: every problem is found, at its line and column, under its rule."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
import yaml

from breathmark.problems import InputProblems, Problem
from breathmark.routine import compose as compose_module
from breathmark.routine.reading import read_routine
from breathmark.routine.rules import Rule

_TABLE = Path(__file__).with_name("broken_routines.txt")
_EXPECTED = re.compile(r"(?P<lead>[ \t]*)(?P<caret>\^+) (?P<rule>[a-z-]+)")
_RULE = re.compile(r"^[ \t]*\^+ ([a-z-]+)$", re.MULTILINE)

Found = tuple[str, int, int, int]


def _cases() -> Iterator[tuple[str, str, list[Found]]]:
    """Each broken file's name, its text, and (rule, line, column, width) of its problems."""
    for part in _TABLE.read_text("utf-8").split("\n=== ")[1:]:
        name, _, body = part.partition("\n")
        lines: list[str] = []
        expected: list[Found] = []
        for line in body.rstrip("\n").split("\n"):
            match = _EXPECTED.fullmatch(line)
            if match is None:
                lines.append(line)
                continue
            column = len(match["lead"]) + 1
            expected.append((match["rule"], len(lines), column, len(match["caret"])))
        yield name, "\n".join(lines) + "\n", expected


CASES = list(_cases())


def _found(problem: Problem) -> Found:
    place = problem.place
    return problem.rule, place.line, place.column, place.width


def _problems(path: Path) -> tuple[Problem, ...]:
    with pytest.raises(InputProblems) as raised:
        read_routine(path)
    return raised.value.problems


@pytest.mark.parametrize(("text", "expected"), [c[1:] for c in CASES], ids=[c[0] for c in CASES])
def test_all_problems_of_a_file_are_found_in_their_place(
    tmp_path: Path, text: str, expected: list[Found]
) -> None:
    path = tmp_path / "routine.yaml"
    path.write_text(text, "utf-8")
    problems = _problems(path)
    shown = "\n".join(problem.shown() for problem in problems)
    assert sorted(map(_found, problems)) == sorted(expected), shown
    assert all(problem.place.file == str(path) for problem in problems)


@pytest.mark.parametrize(("text", "expected"), [c[1:] for c in CASES], ids=[c[0] for c in CASES])
def test_the_plain_parser_finds_the_same(
    tmp_path: Path, text: str, expected: list[Found], monkeypatch: pytest.MonkeyPatch
) -> None:
    """PyYAML without libyaml words and places its errors differently; ours stay the same."""
    monkeypatch.setattr(compose_module, "FAST_LOADER", yaml.Loader)
    path = tmp_path / "routine.yaml"
    path.write_text(text, "utf-8")
    assert sorted(map(_found, _problems(path))) == sorted(expected)


def test_the_table_is_as_large_as_promised() -> None:
    assert len(CASES) >= 60
    assert len({name for name, _, _ in CASES}) == len(CASES)
    assert sum(len(expected) > 1 for _, _, expected in CASES) >= 20
    assert all(expected for _, _, expected in CASES)


def test_every_rule_is_broken_somewhere_in_these_tests() -> None:
    """A rule that no test breaks would be a rule nobody has seen at work."""
    in_table = {rule for _, _, expected in CASES for rule, *_ in expected}
    elsewhere = Path(__file__).with_name("test_broken_files.py").read_text("utf-8")
    patients = Path(__file__).parents[1] / "routine_patient"
    in_table |= set(_RULE.findall((patients / "broken_patients.txt").read_text("utf-8")))
    elsewhere += (patients / "test_tailoring.py").read_text("utf-8")
    caseload = Path(__file__).parents[1] / "caseload"
    elsewhere += (caseload / "test_entries.py").read_text("utf-8")
    for rule in Rule:
        assert rule in in_table or f"Rule.{rule.name}" in elsewhere, rule
