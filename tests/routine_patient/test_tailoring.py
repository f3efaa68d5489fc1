"""A routine for one patient in one week, and what is said of every change."""

from __future__ import annotations

from pathlib import Path

import pytest

from breathmark.problems import InputProblems, Problem
from breathmark.routine.listening import Background, Hearing
from breathmark.routine.model import (
    BreathingDose,
    ChangeSides,
    Coaching,
    Exercise,
    FreeDose,
    HoldDose,
    RepsDose,
    Side,
    Sides,
    Tempo,
)
from breathmark.routine.patient_reading import is_patient_file, read_prescription
from breathmark.routine.rules import Rule
from breathmark.routine.tailoring import ChangeKind, Tailored, for_week, tailored, week_starts
from breathmark.units import Ranged

ROUTINE = Path(__file__).with_name("routine.yaml").read_text("utf-8")
CALF = "Standing calf stretch"


def _made(folder: Path, patient: str, routine: str = ROUTINE, week: int = 1) -> Tailored:
    """The routine tailored for a patient file of a few lines."""
    (folder / "routine.yaml").write_text(routine, "utf-8")
    path = folder / "patient.yaml"
    path.write_text(f"label: R-204\nroutine: routine.yaml\n{patient}\n", "utf-8")
    both = read_prescription(path)
    return for_week(both.routine, both.patient, week)


def _refused(folder: Path, patient: str, routine: str = ROUTINE, week: int = 1) -> Problem:
    with pytest.raises(InputProblems) as raised:
        _made(folder, patient, routine, week)
    (problem,) = raised.value.problems
    return problem


def _said(made: Tailored) -> list[str]:
    return [change.sentence for change in made.changes]


def _one(made: Tailored, name: str) -> Exercise:
    (found,) = (one for one in made.routine.exercises if one.name == name)
    return found


def test_a_patient_file_that_asks_for_nothing_changes_nothing(tmp_path: Path) -> None:
    made = _made(tmp_path, "")
    both = read_prescription(tmp_path / "patient.yaml")
    assert made == Tailored(routine=both.routine)
    assert made.routine.places == both.routine.places


def test_every_key_of_the_patient_file(tmp_path: Path) -> None:
    patient = """\
greeting: Good morning.
length: 10 min
voice: clear
hearing: Hard of  Hearing
background: none
sides: {first: right}
avoid: [kneeling, Wet  Floor]
cautions: Keep your glasses on.
changes:
  Seated knee lift: skip
coaching: light
helper: yes
accept:
  - {check: one-sided, because: Only the right side was injured., exercise: step REACH}
weeks: [{from: 3, coaching: full}]
tags: {loud music: It may be loud.}"""
    (tmp_path / "routine.yaml").write_text(ROUTINE, "utf-8")
    path = tmp_path / "patient.yaml"
    path.write_text(f"label: R-204\nroutine: routine.yaml\n{patient}\n", "utf-8")
    both = read_prescription(path)
    read = both.patient
    assert (read.label, read.file) == ("R-204", str(path))
    assert len(read.sha256) == 64
    assert read.routine == tmp_path / "routine.yaml"
    assert read.greeting == "Good morning."
    assert read.length_ms == 600_000
    assert read.voice == "clear"
    assert (read.hearing, read.background) == (Hearing.HARD_OF_HEARING, Background.NONE)
    assert (read.first_side, read.only_side, read.extra_set) == (Side.RIGHT, None, None)
    assert read.avoid == ("kneeling", "wet floor")
    assert read.cautions == ("Keep your glasses on.",)
    assert [(one.exercise, one.skip) for one in read.changes] == [("Seated knee lift", True)]
    assert read.coaching is Coaching.LIGHT
    assert read.helper
    assert read.accepted[0].exercise == "Step reach"
    assert [(one.from_week, one.coaching) for one in read.weeks] == [(3, Coaching.FULL)]
    assert read.tags == (("loud music", "It may be loud."),)
    assert read.place("avoid[1]").shown() == f"{path}:9:19"


