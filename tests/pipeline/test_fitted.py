"""What a colleague would remark on the doses as they were fitted, not only as written."""

from __future__ import annotations

from pathlib import Path

import pytest

from breathmark.pipeline import Order, Planned, plan
from tests.pipeline.short import short_routine

STRETCHES = """\
title: Calves
exercises:
  - name: Towel stretch
    kind: hold
    position: supine
    targets: [gastrocnemius]
    sides: each
    hold: 30 s
    sets: 2 (1 to 2)
    setup: Loop the towel around your {side} foot.
    feel: a mild pull, never a sharp pain
    equipment: [towel]
  - name: Sit a while
    kind: pause
    position: seated
    time: 30 s
    optional: yes
  - name: Heel raises
    kind: reps
    position: standing
    reps: 8
    tempo: {out: 2 s, back: 2 s}
    setup: Hold the counter.
    feel: your calves working, never a sharp pain
    equipment: [counter]
"""
UNDER = "this stretch comes to 30 s a session on a side; guidance is 60 s"
RISES = "the patient rises from supine straight into standing work"


def planned(folder: Path, *more: str, length: str = "") -> Planned:
    """The plan of the routine, with a length and more lines of its own."""
    head = f"length: {length}\n" if length else ""
    return plan(Order(source=short_routine(folder, head + STRETCHES + "\n".join(more))))


def found(one: Planned) -> dict[str, str]:
    """What the checks say, by their ids."""
    return {problem.rule: problem.message for problem in one.case.checked.problems}


def test_what_only_the_fitted_dose_brings_is_said_with_the_length(tmp_path: Path) -> None:
    """As written nothing is remarked; a set less is under the guidance (Garber 2011)."""
    assert found(planned(tmp_path)) == {}
    fitted = planned(tmp_path, length="4 min")
    assert "hold 30 s, 1 set, each side, instead of hold 30 s, 2 sets" in fitted.session.notes[0]
    assert found(fitted) == {"stretch-under": f"fitted to 4 min: {UNDER}"}


def test_a_pause_left_out_to_save_time_is_missed(tmp_path: Path) -> None:
    """Without the pause the patient rises from the floor at once."""
    fitted = planned(tmp_path, length="3 min 40 s")
    assert [one.name for one in fitted.case.routine.exercises] == ["Towel stretch", "Heel raises"]
    assert found(fitted)["rising-from-floor"] == f"fitted to 3 min 40 s: {RISES}"


@pytest.mark.parametrize("length", ["", "4 min"])
def test_what_was_accepted_stays_accepted_however_it_is_fitted(tmp_path: Path, length: str) -> None:
    """The reason goes with the finding; an entry is unused only if it is as written, too."""
    accept = "accept:\n  - {check: stretch-under, because: first week after the cast}\n"
    one = planned(tmp_path, accept, length=length)
    reasons = [accepted.because for accepted in one.case.checked.accepted]
    assert reasons == (["first week after the cast"] if length else [])
    assert set(found(one)) == (set() if length else {"accept-unused"})


def test_a_session_without_a_length_is_judged_by_its_plan(tmp_path: Path) -> None:
    """More than 20 min are remarked on, whoever chose them."""
    text = STRETCHES.replace("time: 30 s", "time: 17 min")
    one = plan(Order(source=short_routine(tmp_path, text)))
    assert list(found(one)) == ["session-length"]
    assert found(one)["session-length"].startswith("the session lasts 2")
