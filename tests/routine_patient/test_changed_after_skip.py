"""A change that begins when its exercise is left out already is refused; all others stand."""

from __future__ import annotations

from pathlib import Path

import pytest

from breathmark.problems import InputProblems, Problem
from breathmark.routine.patient_reading import read_prescription
from breathmark.routine.reading import read_routine
from breathmark.routine.rules import Rule

ROUTINE = Path(__file__).with_name("routine.yaml").read_text("utf-8")
SKIP = "changes: {Step reach: skip}"


def problems(folder: Path, patient: str, routine: str = "") -> tuple[Problem, ...]:
    """What is wrong with a patient file, for the routine with some lines more."""
    (folder / "routine.yaml").write_text(f"{ROUTINE}{routine}\n", "utf-8")
    path = folder / "patient.yaml"
    path.write_text(f"label: R-204\nroutine: routine.yaml\n{patient}\n", "utf-8")
    try:
        read_prescription(path)
    except InputProblems as found:
        return found.problems
    return ()


def weeks(*blocks: tuple[int, str]) -> str:
    """Blocks of weeks that change the step reach."""
    written = (f"{{from: {week}, changes: {{Step reach: {change}}}}}" for week, change in blocks)
    return f"weeks: [{', '.join(written)}]"


def test_it_says_since_when_where_and_what_to_do(tmp_path: Path) -> None:
    """One problem at the change, however many weeks follow."""
    patient = weeks((3, "skip"), (5, "{time: +10 s}"), (7, "skip"))
    (problem,) = problems(tmp_path, patient)
    assert (problem.rule, problem.place.line) == (Rule.CONTRADICTION, 3)
    assert problem.message == (
        "this has no effect: `Step reach` is left out since week 3"
        f" ({tmp_path / 'patient.yaml'}:3:29)"
    )
    assert problem.remedy == (
        "Take this out, or the `skip` that comes before it: `skip` counts to the end."
    )


def test_what_the_routine_leaves_out_no_later_week_of_the_patient_changes(tmp_path: Path) -> None:
    """The problem stands in the patient file, and names the routine's line."""
    (problem,) = problems(tmp_path, weeks((5, "{time: 2 min}")), weeks((3, "skip")))
    assert problem.place.file == str(tmp_path / "patient.yaml")
    assert f"since week 3 ({tmp_path / 'routine.yaml'}:" in problem.message


def test_a_routines_own_weeks_are_looked_at_without_a_patient(tmp_path: Path) -> None:
    """With the place in the routine."""
    path = tmp_path / "routine.yaml"
    path.write_text(ROUTINE + weeks((3, "skip"), (5, "{time: 2 min}")) + "\n", "utf-8")
    with pytest.raises(InputProblems) as raised:
        read_routine(path)
    assert [one.rule for one in raised.value.problems] == [Rule.CONTRADICTION]


@pytest.mark.parametrize(
    ("patient", "routine"),
    [
        pytest.param(weeks((3, "{time: 2 min}"), (5, "skip")), "", id="changed, then left out"),
        pytest.param(
            f"changes: {{Step reach: {{time: 2 min}}}}\n{weeks((5, 'skip'))}", "",
            id="changed at first, left out later",
        ),
        pytest.param(SKIP, weeks((3, "{time: 2 min}")), id="the routine's change for others"),
        pytest.param(
            "changes: {Step reach: {time: 2 min}}", weeks((3, "skip")),
            id="changed until the routine leaves it out",
        ),
        pytest.param(f"{SKIP}\n{weeks((3, 'skip'))}", "", id="left out twice"),
    ],
)  # fmt: skip
def test_a_change_that_had_an_effect_or_is_for_others_stands(
    tmp_path: Path, patient: str, routine: str
) -> None:
    """Nothing is wrong with it."""
    assert problems(tmp_path, patient, routine) == ()
