"""A count longer than the first phase of a repetition: what would be said over it is left out."""

from __future__ import annotations

from pathlib import Path

import pytest

from breathmark.routine.reading import read_routine
from breathmark.script.session import Purpose
from tests.script.planning import planned

ROUTINE = """\
title: Squeeze
exercises:
  - name: Shoulder blade squeeze
    kind: reps
    position: seated
    targets: [rhomboids]
    reps: 8
    tempo: TEMPO
    setup: Sit tall.
    calls: {hold: Keep breathing, back: And release}
"""


@pytest.mark.parametrize("tempo", ["{out: 1 s, hold: 4 s, back: 2 s}", "{out: 1 s, back: 3 s}"])
def test_no_call_is_said_over_the_count(tempo: str, tmp_path: Path) -> None:
    """The first count starts at 0.4 s and lasts 0.7 s or more: the call at 1 s is dropped."""
    path = tmp_path / "routine.yaml"
    path.write_text(ROUTINE.replace("TEMPO", tempo), encoding="utf-8")
    session = planned(read_routine(path), ms_a_word=700)
    counts = [line for line in session.spoken if line.purpose is Purpose.COUNT]
    first = counts[0]
    assert first.length >= round(0.7 * session.rate_hz)
    after = next(line for line in session.spoken if line.start > first.start)
    assert after.start - first.end >= round(0.3 * session.rate_hz)