@pytest.mark.parametrize(
    "label", ["R-204", "r204", "7", "A.B-12", "knee", "KNEE-7", "old-knee-3", "ABC", "RTK-7"]
)
def test_labels_that_are_codes_are_taken(tmp_path: Path, label: str) -> None:
    (tmp_path / "routine.yaml").write_text(ROUTINE, "utf-8")
    path = tmp_path / "patient.yaml"
    path.write_text(f"label: {label}\nroutine: routine.yaml\n", "utf-8")
    assert read_prescription(path).patient.label == label


@pytest.mark.parametrize(
    "label", ["NAME", "Name", "SURNAME-J", "J.SURNAME", "GIVEN-NAMES-1950", "Given-Names-1950"]
)
def test_a_name_is_one_in_capitals_too(tmp_path: Path, label: str) -> None:
    """It would stand in the names of folders however it is written."""
    (tmp_path / "routine.yaml").write_text(ROUTINE, "utf-8")
    path = tmp_path / "patient.yaml"
    path.write_text(f"label: {label}\nroutine: routine.yaml\n", "utf-8")
    with pytest.raises(InputProblems, match="looks like a name"):
        read_prescription(path)


def test_a_patient_file_is_told_from_a_routine(tmp_path: Path) -> None:
    routine, patient, other = (tmp_path / name for name in ("a.yaml", "b.yaml", "c.yaml"))
    routine.write_text(ROUTINE, "utf-8")
    patient.write_text("label: R-204\n", "utf-8")
    other.write_text("- [", "utf-8")
    assert [is_patient_file(path) for path in (routine, patient, other)] == [False, True, False]
    assert not is_patient_file(tmp_path / "gone.yaml")


def test_what_is_said_of_the_whole_session(tmp_path: Path) -> None:
    patient = """\
length: 10 min
voice: clear
sides: {first: right}
cautions: Keep your glasses on.
coaching: light
hearing: older
background: none"""
    made = _made(tmp_path, patient)
    assert made.routine.length_ms == 600_000
    assert made.routine.voice == "clear"
    assert made.routine.first_side is Side.RIGHT
    assert made.routine.cautions == ("Keep your glasses on.",)
    assert made.coaching is Coaching.LIGHT
    assert _said(made) == [
        "The session lasts 10 min instead of 12 min, as the patient file asks.",
        "The right side comes first, unless an exercise says otherwise, as the patient file asks.",
        "The voice is `clear` instead of `calm`, as the patient file asks.",
        "The recording is made for hearing that is `older`, as the patient file asks.",
        "The background is `none`, as the patient file asks.",
        "A caution more, as the patient file asks: “Keep your glasses on.”.",
        "Coaching is light, as the patient file asks.",
    ]
    lines = {"length": 3, "voice": 4, "first side": 5, "cautions[0]": 6, "hearing": 8}
    for path, line in lines.items():
        assert made.routine.place(path).shown().startswith(f"{tmp_path / 'patient.yaml'}:{line}:")


def test_an_exercise_that_says_its_first_side_keeps_it(tmp_path: Path) -> None:
    routine = ROUTINE.replace("    sides: each\n", "    sides: each\n    first side: left\n", 1)
    made = _made(tmp_path, "sides: {first: right}", routine)
    assert _one(made, CALF).first_side is Side.LEFT
    assert made.routine.first_side is Side.RIGHT


def test_skip_leaves_an_exercise_out_and_says_so(tmp_path: Path) -> None:
    made = _made(tmp_path, "changes: {standing CALF stretch: skip}")
    assert [one.name for one in made.routine.exercises] == [
        "Seated knee lift", "Step reach", "Slow breathing"
    ]  # fmt: skip
    assert [one.name for one in made.routine.dropped] == [CALF]
    assert _said(made) == [f"{CALF}: left out, as the patient file asks."]


