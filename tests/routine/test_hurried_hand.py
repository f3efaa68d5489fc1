"""A clinic's shorthand in a file: what is offered keeps its numbers, and can be followed."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from breathmark.routine.model import HoldDose, RepsDose
from tests.routine.hurried import HOLD, REPS, problems_of, routine_of

PERCENT = "Write the whole number that it comes to."


@pytest.mark.parametrize(
    ("written", "low_s", "usual_s", "high_s", "sets"),
    [
        ("20-30 seconds", 20, 20, 30, 1), ("20 to 30 s", 20, 20, 30, 1), ("5-10s", 5, 5, 10, 1),
        ("30 s - 1 min", 30, 30, 60, 1), ("1-2 min", 60, 60, 120, 1),
        ("30 s (20-45)", 20, 30, 45, 1), ("30 s (20–45)", 20, 30, 45, 1),
        ("30 s [20 to 45]", 20, 30, 45, 1), ("1m30", 90, 90, 90, 1), ("1m30s", 90, 90, 90, 1),
        ("1'30\"", 90, 90, 90, 1), ("1/2 min", 30, 30, 30, 1), ("½ min", 30, 30, 30, 1),
        ("1½ min", 90, 90, 90, 1), ("half a minute", 30, 30, 30, 1), ("five sec", 5, 5, 5, 1),
        ("~30 s", 30, 30, 30, 1), ("about 30 sec.", 30, 30, 30, 1), ("up to 45s", 45, 45, 45, 1),
        ("30 s x 3", 30, 30, 30, 3), ("30sec x3", 30, 30, 30, 3), ("3x30", 30, 30, 30, 3),
        ("30 sec each leg", 30, 30, 30, 1), ("20-30 s per side", 20, 20, 30, 1),
        ("30 s as tolerated", 30, 30, 30, 1),
    ],
)  # fmt: skip
def test_a_time_in_shorthand_becomes_what_was_meant(
    tmp_path: Path, written: str, low_s: int, usual_s: int, high_s: int, sets: int
) -> None:
    (problem,) = problems_of(tmp_path, HOLD, f"hold: {written}")
    offered = re.findall("`([^`]+)`", problem.remedy)
    others = [one for one in offered if ":" in one]
    (amount,) = (one for one in offered if ":" not in one and one != "feel")
    dose = routine_of(tmp_path, HOLD, f"hold: {amount}", *others).exercises[0].dose
    assert isinstance(dose, HoldDose)
    ends = (dose.hold_ms.low, dose.hold_ms.usual, dose.hold_ms.high)
    assert ends == (low_s * 1000, usual_s * 1000, high_s * 1000)
    assert dose.sets.usual == sets


@pytest.mark.parametrize(
    ("written", "low", "usual", "high"),
    [
        ("x10", 10, 10, 10), ("10 reps", 10, 10, 10), ("ten", 10, 10, 10), ("8 to 12", 8, 8, 12),
        ("8-12 reps", 8, 8, 12), ("10 (8-12)", 8, 10, 12), ("10 @ RPE 6-7", 10, 10, 10),
        ("10/side", 10, 10, 10), ("10 each leg", 10, 10, 10), ("12 to fatigue", 12, 12, 12),
    ],
)  # fmt: skip
def test_a_count_in_shorthand_becomes_what_was_meant(
    tmp_path: Path, written: str, low: int, usual: int, high: int
) -> None:
    (problem,) = problems_of(tmp_path, REPS, f"reps: {written}")
    amount, *others = re.findall("`([^`]+)`", problem.remedy)
    sides = [one for one in others if one == "sides: each"]
    dose = routine_of(tmp_path, REPS, f"reps: {amount}", *sides).exercises[0].dose
    assert isinstance(dose, RepsDose)
    assert (dose.reps.low, dose.reps.usual, dose.reps.high) == (low, usual, high)


@pytest.mark.parametrize("written", ["10 each leg", "10/side", "10 ea"])
def test_each_side_is_asked_for_where_it_was_written_behind_a_number(
    tmp_path: Path, written: str
) -> None:
    """Without it both sides would share the ten."""
    (problem,) = problems_of(tmp_path, REPS, f"reps: {written}")
    assert "`sides: each` at the exercise" in problem.remedy
    assert "`20` counts both" in problem.remedy


@pytest.mark.parametrize("written", ["to fatigue", "AMRAP", "as tolerated", "PRN"])
def test_what_ends_a_set_is_said_and_not_counted(tmp_path: Path, written: str) -> None:
    (problem,) = problems_of(tmp_path, REPS, f"reps: {written}")
    assert problem.remedy.endswith("What ends it earlier belongs to `feel`.")
    (problem,) = problems_of(tmp_path, HOLD, f"hold: {written}")
    assert problem.remedy.endswith("What ends it earlier belongs to `feel`.")


@pytest.mark.parametrize(
    ("top", "remedy"),
    [
        ("length: 10-12 min\n", "Write one of them, such as `10 min` or `12 min`."),
        ("length: about 15 min\n", "Write `15 min`."),
        ("weeks:\n  - {from: 3-4, coaching: light}\n", "Write one number, such as `3`."),
        ("weeks:\n  - {from: week 3, coaching: light}\n", "Write `3`."),
        ("weeks:\n  - {from: 3, changes: {N: {hold: +10%}}}\n", "such as `+5 s`."),
        ("weeks:\n  - {from: 3, changes: {N: {sets: +50%}}}\n", PERCENT),
    ],
)  # fmt: skip
def test_what_is_exact_is_offered_with_its_own_numbers(
    tmp_path: Path, top: str, remedy: str
) -> None:
    """`10-12 min` was answered with "Write `30 s`", and `+50%` with "Write `+50`"."""
    (problem,) = problems_of(tmp_path, HOLD, "hold: 30 s", top=top)
    assert problem.remedy.endswith(remedy)


@pytest.mark.parametrize(
    ("line", "remedy"),
    [
        ("rest: 60 s", "Did you mean `rests`?"),
        ("rests: 60 s", "Write which rest it is, such as `rests: {sets: 60 s}` between sets."),
        ("change_sides: after all sets", "Did you mean `change sides`?"),
        ("image: a.png", "Did you mean `picture`?"),
        ("RPE: 6-7", "It belongs to `feel`, in words: how hard it should be."),
        ("weight: 2 lb", "It belongs to `setup`, in words, and to `equipment`."),
        ("reps: 10", "Write it as `sets`: in each set the position is held once."),
    ],
)
def test_a_key_from_the_clinic_is_sent_where_it_belongs(
    tmp_path: Path, line: str, remedy: str
) -> None:
    (problem,) = problems_of(tmp_path, HOLD, "hold: 30 s", line)
    assert problem.remedy == remedy


@pytest.mark.parametrize(
    ("written", "there_are"),
    [
        ("quads", "`quadratus lumborum`, `quadriceps`"),
        ("glutes", "`gluteus maximus`, `gluteus medius`"),
        ("calf", "`gastrocnemius`, `soleus`"),
        ("thigh", "`hip adductors`, `quadriceps`, `hamstrings`"),
    ],
)
def test_a_muscle_in_everyday_words_is_looked_up(
    tmp_path: Path, written: str, there_are: str
) -> None:
    """Told as what there is, not as what was meant: the clinician chooses."""
    (problem,) = problems_of(tmp_path, HOLD, "hold: 30 s", f"targets: [{written}]")
    assert problem.remedy.startswith("There are ")
    for one in there_are.split(", "):
        assert one in problem.remedy
    assert "at the left edge" in problem.remedy


@pytest.mark.parametrize(
    ("tempo", "remedy"),
    [
        ("{up: 2 s, out: 3 s}", "It belongs to `out` if that way comes first, else to `back`."),
        ("{out:2 s}", "Put a space behind the colon of `out:`."),
        ("202", "Write each part, such as `tempo: {out: 2 s, hold: 0 s, back: 2 s}`."
         " `out` is the way that comes first."),
    ],
)  # fmt: skip
def test_a_tempo_is_never_turned_round(tmp_path: Path, tempo: str, remedy: str) -> None:
    (problem,) = problems_of(tmp_path, "kind: reps", "reps: 8", f"tempo: {tempo}")
    assert problem.remedy == remedy


def test_a_slip_for_a_key_is_not_told_as_missing_too(tmp_path: Path) -> None:
    (problem,) = problems_of(tmp_path, HOLD, "holds: 30 s")
    assert problem.remedy == "Did you mean `hold`?"
