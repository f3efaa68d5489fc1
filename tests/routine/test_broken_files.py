"""Files that are broken below the level of words: bytes, size, nesting, what is no file."""

from __future__ import annotations

import os
import time
import unicodedata
from pathlib import Path

import pytest

from breathmark.problems import InputProblems, Problem, Severity
from breathmark.routine.patient_reading import is_patient_file
from breathmark.routine.reading import read_routine
from breathmark.routine.report import MOST_SHOWN
from breathmark.routine.rules import Rule

RUNAWAY_S = 60
"""Nothing that somebody hands in may keep a reader busy: a guard, not a measure of speed."""

GOOD = "title: Ankles\nexercises:\n  - name: Calf stretch\n    kind: hold\n    hold: 30 s\n"


def _problems(path: Path) -> tuple[Problem, ...]:
    with pytest.raises(InputProblems) as raised:
        read_routine(path)
    return raised.value.problems


def _of_bytes(folder: Path, data: bytes) -> tuple[Problem, ...]:
    path = folder / "routine.yaml"
    path.write_bytes(data)
    return _problems(path)


def _found(problems: tuple[Problem, ...]) -> list[tuple[str, int, int]]:
    return [(problem.rule, problem.place.line, problem.place.column) for problem in problems]


def test_a_byte_order_mark_does_no_harm(tmp_path: Path) -> None:
    path = tmp_path / "routine.yaml"
    path.write_bytes(b"\xef\xbb\xbf" + GOOD.encode())
    assert read_routine(path).places["title"].column == 8


@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_line_ends_of_every_system_count_as_one(tmp_path: Path, ending: str) -> None:
    text = GOOD.replace("30 s", "30").replace("\n", ending)
    assert _found(_of_bytes(tmp_path, text.encode())) == [(Rule.NOT_AN_AMOUNT, 5, 11)]


@pytest.mark.parametrize(
    ("encoding", "mark", "named"),
    [
        ("utf-16-le", b"\xff\xfe", "UTF-16"),
        ("utf-16-be", b"\xfe\xff", "UTF-16"),
        ("utf-16-le", b"", "UTF-16"),
        ("utf-16-be", b"", "UTF-16"),
        ("utf-32-le", b"\xff\xfe\x00\x00", "UTF-32"),
    ],
)
def test_wide_encodings_are_named_and_read_on(
    tmp_path: Path, encoding: str, mark: bytes, named: str
) -> None:
    text = GOOD.replace("30 s", "30")
    problems = _of_bytes(tmp_path, mark + text.encode(encoding))
    assert _found(problems) == [(Rule.ENCODING, 1, 1), (Rule.NOT_AN_AMOUNT, 5, 11)]
    assert named in problems[0].message


def test_a_byte_that_is_not_utf8_is_placed_and_reading_goes_on(tmp_path: Path) -> None:
    text = GOOD.replace("Calf stretch", "Étirement, été").replace("30 s", "30")
    problems = _of_bytes(tmp_path, text.encode("latin-1"))
    assert _found(problems) == [(Rule.ENCODING, 3, 11), (Rule.NOT_AN_AMOUNT, 5, 11)]
    assert "0xC9" in problems[0].message
    assert problems[0].place.text == "  - name: \ufffdtirement, \ufffdt\ufffd"


def test_a_recording_is_not_a_routine(tmp_path: Path) -> None:
    assert _found(_of_bytes(tmp_path, b"ID3\x04\x00\x00" + bytes(range(256)) * 20)) == [
        (Rule.ENCODING, 1, 1)
    ]


def test_a_document_with_formatting_is_told_to_be_one(tmp_path: Path) -> None:
    """What TextEdit on macOS saves unless it is told otherwise (RTF), and older Office (OLE)."""
    (formatted,) = _of_bytes(tmp_path, b"{\\rtf1\\ansi\\ansicpg1252\\cocoartf2709\ntitle: Ankles}")
    assert (formatted.rule, formatted.place.line) == (Rule.ENCODING, 1)
    assert "Make Plain Text" in formatted.remedy
    (older,) = _of_bytes(tmp_path, b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(500))
    assert older.rule == Rule.ENCODING


def test_what_a_file_is_can_be_seen_however_much_is_wrong_in_it(tmp_path: Path) -> None:
    """Pasted from a page, a routine may hold hundreds of characters that nobody sees."""
    path = tmp_path / "routine.yaml"
    path.write_text(GOOD + "# " + "\u200b" * 400, "utf-8")
    assert not is_patient_file(path)
    assert {problem.rule for problem in _problems(path)} > {Rule.CONTROL_CHARACTER}
    path.write_text("label: R-204\nroutine: routine.yaml\n# " + "\u200b" * 400, "utf-8")
    assert is_patient_file(path)