def test_an_exercise_to_avoid_is_replaced_in_its_place(tmp_path: Path) -> None:
    made = _made(tmp_path, "avoid: ankle end range")
    assert made.routine.exercises[0].name == "Seated calf stretch"
    assert made.routine.alternatives == ()
    assert made.routine.equipment == ("towel",)
    assert _said(made) == [
        f"{CALF}: replaced by Seated calf stretch, because it involves ankle end range.",
        "Seated calf stretch: needs towel at hand, beside what the routine lists.",
    ]
    assert made.changes[0].kind is ChangeKind.REPLACED
    assert made.changes[0].place.shown() == f"{tmp_path / 'patient.yaml'}:3:8"


def test_a_replacement_that_is_in_the_session_is_not_done_twice(tmp_path: Path) -> None:
    routine = ROUTINE.replace(
        "    sides: alternating\n", "    sides: alternating\n    optional: yes\n"
    )
    made = _made(tmp_path, "avoid: [wet floor]", routine)
    assert [one.name for one in made.routine.exercises] == [
        CALF, "Seated knee lift", "Slow breathing"
    ]  # fmt: skip
    assert _said(made) == [
        "Step reach: left out, because it involves wet floor, and Seated knee lift, which would"
        " replace it, is in the session already."
    ]
    assert not _one(made, "Seated knee lift").optional, "it stands for one that is not optional"


def test_changes_of_an_exercise_that_is_replaced_are_said_to_be_lost(tmp_path: Path) -> None:
    patient = f"avoid: [ankle end range]\nchanges: {{{CALF}: {{hold: 20 s, version: easier}}}}"
    made = _made(tmp_path, patient)
    assert made.changes[1].kind is ChangeKind.NOT_APPLIED
    assert made.changes[1].sentence == (
        f"{CALF}: what the patient file changes at it is not applied, because it is not in the"
        " session."
    )


def test_changes_of_a_replacement_are_applied(tmp_path: Path) -> None:
    patient = "avoid: [ankle end range]\nchanges: {Seated calf stretch: {hold: +10 s}}"
    made = _made(tmp_path, patient)
    dose = _one(made, "Seated calf stretch").dose
    assert isinstance(dose, HoldDose)
    assert dose.hold_ms == Ranged.fixed(30_000)


def test_without_a_replacement_the_build_stops_in_the_routines_file(tmp_path: Path) -> None:
    problem = _refused(tmp_path, "avoid: [kneeling, paced breathing]")
    assert problem.rule is Rule.AVOIDED
    assert problem.place.shown() == f"{tmp_path / 'routine.yaml'}:34:15"
    assert problem.message == (
        "`Slow breathing` cannot be in the session: it involves paced breathing, which is"
        f" avoided at {tmp_path / 'patient.yaml'}:3:19. Slow breathing has no `instead`"
    )
    assert "`Slow breathing: skip` under `changes`" in problem.remedy


def test_a_dead_end_tells_what_was_tried(tmp_path: Path) -> None:
    patient = """\
avoid: [standing, sitting]
changes: {Seated knee lift: skip, Step reach: skip, Slow breathing: skip}"""
    problem = _refused(tmp_path, patient)
    assert problem.message.endswith(
        "Seated calf stretch was tried: it involves sitting. Seated calf stretch has no `instead`"
    )


def test_a_dead_end_names_a_shared_exercise_that_would_do(tmp_path: Path) -> None:
    """For the same target; the starter library has one that is done sitting."""
    routine = ROUTINE.replace("    instead: Seated calf stretch\n", "")
    problem = _refused(tmp_path, "avoid: [standing]\nchanges: {Step reach: skip}", routine)
    assert problem.remedy == (
        f"Write an `instead` at {CALF} (`Seated calf stretch with a towel` of the starter library"
        f" would do), or `{CALF}: skip` under `changes` in the patient file."
    )


@pytest.mark.parametrize(
    ("dose", "named"),
    [("reps, reps: 10, tempo: {out: 2 s}", "Bridge"), ("hold, hold: 9 s", "Figure-four stretch")],
)
def test_no_stretch_is_offered_for_strengthening_nor_the_other_way(
    tmp_path: Path, dose: str, named: str
) -> None:
    """A stretch that shared the target "would do" for bird dogs; remedies are followed in haste."""
    exercise = f"{{name: N, kind: {dose}, targets: [gluteus maximus], involves: [kneeling]}}"
    routine = f"title: T\nexercises:\n  - {exercise}\n"
    problem = _refused(tmp_path, "avoid: [kneeling]", routine)
    assert f"(`{named}` of the starter library would do)" in problem.remedy
    routine += "".join(f"  - use: {name}\n" for name in (named, "Seated glute squeeze"))
    remedy = _refused(tmp_path, "avoid: [kneeling]", routine).remedy
    assert ("stretch" in remedy or "knee to chest" in remedy) == ("stretch" in named)


