"""Words for a side: those that speech says, and those that mean something else."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from breathmark.dose.checks import check_routine
from breathmark.dose.checks.sides import sides_named
from breathmark.problems import Problem
from breathmark.speech.speakable import speakable
from tests.dose.files import routine

SHORT = [
    f"Lift your {short} {word} a little"
    for short in ("R", "L", "Rt.", "Lt", "r")
    for word in (
        *("leg", "arm", "foot", "knees", "hip", "side", "hand", "shoulder", "ankle", "elbow"),
        *("wrist", "heel", "toes", "thigh", "calf", "hamstring", "quad", "glutes", "UE", "LE"),
        *("palm", "nose", "ear"),
    )
]
OTHER_SHORT = [
    *("R hand on top", "Knee (R) first", "Rest on L, then go on", "Lift R first"),
    *("Wear size L, then rest", "Step to L", "Lift L or R knee"),
]


@pytest.mark.parametrize("text", [*SHORT, *OTHER_SHORT])
def test_a_short_form_is_a_side_where_speech_says_one(text: str) -> None:
    """Against what the voice is given: the patient hears `right knee`."""
    heard = re.findall(r"\b(?:left|right)\b", speakable(text, {}))
    assert sorted(side.value for side, _ in sides_named(text)) == sorted(heard)


@pytest.mark.parametrize(
    "text",
    [
        "Slide right out to the edge",
        "Sit right back",
        "Feel it right in the hip",
        "You're doing it right",
        "You’re doing it right.",
        "Move right from the hip.",
        "Slide right to the end.",
        "Put your hand right at the hip.",
        "Bend to a right angle, at right angles, to a right-angled bend.",
        "If you are left-handed, hold it the other way.",
        "Ten seconds left, and that’s right.",
        "Three left, then one more left.",
        "Stop right where it hurts.",
    ],
)
def test_a_manner_or_a_place_is_no_side(text: str) -> None:
    """Common English, read by hand."""
    assert list(sides_named(text)) == []


@pytest.mark.parametrize(
    ("text", "sides"),
    [
        ("Right-hand fingers on top", "right"),
        ("Left-hand fingers on top", "left"),
        ("Slide your right out to the edge", "right"),
        ("Cross the left behind the right.", "left right"),
        ("Turn right, then left.", "right left"),
        ("Turn to the right at the wall.", "right"),
    ],
)
def test_a_side_is_seen_whatever_follows(text: str, sides: str) -> None:
    """Common English, read by hand."""
    assert " ".join(side.value for side, _ in sides_named(text)) == sides


def found(folder: Path, check: str, name: str, sides: str, setup: str) -> list[Problem]:
    """What a check says of an exercise."""
    text = f"""
title: Sides
exercises:
  - {{name: {name}, kind: free, time: 30 s, sides: {sides}, setup: "{setup}"}}
"""
    problems = check_routine(routine(text, folder)).problems
    return [one for one in problems if one.rule == check]


@pytest.mark.parametrize(
    ("sides", "setup", "word"),
    [
        ("each", "R knee up, {side} foot flat.", "R knee"),
        ("left", "Rest your Rt. heel.", "Rt. heel"),
        ("each", "Right-hand fingers on the {side} knee.", "Right"),
    ],
)
def test_a_side_in_short_is_told_at_its_word(
    tmp_path: Path, sides: str, setup: str, word: str
) -> None:
    """The column is the word's."""
    (problem,) = found(tmp_path, "side-named", "Knee lift", sides, setup)
    assert f"`{word}`" in problem.message
    place = problem.place
    assert place.text[place.column - 1 :].startswith(word)


def test_one_side_in_short_is_said_well_enough(tmp_path: Path) -> None:
    """`L foot` for the left, not for the right."""
    assert not found(tmp_path, "side-word-missing", "Lift", "left", "L foot up.")
    assert found(tmp_path, "side-word-missing", "Lift", "right", "L foot up.")
    assert found(tmp_path, "side-word-missing", "Lift", "right", "Sit right back.")


def test_a_name_is_told_to_lose_its_side(tmp_path: Path) -> None:
    """`{side}` would be refused there."""
    (problem,) = found(tmp_path, "side-named", "Left knee lift", "each", "Lift your {side} knee.")
    assert problem.remedy == "Take the side out of the name."
    (other,) = found(tmp_path, "side-named", "Knee lift", "each", "{side}, not left.")
    assert other.remedy == "Write `{side}` or `{other side}`."