def test_every_unseen_character_is_placed(tmp_path: Path) -> None:
    text = "title: An\0kles\x07\nabout: \u202eleft\u2028 and\x85\ufeff right\n" + GOOD[14:]
    assert _found(_of_bytes(tmp_path, text.encode())) == [
        (Rule.CONTROL_CHARACTER, 1, 10),
        (Rule.CONTROL_CHARACTER, 1, 15),
        (Rule.CONTROL_CHARACTER, 2, 8),
        (Rule.CONTROL_CHARACTER, 2, 13),
        (Rule.CONTROL_CHARACTER, 2, 18),
        (Rule.CONTROL_CHARACTER, 2, 19),
    ]


def test_no_break_spaces_from_a_word_processor_are_spaces(tmp_path: Path) -> None:
    path = tmp_path / "routine.yaml"
    path.write_text(GOOD.replace("30 s", "30\xa0s").replace("    kind", "  \xa0\xa0kind"), "utf-8")
    assert read_routine(path).exercises[0].name == "Calf stretch"


@pytest.mark.parametrize("bullet", ["–", "—", "•", "▪"])
def test_what_a_word_processor_makes_of_a_dash_is_told(tmp_path: Path, bullet: str) -> None:
    """Cues with bullets would be read as one text, and said in one breath."""
    text = GOOD + f"    cues:\n      {bullet} Heel heavy.\n      {bullet} Breathe out.\n"
    (problem,) = _of_bytes(tmp_path, text.encode())
    assert (problem.rule, problem.place.line, problem.place.column) == (Rule.INDENTATION, 7, 7)
    assert "`- `" in problem.remedy
    text = GOOD.replace("  - name", f"  {bullet} name")
    assert _found(_of_bytes(tmp_path, text.encode()))[0] == (Rule.INDENTATION, 3, 3)
    (tmp_path / "routine.yaml").write_text(GOOD + f'    cues: ["{bullet} Heel heavy."]\n', "utf-8")
    assert read_routine(tmp_path / "routine.yaml").exercises


def test_tabs_are_all_reported_and_the_columns_stay_those_of_the_file(tmp_path: Path) -> None:
    text = "title: Ankles\nexercises:\n\t- name: Calf\n\t  kind: hold\n\t  hold: 30\n\t\n\t# note\n"
    problems = _of_bytes(tmp_path, text.encode())
    assert _found(problems) == [
        (Rule.TAB, 3, 1),
        (Rule.TAB, 4, 1),
        (Rule.TAB, 5, 1),
        (Rule.NOT_AN_AMOUNT, 5, 10),
    ]
    assert problems[-1].place.caret().splitlines()[1] == "    \t        ^^"


def test_a_tab_between_key_and_value_is_a_blank(tmp_path: Path) -> None:
    path = tmp_path / "routine.yaml"
    path.write_text(GOOD.replace("kind: ", "kind:\t"), "utf-8")
    assert read_routine(path).exercises[0].name == "Calf stretch"


@pytest.mark.parametrize("text", ["", "\n\n", "# nothing yet\n", "---\n", "---\n...\n", "''\n"])
def test_an_empty_file_is_called_empty(tmp_path: Path, text: str) -> None:
    assert _found(_of_bytes(tmp_path, text.encode())) == [(Rule.EMPTY_FILE, 1, 1)]


def test_what_cannot_be_opened_is_said(tmp_path: Path) -> None:
    (tmp_path / "steady.yaml").write_text(GOOD, "utf-8")
    (missing,) = _problems(tmp_path / "stedy.yaml")
    assert missing.rule == Rule.MISSING_FILE
    assert "steady.yaml" in missing.remedy
    assert _found(_problems(tmp_path)) == [(Rule.NOT_A_FILE, 1, 1)]
    assert _found(_problems(tmp_path / "steady.yaml" / "below")) == [(Rule.MISSING_FILE, 1, 1)]
    assert _found(_problems(tmp_path / "nul\0byte")) == [(Rule.UNREADABLE, 1, 1)]
    assert _found(_problems(tmp_path / ("long" * 500))) == [(Rule.UNREADABLE, 1, 1)]


def test_a_pipe_is_refused_without_waiting_for_it(tmp_path: Path) -> None:
    if not hasattr(os, "mkfifo"):
        pytest.skip("this system has no named pipes")
    os.mkfifo(tmp_path / "pipe")
    assert _found(_problems(tmp_path / "pipe")) == [(Rule.NOT_A_FILE, 1, 1)]


def test_a_hundred_megabytes_are_refused_at_once(tmp_path: Path) -> None:
    path = tmp_path / "routine.yaml"
    with path.open("wb") as file:
        file.truncate(100_000_000)
    start = time.perf_counter()
    (problem,) = _problems(path)
    assert time.perf_counter() - start < RUNAWAY_S
    assert problem.rule == Rule.TOO_BIG
    assert "100.0 million bytes" in problem.message


def test_aliases_that_explode_are_refused_before_they_do(tmp_path: Path) -> None:
    """Seven levels of nine aliases on nine would be 43 million texts."""
    lines = ["title: Ankles", "a0: &a0 [x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]" for n in range(1, 8)]
    lines += ["exercises: *a7"]
    start = time.perf_counter()
    problems = _of_bytes(tmp_path, "\n".join(lines).encode())
    assert time.perf_counter() - start < RUNAWAY_S
    assert {problem.rule for problem in problems} == {Rule.ALIAS, Rule.UNKNOWN_KEY}
    assert problems[0].place.line == 2
    assert (problems[-1].rule, problems[-1].place.line) == (Rule.ALIAS, 10)


