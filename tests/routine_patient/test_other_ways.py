"""Easier and harder ways keep what was written for them, and never turn into their opposite."""

from __future__ import annotations

from pathlib import Path
from typing import TypeGuard

import pytest

from breathmark.routine.model import (
    BreathingDose,
    Dose,
    Exercise,
    FreeDose,
    HoldDose,
    RepsDose,
)
from breathmark.routine.other_ways import with_dose
from breathmark.routine.patient_reading import read_prescription
from breathmark.routine.tailoring import Tailored, for_week
from breathmark.units import Ranged

HOLD = """\
title: T
exercises:
  - name: Calf hold
    kind: hold
    hold: 30 s (10 to 60)
    sets: 2
    sides: each
    easier: {say: "Bend the {side} knee.", hold: 20 s}
    harder: {say: "Step further back.", hold: 45 s}
"""


def made(folder: Path, routine: str, patient: str, week: int = 1) -> Tailored:
    """The routine tailored for a patient file of a few lines."""
    (folder / "routine.yaml").write_text(routine, "utf-8")
    path = folder / "patient.yaml"
    path.write_text(f"label: R-204\nroutine: routine.yaml\n{patient}\n", "utf-8")
    both = read_prescription(path)
    return for_week(both.routine, both.patient, week)


def ways(exercise: Exercise) -> tuple[Dose | None, Dose, Dose | None]:
    """The doses of the easier way, the usual one and the harder one."""
    easier, harder = exercise.easier, exercise.harder
    return easier.dose if easier else None, exercise.dose, harder.dose if harder else None


