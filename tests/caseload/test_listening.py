"""A caseload's table says for whose ears, too."""

from __future__ import annotations

from pathlib import Path

import pytest

from breathmark.caseload.entries import read_caseload
from breathmark.problems import InputProblems
from breathmark.routine.listening import Background, Hearing
from breathmark.routine.patient_reading import prescription_in
from tests.pipeline.short import short_routine

HEAD = "label,routine,hearing,background\n"


def test_the_columns_are_read_and_part_those_who_hear_otherwise(tmp_path: Path) -> None:
    """A slip has its line and column; lines spoken for other ears are not shared."""
    short_routine(tmp_path)
    path = tmp_path / "list.csv"
    rows = "R-1,short.yaml,hard of hearing,\nR-2,short.yaml,,quiet\nR-3,short.yaml,oldr,\n"
    path.write_text(HEAD + rows, encoding="utf-8")
    first, second, third = read_caseload(path)
    read = []
    for entry in (first, second):
        assert entry.source is not None
        assert entry.written is not None
        patient = prescription_in(entry.source, entry.written).patient
        read.append((patient.hearing, patient.background))
    assert read == [(Hearing.HARD_OF_HEARING, None), (None, Background.QUIET)]
    assert first.shares != second.shares
    assert third.source is not None
    assert third.written is not None
    with pytest.raises(InputProblems, match=r"list.csv:4:16: .*oldr"):
        prescription_in(third.source, third.written)
