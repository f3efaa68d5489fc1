"""The author's own calls: one that fits into no repetition is told; others are said."""

from __future__ import annotations

from pathlib import Path

import pytest

from breathmark.routine.patient import Patient
from breathmark.routine.reading import read_routine
from breathmark.routine.tailoring import tailored
from tests.script.planning import planned

HOLD = "And hold it there now"
BACK = "Slowly all the way back down again"
ROUTINE = f"""\
title: Curls
exercises:
  - name: Curl
    kind: reps
    reps: 4
    sides: left
    tempo: TEMPO
    calls: {{out: Up, hold: {HOLD}, back: "{BACK}"}}
"""


def left_out(folder: Path, text: str) -> list[str]:
    """What the plan tells, at 400 ms a word, but for the line on breathing."""
    path = folder / "routine.yaml"
    path.write_text(text, encoding="utf-8")
    return [line for line in planned(read_routine(path), 400).left_out if "effort" not in line]


@pytest.mark.parametrize(
    ("tempo", "missed"),
    [
        ("{out: 2 s, hold: 1 s, back: 1 s}", [HOLD, BACK]),
        ("{out: 2 s, hold: 3 s, back: 1 s}", [BACK]),
        ("{out: 2 s, back: 4 s}", [HOLD]),
        ("{out: 2 s, hold: 3 s, back: 4 s}", []),
        ("{out: 500 ms, hold: 3 s, back: 4 s}", ["Up"]),
    ],
)
def test_a_call_that_is_never_heard_is_told(tmp_path: Path, tempo: str, missed: list[str]) -> None:
    """Once each, however many repetitions it is missed in."""
    told = left_out(tmp_path, ROUTINE.replace("TEMPO", tempo))
    expected = [f"Curl: no room to say “{text}.”" for text in missed]
    if missed == ["Up"]:  # with no room to count, what would be said over the count goes as well
        assert expected[0] in told
    else:
        assert told == expected


def test_the_words_that_are_built_in_are_not_missed(tmp_path: Path) -> None:
    """A quick tempo leaves them out by design."""
    text = ROUTINE.replace("TEMPO", "{out: 1 s, hold: 500 ms, back: 500 ms}")
    without = "".join(line for line in text.splitlines(keepends=True) if "calls" not in line)
    assert left_out(tmp_path, without) == []


@pytest.mark.parametrize(("calls", "missed"), [("", []), ("{out: Now up}", ["Now up"])])
def test_a_librarys_own_word_for_out_gives_way_to_the_count(
    tmp_path: Path, calls: str, missed: list[str]
) -> None:
    """The count begins the repetition as well; a word written in the routine is missed."""
    text = "title: Pumps\nexercises:\n  - use: Seated ankle pumps\n"
    told = left_out(tmp_path, text + f"    calls: {calls}\n" * bool(calls))
    calls_told = [line for line in told if "“Up." in line or "“Now up." in line]
    assert calls_told == [f"Seated ankle pumps: no room to say “{text}.”" for text in missed]


@pytest.mark.parametrize("stands_in", [False, True])
def test_an_own_librarys_word_for_out_is_missed(tmp_path: Path, stands_in: bool) -> None:
    """The routine's author wrote it as well, be it used or taken in by an `instead`."""
    entry = "    kind: reps\n    reps: 6\n    tempo: {out: 500 ms, back: 3 s}\n"
    (tmp_path / "own.yaml").write_text(
        "title: Own\nexercises:\n"
        f"  - name: First\n{entry}    calls: {{out: Now all the way up}}\n"
        f"    involves: [gripping]\n    instead: Second\n"
        f"  - name: Second\n{entry}    calls: {{out: Up to the very top}}\n",
        encoding="utf-8",
    )
    path = tmp_path / "routine.yaml"
    path.write_text("title: T\nlibrary: own.yaml\nexercises:\n  - use: First\n", encoding="utf-8")
    routine = read_routine(path)
    if stands_in:
        patient = Patient(label="R-204", file="p", sha256="", avoid=("gripping",))
        routine = tailored(routine, patient).routine
    missed = "Up to the very top" if stands_in else "Now all the way up"
    name = "Second" if stands_in else "First"
    assert f"{name}: no room to say “{missed}.”" in planned(routine, 400).left_out