def holds(exercise: Exercise) -> list[int]:
    """How long each way is held, in seconds."""
    return [one.hold_ms.usual // 1000 for one in ways(exercise) if isinstance(one, HoldDose)]


@pytest.mark.parametrize(
    ("hold", "found"),
    [
        ("10 s", [10, 10, 45]), ("20 s", [20, 20, 45]), ("25 s", [20, 25, 45]),
        ("50 s", [20, 50, 50]), ("45 s", [20, 45, 45]),
    ],
)  # fmt: skip
def test_an_easier_way_is_never_more_and_a_harder_one_never_less(
    tmp_path: Path, hold: str, found: list[int]
) -> None:
    (exercise,) = made(
        tmp_path, HOLD, f"changes: {{Calf hold: {{hold: {hold}}}}}"
    ).routine.exercises
    assert holds(exercise) == found


def test_a_fitted_dose_takes_its_ways_along(tmp_path: Path) -> None:
    """As the fit puts it in: 15 s of a hold whose easier way has 20 s of its own."""
    (exercise,) = made(tmp_path, HOLD, "").routine.exercises
    fitted = with_dose(exercise, HoldDose(hold_ms=Ranged.fixed(15_000), sets=Ranged.fixed(3)))
    assert holds(fitted) == [15, 15, 45]


def test_one_side_of_what_alternates_halves_every_way(tmp_path: Path) -> None:
    """12 by turns are 6 on a side; 6 of the easier way are 3, 20 of the harder 10."""
    routine = """\
title: T
exercises:
  - name: March
    kind: reps
    sides: alternating
    reps: 12
    tempo: {out: 1 s, back: 1 s}
    easier: {say: Lift only your heel., reps: 6}
    harder: {say: Lift your knee high., reps: 20}
  - name: Sway
    kind: free
    sides: alternating
    time: 30 s
    easier: {say: Sway less., time: 20 s}
"""
    march, sway = made(tmp_path, routine, "sides: {only: left}").routine.exercises
    assert [one.reps.usual for one in ways(march) if isinstance(one, RepsDose)] == [3, 6, 10]
    times = [one.time_ms.usual for one in ways(sway) if isinstance(one, FreeDose)]
    assert times == [10_000, 15_000]


def test_a_version_keeps_an_amount_that_is_the_usual_one(tmp_path: Path) -> None:
    """The easier way says 30 s in so many words; the week's 60 s are not of it."""
    routine = (
        HOLD.replace(" (10 to 60)", "").replace("hold: 20 s}", "hold: 30 s, sets: 1}")
        + """\
weeks:
  - {from: 3, changes: {Calf hold: {hold: +30 s}}}
  - {from: 5, changes: {Calf hold: {version: easier}}}
"""
    )
    (exercise,) = made(tmp_path, routine, "", week=5).routine.exercises
    assert isinstance(exercise.dose, HoldDose)
    assert (exercise.dose.hold_ms.usual, exercise.dose.sets.usual) == (30_000, 1)
    (before,) = made(tmp_path, routine, "", week=3).routine.exercises
    assert holds(before) == [30, 60, 60]


def test_a_placeholder_is_no_word(tmp_path: Path) -> None:
    """What the easier way says names a side, which a note about the exercise does not."""
    told = made(tmp_path, HOLD, "changes: {Calf hold: {version: easier}}").changes
    assert not [change.sentence for change in told if "{" in change.sentence]


def test_each_who_asked_in_vain_is_told(tmp_path: Path) -> None:
    """The patient file and the routine's week both change what is not in the session."""
    routine = """\
title: T
exercises:
  - {name: Calf hold, kind: hold, hold: 30 s, involves: [standing], instead: Sitting}
  - {name: Other, kind: free, time: 30 s, involves: [sitting]}
alternatives:
  - {name: Sitting, kind: hold, hold: 20 s, involves: [sitting]}
weeks:
  - {from: 2, changes: {Calf hold: {hold: 40 s}}}
"""
    patient = "avoid: [standing]\nchanges: {Calf hold: {hold: 12 s}}"
    told = made(tmp_path, routine, patient, week=2).changes
    vain = [change.sentence for change in told if "not applied" in change.sentence]
    assert len(vain) == 2
    assert any("patient file" in one for one in vain)
    assert any("week 2" in one for one in vain)


def test_what_the_author_wrote_the_other_way_round_stays(tmp_path: Path) -> None:
    """Fewer repetitions with a weight are the harder way, whatever is done without one."""
    routine = """\
title: T
exercises:
  - name: Rise
    kind: reps
    reps: 12
    sets: 2
    tempo: {out: 1 s, back: 1 s}
    easier: {say: Hold on., reps: 6, sets: 4}
    harder: {say: Hold a weight., reps: 8}
"""
    for patient, usual in (("", 12), ("changes: {Rise: {reps: 10}}", 10)):
        (exercise,) = made(tmp_path, routine, patient).routine.exercises
        doses = [(one.reps.usual, one.sets.usual) for one in ways(exercise) if _reps(one)]
        assert doses == [(6, 4), (usual, 2), (8, 2)]


def _reps(dose: Dose | None) -> TypeGuard[RepsDose]:
    return isinstance(dose, RepsDose)


BREATHING = """\
title: T
exercises:
  - name: Breathe
    kind: breathing
    time: 1 min
    pattern: {in: 3 s, out: 3 s}
"""


def test_slower_breaths_take_no_longer_in_all(tmp_path: Path) -> None:
    """One minute of breaths of 10 s is 6 of them, not the 10 that last 6 s each."""
    routine = BREATHING + "    harder: {say: Slower., pattern: {in: 5 s, out: 5 s}}\n"
    (exercise,) = made(tmp_path, routine, "").routine.exercises
    assert [one.breaths.usual for one in ways(exercise) if isinstance(one, BreathingDose)] == [
        10,
        6,
    ]


def test_a_version_keeps_a_time_of_breaths_that_is_the_usual_one(tmp_path: Path) -> None:
    """The easier way says 1 min in so many words: 10 breaths of 6 s, not week 2's 20."""
    routine = (
        BREATHING
        + """\
    easier: {say: Softly., time: 1 min}
weeks:
  - {from: 2, changes: {Breathe: {time: 2 min}}}
  - {from: 3, changes: {Breathe: {version: easier}}}
"""
    )
    for week, found in ((2, [10, 20]), (3, [10])):
        (exercise,) = made(tmp_path, routine, "", week=week).routine.exercises
        counts = [one.breaths.usual for one in ways(exercise) if isinstance(one, BreathingDose)]
        assert counts[: len(found)] == found


def test_a_version_takes_back_a_usual_amount_of_the_one_before(tmp_path: Path) -> None:
    """The easier way wrote 12; the week's 6 beside it goes with it."""
    routine = """\
title: T
exercises:
  - name: Rise
    kind: reps
    reps: 12
    tempo: {out: 1 s, back: 1 s}
    easier: {say: Less., reps: 12}
    harder: {say: More., sets: 3}
weeks:
  - {from: 2, changes: {Rise: {version: easier, reps: 6}}}
  - {from: 3, changes: {Rise: {version: harder}}}
"""
    (exercise,) = made(tmp_path, routine, "", week=3).routine.exercises
    assert isinstance(exercise.dose, RepsDose)
    assert (exercise.dose.reps.usual, exercise.dose.sets.usual) == (12, 3)


@pytest.mark.parametrize(("sets", "easier"), [(3, 6), (2, 4), (1, 2), (6, 6)])
def test_an_easier_way_of_more_sets_loses_its_share(tmp_path: Path, sets: int, easier: int) -> None:
    """Short and often instead of long is written so; half of the sets are half of both."""
    routine = """\
title: T
exercises:
  - name: Rise
    kind: reps
    reps: 12
    sets: 3
    tempo: {out: 1 s, back: 1 s}
    easier: {say: Hold on., reps: 5, sets: 6}
"""
    (exercise,) = made(tmp_path, routine, f"changes: {{Rise: {{sets: {sets}}}}}").routine.exercises
    assert [one.sets.usual for one in ways(exercise) if _reps(one)] == [easier, sets]


def breath_seconds(exercise: Exercise) -> list[int]:
    """How long the breaths of each way take in all."""
    return [
        one.breaths.usual * one.pattern.breath_ms // 1000
        for one in ways(exercise)
        if isinstance(one, BreathingDose)
    ]


@pytest.mark.parametrize(
    ("way", "change", "found"),
    [
        ("easier: {say: Slower., PATTERN}", "time: 30 s", [30, 30]),
        ("easier: {say: Slower., PATTERN}", "time: 2 min", [120, 120]),
        ("easier: {say: Slower., PATTERN, time: 40 s}", "time: 30 s", [30, 30]),
        ("easier: {say: Slower., PATTERN, time: 20 s}", "time: 30 s", [20, 30]),
        ("easier: {say: Slower., PATTERN, breaths: 4}", "breaths: 5", [30, 30]),
        ("easier: {say: Slower., PATTERN, breaths: 12}", "time: 30 s", [60, 30]),
        ("easier: {say: Less., time: 30 s}", "pattern: {in: 5 s, out: 5 s}", [30, 60]),
        ("harder: {say: Slower., PATTERN}", "time: 2 min", [120, 120]),
        ("harder: {say: Slower., PATTERN, time: 2 min}", "time: 3 min", [180, 180]),
        ("harder: {say: Slower., PATTERN, time: 2 min}", "breaths: 21", [126, 130]),
    ],
)
def test_breaths_are_compared_by_the_time_they_take(
    tmp_path: Path, way: str, change: str, found: list[int]
) -> None:
    """Five breaths of 10 s are more than five of 6 s."""
    routine = BREATHING + f"    {way}\n".replace("PATTERN", "pattern: {in: 5 s, out: 5 s}")
    (exercise,) = made(tmp_path, routine, f"changes: {{Breathe: {{{change}}}}}").routine.exercises
    assert breath_seconds(exercise) == found


def test_a_version_of_slower_breaths_fills_the_time_that_stands(tmp_path: Path) -> None:
    """Week 2 takes 2 min; the harder way of week 3 changes the breath and not the time."""
    routine = (
        BREATHING
        + """\
    harder: {say: Slower., pattern: {in: 5 s, out: 5 s}}
    easier: {say: Quicker., pattern: {in: 2 s, out: 2 s}}
weeks:
  - {from: 2, changes: {Breathe: {time: 2 min}}}
  - {from: 3, changes: {Breathe: {version: harder}}}
  - {from: 4, changes: {Breathe: {version: easier}}}
"""
    )
    for week in (3, 4):
        told = made(tmp_path, routine, "", week=week)
        (exercise,) = told.routine.exercises
        assert isinstance(exercise.dose, BreathingDose)
        assert exercise.dose.breaths.usual * exercise.dose.pattern.breath_ms == 120_000
        assert any("2 min" in one.sentence for one in told.changes)
