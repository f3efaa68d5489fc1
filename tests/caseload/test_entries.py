"""Caseload files as people and spreadsheets write them, and what is wrong with them, where."""

from __future__ import annotations

from pathlib import Path

import pytest

from breathmark.caseload.entries import Entry, read_caseload
from breathmark.problems import InputProblems, Problem
from breathmark.routine.patient import Patient
from breathmark.routine.patient_reading import prescription_in
from breathmark.routine.rules import Rule
from breathmark.routine.tailoring import tailored
from tests.pipeline.short import short_routine

Found = list[tuple[str, int, int]]


def read(folder: Path, text: str | bytes, name: str = "list.csv") -> tuple[Entry, ...]:
    """A caseload with this text, beside the short routine."""
    short_routine(folder)
    path = folder / name
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return read_caseload(path)


def found(problems: tuple[Problem, ...]) -> Found:
    """Rule, line and column of each problem."""
    return [(one.rule, one.place.line, one.place.column) for one in problems]


def refusal(folder: Path, text: str | bytes, name: str = "list.csv") -> InputProblems:
    """What a caseload is refused with as a whole."""
    with pytest.raises(InputProblems) as caught:
        read(folder, text, name)
    return caught.value


def patient(entry: Entry) -> Patient:
    """The patient that an entry holds."""
    assert entry.source is not None
    assert entry.written is not None
    return prescription_in(entry.source, entry.written).patient


PLAIN = "label,routine,length,avoid,first side\nR-1,short.yaml,1 min 15 s,kneeling,right\n"

SAME = {
    "as it is": PLAIN.encode(),
    "with a byte order mark": b"\xef\xbb\xbf" + PLAIN.encode(),
    "with Windows line ends": PLAIN.replace("\n", "\r\n").encode(),
    "with old line ends": PLAIN.replace("\n", "\r").encode(),
    "with semicolons": PLAIN.replace(",", ";").encode(),
    "with tabs": PLAIN.replace(",", "\t").encode(),
    "with blanks around": PLAIN.replace(",", " , ").encode(),
    "with everything quoted": (
        b'"label","routine","length","avoid","first side"\n'
        b'"R-1","short.yaml","1 min 15 s","kneeling","right"\n'
    ),
    "with empty lines": b"\n" + PLAIN.replace("\n", "\n,,,,\n\n").encode(),
    "with capitals and underscores": PLAIN.replace("first side", "First_Side").encode(),
    "with empty columns at the end": PLAIN.replace("\n", ",,\n").encode(),
    "without an end of line": PLAIN.rstrip().encode(),
    "with its separator told first": b"sep=;\r\n" + PLAIN.replace(",", ";").encode(),
}


@pytest.mark.parametrize("text", SAME.values(), ids=SAME)
def test_a_table_is_read_however_it_was_saved(tmp_path: Path, text: bytes) -> None:
    """RFC 4180 and what spreadsheets make of it (from memory) give the same patient."""
    (entry,) = read(tmp_path, text)
    one = patient(entry)
    assert (entry.label, one.label, one.length_ms, one.avoid) == (
        "R-1",
        "R-1",
        75_000,
        ("kneeling",),
    )
    assert one.first_side is not None
    assert one.first_side.value == "right"


def test_a_quoted_cell_holds_commas_quotes_and_line_ends(tmp_path: Path) -> None:
    """Its text is taken whole, and the rows below it keep their line numbers."""
    text = (
        'label,routine,cautions\nR-1,short.yaml,"Hold on, ""both"" hands;\nmind the rug"\nR-2,x,\n'
    )
    one, two = read(tmp_path, text)
    assert patient(one).cautions == ('Hold on, "both" hands', "mind the rug")
    assert (two.place.line, two.label) == (4, "R-2")


def test_what_to_write_in_a_cell_is_what_a_cell_takes(tmp_path: Path) -> None:
    """No brackets, as a patient file has them; the remedy is written in and read."""
    table = "routine,label,avoid\nshort.yaml,R-1,{}\n"
    (entry,) = read(tmp_path, table.format("kneeling / standing"))
    with pytest.raises(InputProblems) as caught:
        patient(entry)
    (problem,) = caught.value.problems
    assert problem.remedy == "Write each by itself: `kneeling; standing`."
    (again,) = read(tmp_path, table.format(problem.remedy.split("`")[1]))
    assert patient(again).avoid == ("kneeling", "standing")


def test_a_list_in_a_cell_has_a_place_for_each_of_its_parts(tmp_path: Path) -> None:
    """The second of three tags is the wrong one, and the mark stands under it."""
    text = 'routine,avoid,label\nshort.yaml,"kneeling; standng, sitting",R-1\n'
    (entry,) = read(tmp_path, text)
    with pytest.raises(InputProblems, match="`standing`") as caught:
        patient(entry)
    assert found(caught.value.problems) == [(Rule.UNKNOWN_TAG, 2, 23)]