def test_a_loop_of_replacements_is_noticed(tmp_path: Path) -> None:
    routine = ROUTINE + "    instead: Standing calf stretch\n"
    patient = "avoid: [standing, sitting]\nchanges: {Seated knee lift: skip, Slow breathing: skip}"
    with pytest.raises(InputProblems) as raised:
        _made(tmp_path, patient, routine)
    first, second = raised.value.problems
    assert "Seated calf stretch leads back to `Standing calf stretch`" in first.message
    assert "Seated knee lift was tried: it involves sitting." in second.message


def test_a_position_involves_what_it_is_written_or_not(tmp_path: Path) -> None:
    routine = ROUTINE.replace("    involves: [sitting]\n", "", 1)
    problem = _refused(tmp_path, "avoid: [sitting]\nchanges: {Slow breathing: skip}", routine)
    assert problem.message.startswith("`Seated knee lift` cannot be in the session")


def test_an_exercise_that_does_not_say_what_it_involves_is_named(tmp_path: Path) -> None:
    routine = ROUTINE.replace("    involves: [sitting, paced breathing]\n", "")
    made = _made(tmp_path, "avoid: [kneeling, gripping]", routine)
    assert _said(made) == [
        "Slow breathing: kept, but it does not say what it involves, so nothing tells whether it"
        " involves kneeling and gripping."
    ]
    assert made.changes[0].kind is ChangeKind.NOT_KNOWN


def test_a_version_is_set_up_dosed_and_not_offered_any_more(tmp_path: Path) -> None:
    made = _made(tmp_path, f"changes: {{{CALF}: {{version: harder}}}}")
    calf = _one(made, CALF)
    assert calf.setup == ("Slide your {side} foot straight back.", "Take a longer step back.")
    assert isinstance(calf.dose, HoldDose)
    assert calf.dose.hold_ms == Ranged.fixed(45_000)
    assert calf.harder is None
    assert calf.easier is not None
    assert _said(made) == [
        f"{CALF}: the harder way, “Take a longer step back.”, as the patient file asks.",
        f"{CALF}: hold 45 s instead of 30 s (20 s to 45 s), as the patient file asks.",
    ]


def test_an_amount_beside_a_version_has_the_last_word(tmp_path: Path) -> None:
    made = _made(tmp_path, f"changes: {{{CALF}: {{version: harder, hold: 40 s (30 to 50)}}}}")
    dose = _one(made, CALF).dose
    assert isinstance(dose, HoldDose)
    assert dose.hold_ms == Ranged(low=30_000, usual=40_000, high=50_000)


def test_a_version_that_involves_something_to_avoid_is_refused(tmp_path: Path) -> None:
    routine = ROUTINE.replace("hold: 45 s}", "hold: 45 s, involves: narrow stance}")
    patient = f"avoid: [narrow stance]\nchanges: {{{CALF}: {{version: harder}}}}"
    problem = _refused(tmp_path, patient, routine)
    assert problem.rule is Rule.AVOIDED
    assert problem.place.shown() == f"{tmp_path / 'patient.yaml'}:4:44"


def test_an_offer_that_involves_something_to_avoid_is_dropped(tmp_path: Path) -> None:
    routine = ROUTINE.replace("hold: 45 s}", "hold: 45 s, involves: narrow stance}")
    made = _made(tmp_path, "avoid: [narrow stance]", routine)
    assert _one(made, CALF).harder is None
    assert _said(made) == [
        f"{CALF}: the harder way is not offered, because it involves narrow stance."
    ]


