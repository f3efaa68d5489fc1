"""A good routine file, every key of it, becomes the model."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from breathmark.problems import InputProblems
from breathmark.routine.model import (
    USUAL_RESTS,
    Accepted,
    BreathingDose,
    BreathPattern,
    Calls,
    ChangeSides,
    ContractRelaxDose,
    Cue,
    Exercise,
    FreeDose,
    HoldDose,
    Kind,
    PauseDose,
    Position,
    RepsDose,
    Rests,
    Routine,
    Side,
    Sides,
    Tempo,
    Variation,
    When,
)
from breathmark.routine.reading import read_routine
from breathmark.units import Ranged

WHOLE = """\
title: Easier on the stairs
length: 18 min 30 s         # with a comment
language: en-GB
voice: clear
about: Knees and hips, for stairs
  and low chairs.
frequency: 5 days a week
equipment: [firm chair, "kitchen counter"]
cautions:
  - Keep somebody close if you feel unsteady.
opening: Put the chair against a wall.
closing:
  - Sit for a while.
  - Drink something.
rests:
  sets: 10 s (5 to 20)
  sides: 12 s
  exercises: 20 s (12 to 45)
first side: right

exercises:
  - name: Counter calf stretch
    kind: hold
    position: standing
    targets: [gastrocnemius]
    sides: each
    change sides: after all sets
    first side: left
    hold: 30 s (20 to 45)
    sets: 2 (1 to 3)
    setup: >
      Face the counter. Slide your {side} foot
      back, and keep the {other side} knee soft.

      Look ahead.
    cues:
      - Heel stays heavy.
      - say: Toes point ahead.
        when: last set
    feel: [a mild pull low in the calf, never a sharp pain]
    easier: Stand closer.
    harder:
      say: [Stand further away., Lean in.]
      hold: 45 s
    breathe: Breathe out as you lean in.
    helper: Stand behind the {side} shoulder.
    involves: [standing, ankle end range]
    instead: towel calf stretch
    optional: yes
    equipment: wall
    picture: calf.png
    rests: {sets: 15 s, before: 30 s (20 to 40), after: 0 s}
    quiet: Yes
alternatives:
  - name: Towel calf stretch
    kind: hold
    hold: 20 s
accept:
  - check: stretch-dose
    because: Two short ones on purpose.
    exercise: counter calf stretch
  - {check: balance-aid, because: The counter is there.}