@pytest.mark.parametrize(
    ("text", "expected", "said"),
    [
        ("label,routine,lenght\nR-1,a,b\n", [(Rule.UNKNOWN_KEY, 1, 15)], "`length`"),
        ("\nlabel,routine,changes\nR-1,a,b\n", [(Rule.UNKNOWN_KEY, 2, 15)], "patient's file"),
        ("label,label\nR-1,R-2\n", [(Rule.TWICE, 1, 7)], "here twice"),
        ("routine,length\na,b\n", [(Rule.MISSING_KEY, 1, 1)], "`label`"),
        ("", [(Rule.EMPTY_FILE, 1, 1)], "nothing"),
        (",,\n", [(Rule.EMPTY_FILE, 1, 1)], "nothing"),
        ("label,routine\n", [(Rule.EMPTY_FILE, 1, 1)], "no patient"),
        ('label,routine\nR-1,"open\n', [(Rule.NOT_A_TABLE, 2, 1)], "doubled"),
        ('label,routine\nR-1,x\nR-2,"a"b\n', [(Rule.NOT_A_TABLE, 3, 1)], "doubled"),
    ],
)
def test_a_table_that_is_wrong_as_a_whole(
    tmp_path: Path, text: str, expected: Found, said: str
) -> None:
    """Nothing is built from it, and its problem has line, column and remedy."""
    problems = refusal(tmp_path, text)
    assert found(problems.problems) == expected
    assert said in str(problems)


def test_a_table_that_was_not_saved_as_utf_8(tmp_path: Path) -> None:
    """What an older spreadsheet writes is named with the place of the first such letter."""
    problems = refusal(tmp_path, "label,greeting\nR-1,Grüezi\n".encode("cp1252"))
    assert found(problems.problems) == [(Rule.ENCODING, 2, 7)]
    assert "CSV UTF-8" in str(problems)


def test_a_row_with_a_cell_too_many_stops_only_itself(tmp_path: Path) -> None:
    """A comma that was not quoted is found where the row becomes too long."""
    text = "label,routine,length\nR-1,short.yaml,1 min, 15 s\nR-2,short.yaml,1 min 15 s\n"
    one, two = read(tmp_path, text)
    assert found(one.problems) == [(Rule.TOO_MANY, 2, 23)]
    assert one.label == "R-1"
    assert two.problems == ()


def test_the_same_label_is_refused_for_both(tmp_path: Path) -> None:
    """Labels that share a folder are the same, whichever way they were given."""
    (tmp_path / "r-1.yaml").write_text("label: R-1\nroutine: short.yaml\n")
    text = "label,routine,file\nr.1,short.yaml,\n,,r-1.yaml\nR-2,short.yaml,\n"
    one, two, three = read(tmp_path, text)
    assert found(one.problems) == [(Rule.SAME_LABEL, 2, 1)]
    assert found(two.problems) == [(Rule.SAME_LABEL, 3, 3)]
    assert "list.csv:2:1" in two.problems[0].message
    assert three.problems == ()


def test_a_row_may_name_a_file_its_routine_and_its_week(tmp_path: Path) -> None:
    """What else there is to say is said in the patient's file."""
    (tmp_path / "r-1.yaml").write_text("label: R-1\nroutine: other.yaml\n")
    text = "file,routine,week,length\nr-1.yaml,short.yaml,3,\nr-1.yaml,,,2 min\n"
    one, two = read(tmp_path, text)
    assert (one.file, one.routine) == (tmp_path / "r-1.yaml", tmp_path / "short.yaml")
    assert (one.label, one.week) == ("R-1", 3)
    assert found(two.problems) == [(Rule.UNKNOWN_KEY, 3, 12)]
    assert "It belongs to the patient's file." in two.problems[0].remedy


LIST = """\
- r-1.yaml
- label: R-2
  routine: short.yaml
  week: 2
  changes:
    Toe lift: {reps: 6}
- file: r-3.yaml
  weeks: 3
- [R-4]
- label: R-5
  week: 0
"""


