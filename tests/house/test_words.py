"""No kept file holds a path of one machine, a package host or the name of a working paper."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.house.sources import TOP, kept_files

# Written in pieces, so that this file does not break its own rule.
MACHINE = re.compile(
    "|".join(
        [
            r"(?<![\w.~-])/(?:wo" + r"rk|fa" + r"rm|ro" + r"ot|ho" + r"me/\w+|Us" + r"ers/\w+)/",
            r"[a-zA-Z]:\\\\?Us" + r"ers",
            "python" + r"hosted\.org",
            "pypi" + r"\.org/simple",
            "deb" + r"\.debian\.org",
            "registry" + r"\.npmjs",
        ]
    )
)
PAPERS = re.compile(r"\b(?:refer" + r"ences|pa" + r"rts|de" + r"sign|st" + r"yle)\.md\b")
"""Working papers that a reader of the documentation does not have."""


def found(pattern: re.Pattern[str], text: str) -> list[str]:
    """Every match, with its line number."""
    return [
        f"line {number}: {match.group()}"
        for number, line in enumerate(text.splitlines(), 1)
        for match in pattern.finditer(line)
    ]


def _texts() -> list[tuple[Path, str]]:
    texts = []
    for path in kept_files():
        data = path.read_bytes()
        if b"\0" not in data[:8000]:
            texts.append((path.relative_to(TOP), data.decode("utf-8")))
    return texts


def test_no_file_names_a_machine_or_a_package_host() -> None:
    """The project is at home on every machine."""
    hits = {str(path): found(MACHINE, text) for path, text in _texts()}
    assert {path: lines for path, lines in hits.items() if lines} == {}


def test_the_documentation_names_no_working_paper() -> None:
    """Publications are cited as such, where people read about them."""
    hits = {str(path): found(PAPERS, text) for path, text in _texts() if path.suffix == ".md"}
    assert {path: lines for path, lines in hits.items() if lines} == {}


@pytest.mark.parametrize(
    "text",
    ["see /wo" + "rk/main", "C:\\Us" + "ers\\x", "https://files.python" + "hosted.org/x"],
)
def test_a_machine_is_found(text: str) -> None:
    """The pattern sees what it must."""
    assert found(MACHINE, text)


@pytest.mark.parametrize("text", ["work/", "home/work/x", "the routine/root/", "~/work/"])
def test_plain_words_are_no_machine(text: str) -> None:
    """Relative paths and ordinary words pass."""
    assert not found(MACHINE, text)