@pytest.mark.parametrize(
    ("name", "change", "dose"),
    [
        (
            CALF,
            "hold: 20 s",
            HoldDose(hold_ms=Ranged.fixed(20_000), sets=Ranged(low=1, usual=2, high=3)),
        ),
        (
            CALF,
            "sets: -1",
            HoldDose(
                hold_ms=Ranged(low=20_000, usual=30_000, high=45_000),
                sets=Ranged(low=1, usual=1, high=2),
            ),
        ),
        (
            "Seated knee lift",
            "reps: +4, tempo: {out: 3 s}",
            RepsDose(
                reps=Ranged(low=10, usual=14, high=18),
                tempo=Tempo(out_ms=3_000, hold_ms=0, back_ms=0, pause_ms=0),
                sets=Ranged.fixed(1),
            ),
        ),
        (
            "Step reach",
            "time: 90 s (60 to 120)",
            FreeDose(time_ms=Ranged(low=60_000, usual=90_000, high=120_000)),
        ),
    ],
    ids=["fixed", "step", "tempo", "range"],
)
def test_doses_change_within_what_the_file_says(
    tmp_path: Path, name: str, change: str, dose: object
) -> None:
    """An amount without a range is fixed; a step moves the range along, inside the limits."""
    made = _made(tmp_path, f"changes: {{{name}: {{{change}}}}}")
    assert _one(made, name).dose == dose
    key = change.partition(":")[0]
    place = made.routine.place(f"{_one(made, name).path}.{key}")
    assert place.shown().startswith(f"{tmp_path / 'patient.yaml'}:3:")


@pytest.mark.parametrize(
    ("change", "breaths", "in_time"),
    [
        ("breaths: 8", 8, False),
        ("time: +20 s", 8, True),
        ("pattern: {in: 4 s, out: 8 s}", 5, True),
        ("time: 88 s, pattern: {in: 4 s, out: 7 s}", 8, True),
        ("breaths: +1, pattern: {in: 3 s, out: 4 s}", 7, False),
    ],
)
def test_breathing_keeps_whole_breaths(
    tmp_path: Path, change: str, breaths: int, in_time: bool
) -> None:
    made = _made(tmp_path, f"changes: {{Slow breathing: {{{change}}}}}")
    dose = _one(made, "Slow breathing").dose
    assert isinstance(dose, BreathingDose)
    assert (dose.breaths, dose.in_time) == (Ranged.fixed(breaths), in_time)


def test_rests_of_an_exercise_change(tmp_path: Path) -> None:
    made = _made(
        tmp_path, f"changes: {{{CALF}: {{rests: {{sets: 20 s (10 to 30), before: 40 s}}}}}}"
    )
    rests = _one(made, CALF).rests
    assert rests.sets_ms == Ranged(low=10_000, usual=20_000, high=30_000)
    assert rests.before_ms == Ranged.fixed(40_000)
    assert _said(made)[0] == (
        f"{CALF}: rest between sets 20 s (10 s to 30 s) instead of the routine's,"
        " as the patient file asks."
    )
    assert made.routine.place("exercises[0].rests.before").shown().endswith("patient.yaml:3:74")


def test_one_side_only(tmp_path: Path) -> None:
    patient = "sides: {only: left}\nchanges: {Step reach: skip}"
    made = _made(tmp_path, patient)
    assert [one.sides for one in made.routine.exercises] == [Sides.LEFT, Sides.LEFT, Sides.BOTH]
    dose = _one(made, "Seated knee lift").dose
    assert isinstance(dose, RepsDose)
    assert dose.reps == Ranged(low=3, usual=5, high=7), "the side keeps the dose that it had"
    assert _said(made)[1:] == [
        f"{CALF}: only on the left side, as the patient file asks.",
        "Seated knee lift: only on the left side, 5 repetitions, half of those by turns,"
        " as the patient file asks.",
    ]


def test_an_exercise_for_the_other_side_only_is_refused(tmp_path: Path) -> None:
    problem = _refused(tmp_path, "sides: {only: left}")
    assert problem.rule is Rule.WRONG_SIDE
    assert problem.place.shown() == f"{tmp_path / 'patient.yaml'}:3:15"
    assert "`Step reach: skip`" in problem.remedy


