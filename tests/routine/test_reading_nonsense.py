"""Whatever the bytes are, reading gives a routine or problems in plain words, nothing else."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from breathmark.problems import InputProblems, Problem, Severity
from breathmark.routine.reading import read_routine
from breathmark.routine.rules import Rule

GOOD = b"""\
title: Easier on the stairs
length: 12 min
frequency: 5 days a week
equipment: [firm chair, "kitchen counter"]
rests: {sets: 10 s (5 to 20), sides: 12 s}
exercises:
  - name: Counter calf stretch   # note
    kind: hold
    sides: each
    hold: 30 s (20 to 45)
    sets: 2 (1 to 3)
    setup: >
      Face the counter. Slide your {side} foot
      back.

      Look ahead.
    cues:
      - Heel stays heavy.
      - say: 'Toes point ahead.'
        when: last set
    harder: {say: "Lean in.", hold: 45 s}
    instead: Marching
  - name: Marching
    kind: reps
    sides: alternating
    reps: 10
    tempo: {out: 2 s, back: 2 s}
  - {name: Breathe, kind: breathing, time: 1:00, pattern: {in: 4 s, out: 6 s}}
"""

PIECES = st.one_of(
    st.binary(max_size=4),
    st.sampled_from(
        [
            b"\t", b"\n", b"\r", b"\0", b"'", b'"', b"{", b"}", b"[", b"]", b": ", b"- ", b"#",
            b"&a ", b"*a", b"!x ", b"? ", b"| ", b">", b"%", b"@", b"`", b"---\n", b"...\n",
            b"<<: ", b"\xff\xfe", b"\xef\xbb\xbf", b"\xc2\x85", b"\xe2\x80\xa8", b"\\", b"1:30",
            b"{side}", b"\xed\xa0\x80", b"\xf0\x9f\x98\x80", b"~", b", ", b"99999999999 s",
        ]
    ),
)  # fmt: skip
EDITS = st.lists(
    st.tuples(st.integers(0, len(GOOD)), st.integers(0, 30), PIECES), min_size=1, max_size=6
)


def _edited(edits: list[tuple[int, int, bytes]]) -> bytes:
    data = GOOD
    for start, length, piece in edits:
        data = data[:start] + piece + data[start + length :]
    return data


def _problems(path: Path) -> tuple[Problem, ...]:
    """The problems of a file; none when it is a routine.  Anything else is raised."""
    try:
        assert read_routine(path).exercises
    except InputProblems as error:
        return error.problems or pytest.fail("refused without a problem")
    return ()


def _check(path: Path, data: bytes) -> None:
    path.write_bytes(data)
    for problem in _problems(path):
        place = problem.place
        assert problem.rule in list(Rule)
        assert problem.severity is Severity.ERROR
        assert place.line >= 1
        assert 1 <= place.column <= len(place.text) + 1
        assert 1 <= place.width <= max(1, len(place.text) - place.column + 1)
        assert problem.message.isprintable()
        assert problem.shown().encode("utf-8")


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One file, written again for each example."""
    return tmp_path_factory.mktemp("nonsense") / "routine.yaml"


def test_the_file_that_is_damaged_is_good(path: Path) -> None:
    path.write_bytes(GOOD)
    assert len(read_routine(path).exercises) == 3


@settings(max_examples=400, deadline=None)
@given(edits=EDITS)
@example(edits=[(0, 0, b"\xff\xfe")])
def test_a_damaged_routine_is_read_or_refused_in_words(
    path: Path, edits: list[tuple[int, int, bytes]]
) -> None:
    _check(path, _edited(edits))


@settings(max_examples=200, deadline=None)
@given(data=st.lists(PIECES, max_size=40).map(b"".join))
def test_any_bytes_are_read_or_refused_in_words(path: Path, data: bytes) -> None:
    _check(path, data)


def test_every_cut_of_a_good_file_is_read_or_refused_in_words(path: Path) -> None:
    for end in range(0, len(GOOD), 7):
        _check(path, GOOD[:end])
