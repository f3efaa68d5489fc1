"""German, Spanish and French where a file has English words: the remedy says what to write."""

from __future__ import annotations

from pathlib import Path

import pytest

from breathmark.problems import InputProblems
from breathmark.routine import everyday_abroad as abroad
from breathmark.routine.doses import ALL_DOSE_KEYS
from breathmark.routine.exercise import EXERCISE_KEYS
from breathmark.routine.model import Kind, Position, Sides
from breathmark.routine.patient_reading import PATIENT_KEYS
from breathmark.routine.reading import ROUTINE_KEYS, read_routine
from tests.routine.test_remedies import remedies

HOLD = "name: N, kind: hold, hold: 30 s"


@pytest.mark.parametrize(
    ("written", "offered"),
    [
        ("seite: x", "sides"), ("sätze: 2", "sets"), ("posición: x", "position"),
        ("lado: x", "sides"), ("côté: x", "sides"), ("Séries: 2", "sets"),
        ("co\u0302te\u0301: x", "sides"), ("einfacher: Weniger.", "easier"),
        ("sides: links", "left"), ("sides: derecho", "right"), ("sides: gauche", "left"),
        ("sides: jede Seite", "each"), ("sides: por lado", "each"), ("sides: abwechselnd", "alter"),
        ("position: im Sitzen", "seated"), ("position: Rückenlage", "supine"),
        ("position: boca abajo", "prone"), ("position: à quatre pattes", "hands and knees"),
        ("position: debout", "standing"), ("position: Seitenlage", "side-lying"),
    ],
)  # fmt: skip
def test_what_is_meant_is_offered(tmp_path: Path, written: str, offered: str) -> None:
    """For keys and for choices, with accents in either of their forms."""
    (remedy,) = remedies(tmp_path, f"exercises:\n  - {{{HOLD}, {written}}}")
    assert remedy.startswith(f"Did you mean `{offered}")


@pytest.mark.parametrize(
    "written",
    ["sides: ambos", "dauer: 30 s", "zeit: 3 s"],
)
def test_what_may_be_meant_two_ways_is_not_offered(tmp_path: Path, written: str) -> None:
    """Both of what; how long a hold is, or the whole exercise."""
    (remedy,) = remedies(tmp_path, f"exercises:\n  - {{{HOLD}, {written}}}")
    assert "Did you mean" not in remedy
    assert "Valid here" in remedy


@pytest.mark.parametrize(
    ("dose", "remedy"),
    [
        ("kind: hold, hold: 15 Sekunden", "Write `15 s`."),
        ("kind: hold, hold: 1 minuto y 30 segundos", "Write `1 min 30 s`."),
        ("kind: hold, hold: 1 minute et 30 secondes", "Write `1 min 30 s`."),
        ("kind: hold, hold: 30 Sek. (20 bis 45)", "Write `30 s (20 to 45)`."),
        ("kind: hold, hold: 30 s (20 s à 45 s)", "Write `30 s (20 s to 45 s)`."),
        ("kind: hold, hold: '2,5 Sekunden'", "Write `2.5 s`."),
        ("kind: hold, hold: 3 mal 10 s", "Write `sets: 3`, and here `10 s`."),
        ("kind: hold, hold: 3 fois 10 secondes", "Write `sets: 3`, and here `10 s`."),
        ("kind: hold, hold: 30 s, sets: 2 (1 a 3)", "Write `2 (1 to 3)`."),
        ("kind: hold, hold: 30 s, sets: 3 veces", "Write `3`."),
        ("kind: hold, hold: 30 s, optional: ja", "Write `yes`."),
        ("kind: hold, hold: 30 s, optional: non", "Write `no`."),
        ("kind: hold, hold: 2,5 s", "Write `2.5 s`."),
        ("kind: hold, hold: 12,5 Sekunden", "Write `12.5 s`."),
        ("kind: reps, reps: 8, tempo: {out: 2,5 s, back: 3 s}", "Write `2.5 s`."),
        ("kind: reps, reps: 8, tempo: {out: 2 s, back: 3,5s}", "Write `3.5s`."),
        ("kind: hold, hold: 30 s, equipment: [Hantel 2,5 kg, Stuhl]",
         'Put it in quotes: "…".'),
    ],
)  # fmt: skip
def test_an_amount_is_offered_as_the_file_has_it(tmp_path: Path, dose: str, remedy: str) -> None:
    """One problem with its whole number: a decimal comma parts nothing in silence."""
    assert remedies(tmp_path, f"exercises:\n  - {{name: N, {dose}}}") == [remedy]


def test_a_helper_is_no_yes_in_any_language(tmp_path: Path) -> None:
    """It would be said: "Für Ihre Begleitperson: ja"."""
    for answer in ("ja", "sí", "Oui."):
        (remedy,) = remedies(tmp_path, f"exercises:\n  - {{{HOLD}, helper: {answer}}}")
        assert "patient file" in remedy


def test_decimal_commas_outside_brackets_are_read(tmp_path: Path) -> None:
    """And commas between things of a list, with a digit on one side of them only."""
    path = tmp_path / "routine.yaml"
    path.write_text(
        "title: T\nequipment: [Band 2,Stuhl, 2 Kissen]\n"
        "exercises:\n  - name: N\n    kind: hold\n    hold: 2,5 s\n",
        "utf-8",
    )
    try:
        routine = read_routine(path)
    except InputProblems as error:  # pragma: no cover
        pytest.fail(str(error))
    assert routine.equipment == ("Band 2", "Stuhl", "2 Kissen")
    assert routine.exercises[0].dose.hold_ms.usual == 2_500  # type: ignore[union-attr]


def test_every_word_stands_for_one_of_the_file() -> None:
    """A word of ours that no file has would never be offered."""
    keys = {*ROUTINE_KEYS, *EXERCISE_KEYS, *PATIENT_KEYS, *ALL_DOSE_KEYS}
    choices = {*map(str, (*Kind, *Position, *Sides)), "easier", "harder", "yes", "no"}
    assert {ours for some in abroad.KEYS.values() for ours in some} <= keys
    assert {ours for some in abroad.CHOICES.values() for ours in some} <= choices
    assert not set(abroad.KEYS) & keys


@pytest.mark.parametrize(
    "written", ["hold: 30 Sekunden je Seite", "hold: 30 s por lado", "hold: 30 s de chaque côté"]
)
def test_each_side_is_not_lost_with_the_unit(tmp_path: Path, written: str) -> None:
    """Without it both sides would be worked at once."""
    text = f"exercises:\n  - {{name: N, kind: hold, {written}}}"
    (remedy,) = remedies(tmp_path, text)
    assert remedy.endswith("and `sides: each` at the exercise.")