def test_a_list_holds_files_and_patients_written_out(tmp_path: Path) -> None:
    """Each item is read by itself; what is wrong with one is kept with it."""
    (tmp_path / "r-1.yaml").write_text("label: R-1\nroutine: short.yaml\nvoice: clear\n")
    one, two, three, four, five = read(tmp_path, LIST, "list.yaml")
    assert (one.label, one.file, one.problems) == ("R-1", tmp_path / "r-1.yaml", ())
    assert (two.label, two.week) == ("R-2", 2)
    assert patient(two).changes[0].exercise == "Toe lift"
    assert found(three.problems) == [(Rule.MISSING_FILE, 7, 9), (Rule.UNKNOWN_KEY, 8, 3)]
    assert found(four.problems) == [(Rule.WRONG_TYPE, 9, 3)]
    assert found(five.problems) == [(Rule.IMPOSSIBLE_AMOUNT, 11, 9)]
    assert five.label == "R-5"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("label: R-1\nroutine: short.yaml\n", [(Rule.WRONG_TYPE, 1, 1)]),
        ("", [(Rule.EMPTY_FILE, 1, 1)]),
        ("# nobody\n", [(Rule.EMPTY_FILE, 1, 1)]),
    ],
)
def test_what_is_no_list(tmp_path: Path, text: str, expected: Found) -> None:
    """One patient alone, or nobody, is no caseload."""
    assert found(refusal(tmp_path, text, "list.yaml").problems) == expected


def test_what_shares_its_words_is_known_as_such(tmp_path: Path) -> None:
    """The same routine in the same voice, whichever way the patient was given."""
    (tmp_path / "r-1.yaml").write_text("label: R-1\nroutine: short.yaml\n")
    text = "label,routine,file,voice\nR-2,short.yaml,,\n,,r-1.yaml,\nR-3,short.yaml,,clear\n"
    one, two, three = read(tmp_path, text)
    assert one.shares == two.shares != three.shares


def test_a_file_that_is_not_there_is_told_where_it_is_named(tmp_path: Path) -> None:
    (entry,) = read(tmp_path, "- r-204.yaml\n", "list.yaml")
    (problem,) = entry.problems
    assert (problem.rule, problem.place.file[-9:]) == (Rule.MISSING_FILE, "list.yaml")
    assert (problem.place.line, problem.place.column) == (1, 3)


def test_a_name_that_cannot_be_a_files_stops_only_that_patient(tmp_path: Path) -> None:
    """No system allows 300 letters; the others of the caseload are read."""
    first, second = read(tmp_path, f"- {'long' * 75}.yaml\n- {{label: R-1, routine: short.yaml}}\n",
                         "list.yaml")  # fmt: skip
    assert [problem.rule for problem in first.problems] == [Rule.UNREADABLE]
    assert second.problems == ()


def test_a_file_full_of_unseen_characters_stops_only_that_patient(tmp_path: Path) -> None:
    (tmp_path / "pasted.yaml").write_text("\u200b" * 400, "utf-8")
    first, second = read(
        tmp_path, "- pasted.yaml\n- {label: R-1, routine: short.yaml}\n", "list.yaml"
    )
    assert first.file == tmp_path / "pasted.yaml"
    assert second.problems == ()


def test_a_list_of_nobody_is_refused(tmp_path: Path) -> None:
    assert found(refusal(tmp_path, "[]\n", "list.yaml").problems) == [(Rule.EMPTY_FILE, 1, 1)]


def test_labels_that_come_to_one_folder_are_both_named(tmp_path: Path) -> None:
    entries = read(tmp_path, "label,routine\nR-20,short.yaml\nR.20,short.yaml\n")
    messages = [entry.problems[0].message for entry in entries]
    assert messages[0].startswith("`R-20` and `R.20` (")
    assert messages[1].startswith("`R.20` and `R-20` (")


def test_tabs_between_columns_are_a_table(tmp_path: Path) -> None:
    (entry,) = read(tmp_path, "label\troutine\nR-1\tshort.yaml\n", "list.tsv")
    assert patient(entry).label == "R-1"


def test_a_spreadsheet_is_told_once(tmp_path: Path) -> None:
    """The bytes with which a ZIP begins (APPNOTE.TXT, 4.3.7): .xlsx and .ods are such files."""
    (problem,) = refusal(tmp_path, b"PK\x03\x04\x14\x00\x06\x00", "list.xlsx").problems
    assert "spreadsheet" in problem.message


def test_a_patient_of_a_table_is_not_sent_to_a_file_that_is_not_there(tmp_path: Path) -> None:
    """`changes` stand in a patient's file; a row has none until the column `file` names one."""
    (entry,) = read(tmp_path, "routine,avoid,label\nshort.yaml,sitting,R-1\n")
    exercise = "{name: N, kind: free, time: 1 min, involves: [sitting]}"
    (tmp_path / "short.yaml").write_text(f"title: T\nexercises: [{exercise}]\n")
    assert entry.source is not None
    assert entry.written is not None
    both = prescription_in(entry.source, entry.written)
    with pytest.raises(InputProblems) as caught:
        tailored(both.routine, both.patient)
    (problem,) = caught.value.problems
    assert problem.remedy.endswith(
        "under `changes` in a patient file that the column `file` names."
    )