@pytest.mark.parametrize(
    "text",
    [
        "title: " + "[" * 900_000,
        "exercises:\n" + "- " * 300_000,
        "a: " + "{a: " * 200_000,
        "".join(" " * n + "a:\n" for n in range(1000)),
        "? " * 400_000,
    ],
    ids=["brackets", "dashes", "braces", "keys", "question marks"],
)
def test_nesting_is_counted_not_recursed_into(tmp_path: Path, text: str) -> None:
    start = time.perf_counter()
    problems = _of_bytes(tmp_path, text.encode())
    assert time.perf_counter() - start < RUNAWAY_S
    assert Rule.TOO_DEEP in {problem.rule for problem in problems}


def test_twenty_levels_are_read_and_the_twenty_first_is_shown(tmp_path: Path) -> None:
    """The mapping at the left edge is the first level."""
    deep = "title: " + "[" * 19 + "]" * 19 + "\n" + GOOD[14:]
    assert _found(_of_bytes(tmp_path, deep.encode())) == [(Rule.WRONG_TYPE, 1, 8)]
    deeper = "title: " + "[" * 20 + "]" * 20 + "\n" + GOOD[14:]
    assert _found(_of_bytes(tmp_path, deeper.encode())) == [(Rule.TOO_DEEP, 1, 27)]


@pytest.mark.parametrize(
    "text",
    [
        "title: Ankles\n" + "".join(f"k{n}: v\n" for n in range(90_000)),
        "title: " + "{x} " * 200_000,
        "title: Ankles\nexercises:\n" + "  - Calf\n" * 90_000,
        "\0" * 900_000,
        "a: b: c\n" * 100_000,
        "\t- a\n" * 150_000,
        "title: " + "a" * 900_000,
        "k" * 900_000 + ": v",
        "length: " + "1" * 900_000 + " s",
    ],
    ids=["keys", "braces", "items", "nul", "colons", "tabs", "text", "key", "digits"],
)
def test_a_megabyte_of_nonsense_ends_soon_with_a_list_that_ends(tmp_path: Path, text: str) -> None:
    start = time.perf_counter()
    problems = _of_bytes(tmp_path, text.encode())
    assert time.perf_counter() - start < RUNAWAY_S
    assert len(problems) <= MOST_SHOWN + 1
    assert all(len(problem.shown()) < 2_000 for problem in problems)


def test_a_long_list_of_problems_ends_with_how_many_more(tmp_path: Path) -> None:
    text = GOOD + "".join(f"zz{n}: x\n" for n in range(150))
    problems = _of_bytes(tmp_path, text.encode())
    assert len(problems) == MOST_SHOWN + 1
    assert problems[-1].rule == Rule.MORE_PROBLEMS
    assert problems[-1].severity is Severity.NOTE
    assert "50 more" in problems[-1].message


def test_texts_too_long_to_listen_to_are_refused(tmp_path: Path) -> None:
    text = GOOD.replace("Ankles", "A" * 101) + f"    setup: {'word ' * 130}\n"
    assert _found(_of_bytes(tmp_path, text.encode())) == [
        (Rule.TOO_LONG, 1, 8),
        (Rule.TOO_LONG, 6, 12),
    ]


def test_a_picture_whose_name_no_system_allows_is_not_there(tmp_path: Path) -> None:
    text = GOOD + f"    picture: {'long' * 100}.png\n"
    assert _found(_of_bytes(tmp_path, text.encode())) == [(Rule.MISSING_FILE, 6, 14)]


def test_a_name_whose_letters_are_put_together_in_another_way_is_told(tmp_path: Path) -> None:
    """An archive packed on macOS brings `ü` as `u` and two dots; both look the same."""
    (tmp_path / unicodedata.normalize("NFD", "übung.png")).write_bytes(b"picture")
    if (tmp_path / "übung.png").exists():
        pytest.skip("this disk takes the two for one")
    (problem,) = _of_bytes(tmp_path, (GOOD + "    picture: übung.png\n").encode())
    assert "another way" in problem.remedy
    (problem,) = _of_bytes(tmp_path, (GOOD + "    picture: ubung.png\n").encode())
    assert "Did you mean" in problem.remedy


def test_more_exercises_than_any_session_holds_are_refused(tmp_path: Path) -> None:
    items = [f"  - {{name: Walk {n}, kind: free, time: 1 min}}\n" for n in range(101)]
    text = "title: Ankles\nexercises:\n" + "".join(items)
    assert _found(_of_bytes(tmp_path, text.encode())) == [(Rule.TOO_MANY, 3, 3)]


def test_a_file_that_may_not_be_read_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "routine.yaml"
    path.write_text(GOOD, "utf-8")

    def refuse(*_args: object, **_kw: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    (problem,) = _problems(path)
    assert problem.rule == Rule.UNREADABLE
    assert "Permission denied" in problem.message
