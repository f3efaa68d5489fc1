"""What holds for every routine, whatever a patient must avoid."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from breathmark.problems import InputProblems
from breathmark.routine.model import (
    Exercise,
    ExerciseChange,
    FreeDose,
    Kind,
    Position,
    Routine,
    Variation,
    Version,
    Week,
)
from breathmark.routine.patient import Patient
from breathmark.routine.tailoring import ChangeKind, Tailored, for_week
from breathmark.units import Ranged

TAGS = ("standing", "sitting", "kneeling", "narrow stance", "gripping", "spinal rotation")
WRITTEN = ("Ankle turns", "Bridge", "Cradle", "Dip", "Elbow bend")
SHARED = ("Foot slide", "Grip", "Hip swing", "Inner reach")
POSITIONS = {
    Position.STANDING: "standing",
    Position.SEATED: "sitting",
    Position.KNEELING: "kneeling",
    Position.SUPINE: "lying on the back",
}

tags = st.lists(st.sampled_from(TAGS), max_size=2, unique=True).map(tuple)


@st.composite
def exercises(draw: st.DrawFn, name: str, path: str, others: tuple[str, ...]) -> Exercise:
    """An exercise with random tags, ways, position and replacement, which may be nowhere."""
    ways = st.none() | st.builds(Variation, say=st.just(("Do it.",)), involves=tags)
    return Exercise(
        name=name,
        kind=Kind.FREE,
        dose=FreeDose(time_ms=Ranged.fixed(60_000)),
        path=path,
        position=draw(st.none() | st.sampled_from(list(POSITIONS))),
        involves=draw(tags),
        instead=draw(st.none() | st.sampled_from([one for one in others if one != name])),
        easier=draw(ways),
        harder=draw(ways),
        optional=draw(st.booleans()),
    )


@st.composite
def routines(draw: st.DrawFn) -> Routine:
    """A routine with alternatives; in a later week one exercise is done another way."""
    names = WRITTEN[: draw(st.integers(1, len(WRITTEN)))]
    shared = SHARED[: draw(st.integers(0, len(SHARED)))]
    everyone = (*names, *shared, "Nowhere")
    written = tuple(
        draw(exercises(name, f"exercises[{n}]", everyone)) for n, name in enumerate(names)
    )
    weeks: tuple[Week, ...] = ()
    versions = [v for v in Version if getattr(written[0], v) is not None]
    if versions:
        change = ExerciseChange(
            exercise=names[0], path="weeks[0]", version=draw(st.sampled_from(versions))
        )
        weeks = (Week(from_week=2, path="weeks[0]", changes=(change,)),)
    return Routine(
        title="Invented routine",
        file="invented.yaml",
        sha256="",
        exercises=written,
        alternatives=tuple(
            draw(exercises(name, f"alternatives[{n}]", everyone)) for n, name in enumerate(shared)
        ),
        weeks=weeks,
    )


@st.composite
def patients(draw: st.DrawFn, routine: Routine) -> Patient:
    """Somebody who must avoid up to three things and skips some of the exercises."""
    names = [one.name for one in (*routine.exercises, *routine.alternatives)]
    skips = draw(st.lists(st.sampled_from(names), max_size=2, unique=True))
    return Patient(
        label="R-204",
        file="patient.yaml",
        sha256="",
        avoid=draw(st.lists(st.sampled_from(TAGS), min_size=1, max_size=3, unique=True).map(tuple)),
        changes=tuple(ExerciseChange(exercise=name, path="changes", skip=True) for name in skips),
    )


def involves(exercise: Exercise) -> set[str]:
    """What an exercise involves, worked out here on its own, its ways included."""
    found = set(exercise.involves)
    for way in (exercise.easier, exercise.harder):
        found |= set(way.involves) if way else set()
    if exercise.position:
        found.add(POSITIONS[exercise.position])
    if "narrow stance" in found:
        found.add("standing")
    return found


def without_ways(exercise: Exercise) -> set[str]:
    """What an exercise involves in its usual way."""
    found = set(exercise.involves)
    if exercise.position:
        found.add(POSITIONS[exercise.position])
    return found | ({"standing"} if "narrow stance" in found else set())


def chain(routine: Routine, exercise: Exercise) -> Iterator[Exercise]:
    """An exercise and everything that `instead` leads to, each once."""
    pool = {one.name: one for one in (*routine.exercises, *routine.alternatives)}
    seen: set[str] = set()
    at: Exercise | None = exercise
    while at is not None and at.name not in seen:
        seen.add(at.name)
        yield at
        at = pool.get(at.instead) if at.instead else None


def stand_in(routine: Routine, patient: Patient, exercise: Exercise) -> str | None:
    """The name of who does what an exercise was for, found here on its own."""
    skipped = {one.exercise for one in patient.changes}
    able = (
        one.name
        for one in chain(routine, exercise)
        if one.name not in skipped and not without_ways(one) & set(patient.avoid)
    )
    return next(able, None)


OUTCOMES: Counter[str] = Counter()


@settings(max_examples=600, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data(), week=st.sampled_from([1, 2]))
def check(data: st.DataObject, week: int) -> None:
    """One random routine and patient."""
    routine = data.draw(routines())
    patient = data.draw(patients(routine))
    skipped = {one.exercise for one in patient.changes}
    wanted = [
        stand_in(routine, patient, one) for one in routine.exercises if one.name not in skipped
    ]
    try:
        made = for_week(routine, patient, week)
    except InputProblems:
        OUTCOMES["refused"] += 1
        assert None in wanted or not wanted, "refused although everyone has a stand-in"
        return
    assert None not in wanted
    OUTCOMES["replaced"] += any(c.kind is ChangeKind.REPLACED for c in made.changes)
    OUTCOMES["left out"] += any(c.kind is ChangeKind.LEFT_OUT for c in made.changes)
    OUTCOMES["kept"] += 1
    nothing_avoided_is_left(made, patient)
    nobody_is_lost(routine, made, set(wanted), skipped)
    assert for_week(routine, patient, week) == made


def nothing_avoided_is_left(made: Tailored, patient: Patient) -> None:
    for exercise in (*made.routine.exercises, *made.routine.alternatives):
        assert not involves(exercise) & set(patient.avoid), exercise
    skipped = {one.exercise for one in patient.changes}
    assert not skipped & {one.name for one in made.routine.exercises}


def nobody_is_lost(
    routine: Routine, made: Tailored, wanted: set[str | None], skipped: set[str]
) -> None:
    """Each stand-in is there once, and whoever is not there any more is said to be gone."""
    names = [one.name for one in made.routine.exercises]
    assert sorted(names) == sorted(str(name) for name in wanted)
    gone = {one.name for one in routine.exercises} - set(names)
    said = {
        change.exercise
        for change in made.changes
        if change.kind in (ChangeKind.SKIPPED, ChangeKind.REPLACED, ChangeKind.LEFT_OUT)
    }
    assert gone <= said
    assert gone <= {one.name for one in made.routine.dropped}
    assert skipped & {one.name for one in routine.exercises} <= said


def test_nothing_avoided_is_ever_in_the_session_and_nothing_is_silently_lost() -> None:
    """600 random routines; among them are enough of every outcome for this to mean something."""
    OUTCOMES.clear()
    check()
    assert min(OUTCOMES[name] for name in ("refused", "kept", "replaced", "left out")) >= 20, (
        OUTCOMES
    )


def test_the_oracle_above_sees_an_avoided_exercise() -> None:
    """A session that holds something avoided would fail."""
    exercise = Exercise(
        name="Bridge",
        kind=Kind.FREE,
        dose=FreeDose(time_ms=Ranged.fixed(60_000)),
        path="exercises[0]",
        harder=Variation(say=("Do it.",), involves=("narrow stance",)),
    )
    routine = Routine(title="T", file="f", sha256="", exercises=(exercise,))
    patient = Patient(label="R-204", file="p", sha256="", avoid=("standing",))
    with pytest.raises(AssertionError):
        nothing_avoided_is_left(Tailored(routine=routine), patient)
