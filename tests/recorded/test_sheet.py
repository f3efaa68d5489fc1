"""The sheet: one breath to a row, each text once, and read back as it was written."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from breathmark.problems import UsageProblem
from breathmark.speech.sheet import MOST_WORDS, breaths, make_sheet, read_sheet, sheet_text

LONG = (
    "Stand beside the counter with one hand on it, keep the chair behind you, and then "
    "place your right foot half a step ahead so that its heel is beside your big toe."
)


@pytest.mark.parametrize(
    ("text", "pieces"),
    [
        ("Ready.", ("Ready.",)),
        ("1.", ("1.",)),
        ("Pain is not fine. Stop then!", ("Pain is not fine.", "Stop then!")),
        ("Hold 2.5 cm  apart, then rest.", ("Hold 2.5 cm apart, then rest.",)),
        (
            LONG,
            (
                "Stand beside the counter with one hand on it, keep the chair behind you,",
                "and then place your right foot half a step ahead",
                "so that its heel is beside your big toe.",
            ),
        ),
    ],
)
def test_a_line_falls_into_breaths(text: str, pieces: tuple[str, ...]) -> None:
    """By sentences; a long sentence at a comma near its middle, else before a joining word."""
    assert breaths(text) == pieces


@given(
    st.lists(st.sampled_from(["lift", "the", "heel,", "and", "hold.", "rest", "so"]), min_size=1)
)
def test_breaths_keep_every_word(words: list[str]) -> None:
    """No word is lost, doubled or moved, and nothing that can be cut stays too long."""
    pieces = breaths(" ".join(words))
    assert " ".join(pieces).split() == words
    for piece in pieces:
        assert len(piece.split()) <= MOST_WORDS or "," not in " ".join(piece.split()[3:-3])


def test_numbers_order_and_what_is_recorded() -> None:
    """Lines keep their order, pieces get letters, what was said before or recorded is left out."""
    lines = ["Sit tall. Breathe out.", "Ready.", "Breathe out.", "Sit tall. Stand up.", "Ready."]
    sheet = make_sheet(lines, recorded=lambda piece: piece == "Ready.")
    assert [(line.label, line.text) for line in sheet.lines] == [
        ("1a", "Sit tall."),
        ("1b", "Breathe out."),
        ("2b", "Stand up."),
    ]


def test_a_patients_line_has_a_star(tmp_path: Path) -> None:
    """The greeting is marked; a piece of it that everybody hears is not private."""
    sheet = make_sheet(
        ["Good morning, Sam. Ready.", "Ready."], private=frozenset({"Good morning, Sam. Ready."})
    )
    assert [(line.text, line.private) for line in sheet.lines] == [
        ("Good morning, Sam.", True),
        ("Ready.", False),
    ]
    path = tmp_path / "sheet.txt"
    path.write_text(sheet_text(sheet, title="T", voice="mine", lasts_s=70), encoding="utf-8")
    assert "star" in path.read_text(encoding="utf-8")
    assert read_sheet(path) == sheet


def test_a_sheet_knows_the_voice_for_what_lacks(tmp_path: Path) -> None:
    """A German sheet is compared with the German voice, without a word from the reader."""
    sheet = make_sheet(["Aufrecht sitzen."], otherwise="system-de")
    path = tmp_path / "sheet.txt"
    path.write_text(sheet_text(sheet, title="T", voice="mine", lasts_s=5), encoding="utf-8")
    assert read_sheet(path) == sheet
    assert read_sheet(path).otherwise == "system-de"


ROW = st.text(
    st.characters(codec="utf-8", exclude_categories=("Cc", "Cf", "Cs", "Zl", "Zp", "Mn")),
    min_size=1,
    max_size=60,
).filter(lambda text: any(char.isalnum() for char in text))


@given(st.lists(ROW, min_size=1, max_size=30))
def test_a_sheet_reads_back(tmp_path_factory: pytest.TempPathFactory, lines: list[str]) -> None:
    """Whatever is written on it, reading gives the same rows."""
    sheet = make_sheet(lines)
    path = tmp_path_factory.mktemp("sheet") / "sheet.txt"
    text = sheet_text(sheet, title="Ankles: 12 min", voice="mine", lasts_s=300)
    path.write_text(text, encoding="utf-8", newline="\n")
    assert read_sheet(path) == sheet


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "no row"),
        ("title: Steady on your feet\nexercises:\n", "no row"),
        ("  1  Sit tall.\n  1  Stand up.\n", "number `1`"),
        ("  1  Sit tall.\n  2  Sit tall.\n", "text `Sit tall.`"),
        (b"\xff\xfe\x00\x01", "not text"),
    ],
)
def test_what_is_no_sheet_is_said(tmp_path: Path, text: str | bytes, why: str) -> None:
    """A wrong file is told from a sheet, with the way to get one."""
    path = tmp_path / "sheet.txt"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    with pytest.raises(UsageProblem, match="breathmark lines") as caught:
        read_sheet(path)
    assert why in str(caught.value)
    with pytest.raises(UsageProblem, match="cannot be read"):
        read_sheet(tmp_path / "other.txt")