def test_a_set_more_on_one_side(tmp_path: Path) -> None:
    made = _made(tmp_path, "sides: {extra set: right}")
    assert [one.extra_set for one in made.routine.exercises] == [Side.RIGHT, None, None, None]
    assert _one(made, CALF).change_sides is ChangeSides.EVERY_SET
    assert _said(made) == [f"{CALF}: one set more on the right side, as the patient file asks."]
    (change,) = made.changes
    assert (change.before, change.after) == ("no extra set", "one set more")  # fitting moves sets


def test_something_must_be_left(tmp_path: Path) -> None:
    patient = (
        f"changes: {{{CALF}: skip, Seated knee lift: skip, Step reach: skip, Slow breathing: skip}}"
    )
    problem = _refused(tmp_path, patient)
    assert problem.rule is Rule.CONTRADICTION
    assert "nothing is left" in problem.message


def test_no_patient_is_the_routine_itself(tmp_path: Path) -> None:
    _made(tmp_path, "")
    routine = read_prescription(tmp_path / "patient.yaml").routine
    assert tailored(routine, None) == Tailored(routine=routine)


WEEKS = """\
weeks:
  - from: 2
    changes: {Standing calf stretch: {hold: +5 s}, Seated knee lift: {reps: 12}}
  - from: 4
    length: 14 min
    coaching: light
    changes: {Standing calf stretch: {sets: +1, version: harder}}
"""


def test_weeks_add_up(tmp_path: Path) -> None:
    """By hand: 30 s and 2 sets; from week 2 35 s; from week 4 the harder way's 45 s, 3 sets."""
    _made(tmp_path, "", ROUTINE + WEEKS)
    routine = read_prescription(tmp_path / "patient.yaml").routine
    assert week_starts(routine, None) == (1, 2, 4)
    found = []
    for week in (1, 2, 3, 4, 9):
        made = for_week(routine, None, week)
        dose = _one(made, CALF).dose
        assert isinstance(dose, HoldDose)
        found.append((dose.hold_ms.usual, dose.sets.usual, made.routine.length_ms, made.coaching))
    assert found == [
        (30_000, 2, 720_000, None),
        (35_000, 2, 720_000, None),
        (35_000, 2, 720_000, None),
        (45_000, 3, 840_000, Coaching.LIGHT),
        (45_000, 3, 840_000, Coaching.LIGHT),
    ]
    assert "reps: " not in " ".join(_said(for_week(routine, None, 1)))
    assert _said(for_week(routine, None, 2)) == [
        f"{CALF}: hold 35 s (25 s to 50 s) instead of 30 s (20 s to 45 s),"
        " as week 2 of the routine asks.",
        "Seated knee lift: 12 repetitions instead of 10 repetitions (6 to 14),"
        " as week 2 of the routine asks.",
    ]


def test_the_patients_file_has_the_last_word_in_every_week(tmp_path: Path) -> None:
    patient = f"""\
length: 10 min
changes: {{{CALF}: {{hold: 20 s, version: easier}}}}
weeks:
  - from: 3
    length: 11 min
    changes: {{{CALF}: {{hold: +5 s}}}}"""
    found = []
    for week in (1, 2, 3, 4):
        made = _made(tmp_path, patient, ROUTINE + WEEKS, week)
        calf = _one(made, CALF)
        assert isinstance(calf.dose, HoldDose)
        assert calf.setup[-1] == "Take a shorter step back."
        found.append((calf.dose.hold_ms.usual, calf.dose.sets.usual, made.routine.length_ms))
    assert found == [
        (20_000, 2, 600_000), (20_000, 2, 600_000), (25_000, 2, 660_000), (25_000, 3, 660_000)
    ]  # fmt: skip


def test_another_version_takes_back_what_the_one_before_brought(tmp_path: Path) -> None:
    """Harder from week 4 brings 45 s; the patient's easier way leaves the usual 30 s."""
    made = _made(tmp_path, f"changes: {{{CALF}: {{version: easier}}}}", ROUTINE + WEEKS, 4)
    dose = _one(made, CALF).dose
    assert isinstance(dose, HoldDose)
    assert (dose.hold_ms.usual, dose.sets.usual) == (30_000, 3)