"""


def _read(folder: Path, text: str) -> Routine:
    path = folder / "routine.yaml"
    path.write_text(text, "utf-8")
    return read_routine(path)


def _exercise(folder: Path, text: str) -> Exercise:
    body = "".join(f"    {line}\n" for line in text.splitlines())
    return _read(folder, f"title: T\nexercises:\n  - name: N\n{body}").exercises[0]


def test_every_key_of_a_routine_is_read(tmp_path: Path) -> None:
    (tmp_path / "calf.png").write_bytes(b"picture")
    routine = _read(tmp_path, WHOLE)
    assert routine == Routine(
        title="Easier on the stairs",
        file=str(tmp_path / "routine.yaml"),
        sha256=hashlib.sha256(WHOLE.encode()).hexdigest(),
        length_ms=1_110_000,
        language="en-GB",
        voice="clear",
        about="Knees and hips, for stairs and low chairs.",
        frequency="5 days a week",
        days_a_week=5,
        equipment=("firm chair", "kitchen counter"),
        cautions=("Keep somebody close if you feel unsteady.",),
        opening=("Put the chair against a wall.",),
        closing=("Sit for a while.", "Drink something."),
        rests=Rests(
            sets_ms=Ranged(low=5_000, usual=10_000, high=20_000),
            sides_ms=Ranged.fixed(12_000),
            before_ms=Ranged(low=12_000, usual=20_000, high=45_000),
            after_ms=USUAL_RESTS.after_ms,
        ),
        first_side=Side.RIGHT,
        exercises=(
            Exercise(
                name="Counter calf stretch",
                kind=Kind.HOLD,
                dose=HoldDose(
                    hold_ms=Ranged(low=20_000, usual=30_000, high=45_000),
                    sets=Ranged(low=1, usual=2, high=3),
                ),
                path="exercises[0]",
                position=Position.STANDING,
                targets=("gastrocnemius",),
                sides=Sides.EACH,
                change_sides=ChangeSides.ALL_SETS,
                first_side=Side.LEFT,
                setup=(
                    "Face the counter. Slide your {side} foot back, and keep the {other side}"
                    " knee soft.",
                    "Look ahead.",
                ),
                cues=(
                    Cue(say="Heel stays heavy."),
                    Cue(say="Toes point ahead.", when=When.LAST_SET),
                ),
                feel=("a mild pull low in the calf", "never a sharp pain"),
                easier=Variation(say=("Stand closer.",)),
                harder=Variation(
                    say=("Stand further away.", "Lean in."),
                    dose=HoldDose(
                        hold_ms=Ranged.fixed(45_000), sets=Ranged(low=1, usual=2, high=3)
                    ),
                    own=("hold",),
                ),
                breathe=("Breathe out as you lean in.",),
                helper=("Stand behind the {side} shoulder.",),
                involves=("standing", "ankle end range"),
                instead="Towel calf stretch",
                optional=True,
                equipment=("wall",),
                picture="calf.png",
                rests=Rests(
                    sets_ms=Ranged.fixed(15_000),
                    before_ms=Ranged(low=20_000, usual=30_000, high=40_000),
                    after_ms=Ranged.fixed(0),
                ),
                quiet=True,
            ),
        ),
        alternatives=(
            Exercise(
                name="Towel calf stretch",
                kind=Kind.HOLD,
                dose=HoldDose(hold_ms=Ranged.fixed(20_000), sets=Ranged.fixed(1)),
                path="alternatives[0]",
            ),
        ),
        accepted=(
            Accepted(
                check="stretch-dose",
                because="Two short ones on purpose.",
                exercise="Counter calf stretch",
            ),
            Accepted(check="balance-aid", because="The counter is there."),
        ),
    )


def test_the_shortest_routine_has_the_usual_settings(tmp_path: Path) -> None:
    text = "title: T\nexercises: {name: N, kind: free, time: 1:30}\n"
    routine = _read(tmp_path, text)
    assert routine.length_ms is None
    assert (routine.language, routine.voice, routine.first_side) == ("en", "calm", Side.LEFT)
    assert routine.rests == USUAL_RESTS
    assert routine.exercises[0].dose == FreeDose(time_ms=Ranged.fixed(90_000))


def test_every_kind_has_its_dose(tmp_path: Path) -> None:
    hold = _exercise(tmp_path, "kind: hold\nhold: 5 s\nsets: 3")
    assert hold.dose == HoldDose(hold_ms=Ranged.fixed(5_000), sets=Ranged.fixed(3))
    reps = _exercise(
        tmp_path,
        "kind: reps\nsides: alternating\nreps: 10 (8 to 12)\nfirst side: right\n"
        "tempo: {out: 2 s, hold: 0.5 s, back: 3 s, pause: 0}\ncalls: {out: Up, back: Down}",
    )
    assert reps.dose == RepsDose(
        reps=Ranged(low=8, usual=10, high=12),
        tempo=Tempo(out_ms=2_000, hold_ms=500, back_ms=3_000, pause_ms=0),
        sets=Ranged.fixed(1),
    )
    assert reps.calls == Calls(out="Up", back="Down")
    free = _exercise(tmp_path, "kind: free\ntime: 2 min (60 to 180 s)\nsides: alternating")
    assert free.dose == FreeDose(time_ms=Ranged(low=60_000, usual=120_000, high=180_000))
    relax = _exercise(
        tmp_path, "kind: Contract-Relax\ncontract: 5 s\nrelax: 3 s\nstretch: 20 s\nsides: left"
    )
    assert relax.dose == ContractRelaxDose(
        contract_ms=Ranged.fixed(5_000),
        relax_ms=Ranged.fixed(3_000),
        stretch_ms=Ranged.fixed(20_000),
        sets=Ranged.fixed(1),
    )
    pause = _exercise(tmp_path, "kind: pause\ntime: 45 s")
    assert pause.dose == PauseDose(time_ms=Ranged.fixed(45_000))


def test_breathing_is_counted_in_breaths_or_in_time(tmp_path: Path) -> None:
    calm = BreathPattern(in_ms=4_000, hold_in_ms=0, out_ms=6_000, hold_out_ms=0)
    counted = _exercise(tmp_path, "kind: breathing\nbreaths: 6 (4 to 8)")
    assert counted.dose == BreathingDose(breaths=Ranged(low=4, usual=6, high=8), pattern=calm)
    timed = _exercise(tmp_path, "kind: breathing\ntime: 1 min (30 s to 2 min)")
    assert timed.dose == BreathingDose(
        breaths=Ranged(low=3, usual=6, high=12), pattern=calm, in_time=True
    )
    own = _exercise(
        tmp_path,
        "kind: breathing\ntime: 48 s\npattern: {in: 4 s, hold in: 1 s, out: 6 s, hold out: 1 s}",
    )
    assert own.dose == BreathingDose(
        breaths=Ranged.fixed(4),
        pattern=BreathPattern(in_ms=4_000, hold_in_ms=1_000, out_ms=6_000, hold_out_ms=1_000),
        in_time=True,
    )


def test_a_breathing_time_that_cuts_a_breath_names_the_nearest_two(tmp_path: Path) -> None:
    with pytest.raises(InputProblems, match="Write 1 min or 1 min 10 s"):
        _exercise(tmp_path, "kind: breathing\ntime: 65 s")


def test_what_yaml_would_turn_into_something_else_stays_as_typed(tmp_path: Path) -> None:
    """YAML 1.1 reads no as false, 1:30 as 90, 012 as ten, on as true, 1_0 as ten."""
    routine = _read(
        tmp_path,
        "title: 012\nlanguage: no\nabout: null\n"
        "opening: [on, off, 1:30, 2024-01-02, 0x1F, 1_0]\n"
        "exercises:\n  - {name: yes, kind: hold, hold: 1:30, sets: 012, optional: no}\n",
    )
    assert (routine.title, routine.language, routine.about) == ("012", "no", "null")
    assert routine.opening == ("on", "off", "1:30", "2024-01-02", "0x1F", "1_0")
    (exercise,) = routine.exercises
    assert (exercise.name, exercise.optional) == ("yes", False)
    assert exercise.dose == HoldDose(hold_ms=Ranged.fixed(90_000), sets=Ranged.fixed(12))


def test_rows_and_folded_texts_begin_a_line_at_a_blank_line(tmp_path: Path) -> None:
    rows = _exercise(
        tmp_path,
        "kind: pause\ntime: 9 s\nsetup: |\n  Walk\n  about.\n\n  Drink.\nfeel: >\n  a\n  b",
    )
    assert rows.setup == ("Walk about.", "Drink.")
    assert rows.feel == ("a b",)


@pytest.mark.parametrize(
    ("text", "days"),
    [
        ("5 days a week", 5),
        ("Daily", 7),
        ("every day", 7),
        ("twice a week", 2),
        ("once a week", 1),
        ("three times per week", 3),
        ("twice a day", 7),
        ("twice a day, 5 days a week", 5),
        ("every other day", None),
        ("3 to 5 days a week", None),
        ("some days a week", None),
        ("before bed", None),
    ],
)
def test_how_often_comes_to_days_where_that_is_clear(
    tmp_path: Path, text: str, days: int | None
) -> None:
    routine = _read(
        tmp_path,
        f"title: T\nfrequency: {text}\nexercises: [{{name: N, kind: free, time: 9 s}}]\n",
    )
    assert (routine.frequency, routine.days_a_week) == (text, days)


def test_places_point_at_every_field(tmp_path: Path) -> None:
    (tmp_path / "calf.png").write_bytes(b"picture")
    routine = _read(tmp_path, WHOLE)
    lines = WHOLE.splitlines()
    for path, start in {
        "title": "Easier on",
        "exercises[0].hold": "30 s (20",
        "exercises[0].cues[1].when": "last set",
        "exercises[0].harder.say[1]": "Lean in.]",
        "exercises[0].rests.before": "30 s (20 to 40)",
        "alternatives[0].name": "Towel",
        "accept[1].because": "The counter",
        "rests.exercises": "20 s (12",
    }.items():
        place = routine.places[path]
        assert lines[place.line - 1][place.column - 1 :].startswith(start)
        assert place.text == lines[place.line - 1]
        assert place.path == path
    assert routine.places["exercises[0].hold"].width == len("30 s (20 to 45)")
    assert routine.place("exercises[0].sides.nothing") == routine.places["exercises[0].sides"]


def test_an_error_says_what_would_be_right(tmp_path: Path) -> None:
    with pytest.raises(InputProblems) as raised:
        _exercise(tmp_path, "kind: reps\nreps: 8\ntempo: {out: 1 s}\nhold: 5 s\npositon: prone")
    shown = str(raised.value)
    assert "`hold` belongs to kind `hold`, not to `reps`" in shown
    assert "Did you mean `position`?" in shown
    assert "    positon: prone\n        ^^^^^^^" in shown
    with pytest.raises(InputProblems, match="With this dose it is `kind: hold`"):
        _exercise(tmp_path, "hold: 30 s")


def test_ten_exercises_are_read(tmp_path: Path) -> None:
    items = "".join(
        WHOLE[WHOLE.index("  - name") : WHOLE.index("alternatives")]
        .replace("Counter calf", f"Calf {n}")
        .replace("    picture: calf.png\n", "")
        for n in range(10)
    )
    text = WHOLE[: WHOLE.index("  - name")] + items + WHOLE[WHOLE.index("alternatives") :]
    text = text.replace("    exercise: counter calf stretch\n", "")
    assert len(_read(tmp_path, text).exercises) == 10


@pytest.mark.parametrize(("key", "how"), [("about", "read"), ("title", "said")])
def test_what_has_no_word_is_refused_for_what_becomes_of_it(
    tmp_path: Path, key: str, how: str
) -> None:
    """`about` is printed and never said."""
    path = tmp_path / "routine.yaml"
    lines = {"title": "Ankles", key: "~"}
    text = "".join(f"{one}: {value}\n" for one, value in lines.items())
    path.write_text(f"{text}exercises:\n  - {{name: Calf, kind: hold, hold: 3 s}}\n", "utf-8")
    with pytest.raises(InputProblems) as raised:
        read_routine(path)
    (problem,) = raised.value.problems
    assert problem.message.endswith(f"can be {how}")