def test_a_harder_week_of_the_routine_stays_out_of_a_patients_way(tmp_path: Path) -> None:
    routine = (ROUTINE + WEEKS).replace("hold: 45 s}", "hold: 45 s, involves: narrow stance}")
    made = _made(tmp_path, "avoid: [narrow stance]", routine, 4)
    assert _one(made, CALF).harder is None
    assert "Take a longer step back." not in _one(made, CALF).setup
    assert (
        f"{CALF}: not the harder way that week 4 of the routine asks for, because it involves"
        " narrow stance." in _said(made)
    )


def test_a_later_week_can_leave_an_exercise_out(tmp_path: Path) -> None:
    patient = "weeks: [{from: 5, changes: {Step reach: skip}}]"
    assert len(_made(tmp_path, patient, week=4).routine.exercises) == 4
    made = _made(tmp_path, patient, week=5)
    assert len(made.routine.exercises) == 3
    assert _said(made) == ["Step reach: left out, as week 5 of the patient file asks."]


def test_a_dead_end_suggests_nothing_harder(tmp_path: Path) -> None:
    """Who must avoid a narrow stance is not sent onto one leg."""
    stance = """\
title: Steady
exercises:
  - name: Semi-tandem stance
    kind: hold
    position: standing
    targets: [standing balance]
    hold: 20 s
    involves: [standing, narrow stance]
  - {name: Slow breathing, kind: breathing, breaths: 3}
"""
    problem = _refused(tmp_path, "avoid: [narrow stance]", stance)
    assert "Single leg stance" not in problem.remedy


def test_a_lower_pain_limit_is_said(tmp_path: Path) -> None:
    """What a patient may feel is part of what is prescribed: it stands among the changes."""
    limited = ROUTINE.replace("length: 12 min", "length: 12 min\npain limit: 4")
    assert _said(_made(tmp_path, "pain limit: 1", limited)) == [
        "Pain up to 1 of 10 instead of pain up to 4 of 10, as the patient file asks."
    ]
    assert _said(_made(tmp_path, "pain limit: 0", limited)) == [
        "No pain instead of pain up to 4 of 10, as the patient file asks."
    ]
    assert not _said(_made(tmp_path, "pain limit: 4", limited))


def test_an_offered_way_goes_along_with_the_dose(tmp_path: Path) -> None:
    """With fewer sets the harder way has fewer, too, and keeps the hold that is its own."""
    made = _one(_made(tmp_path, f"changes: {{{CALF}: {{sets: 1, hold: 20 s}}}}"), CALF)
    assert made.harder is not None
    assert isinstance(made.harder.dose, HoldDose)
    assert made.harder.dose.sets.usual == 1
    assert made.harder.dose.hold_ms.usual == 45_000


def test_an_extra_set_that_nobody_gets_is_told(tmp_path: Path) -> None:
    made = _made(tmp_path, f"sides: {{extra set: left}}\nchanges: {{{CALF}: skip}}")
    (told,) = [one for one in made.changes if one.kind is ChangeKind.NOT_APPLIED]
    assert told.sentence.startswith("No extra set on the left side")
    assert (told.place.line, told.place.column) == (3, 20)


def test_a_step_without_a_unit_is_mended_as_a_step(tmp_path: Path) -> None:
    """`+10` means ten seconds more; the remedy must not make a hold of ten seconds of it."""
    problem = _refused(tmp_path, f"changes: {{{CALF}: {{hold: +10}}}}")
    assert problem.remedy == "Write `+10 s` or `+10 min`."


@pytest.mark.parametrize("line", ["greeting: \U0001f600", "cautions: [Keep calm., …]"])
def test_a_line_without_a_sound_is_refused_where_it_stands(tmp_path: Path, line: str) -> None:
    problem = _refused(tmp_path, line)
    assert (problem.rule, problem.place.line) == (Rule.NOTHING_SAID, 3)
