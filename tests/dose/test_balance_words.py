"""What counts as something to hold, and which words ask for balance."""

from __future__ import annotations

from pathlib import Path

import pytest

from breathmark.dose.checks import check_routine
from breathmark.dose.checks.rules.balance_untagged import asked_in
from breathmark.problems import Problem, Severity
from breathmark.routine.tags import published
from tests.dose.files import routine

ON_ONE_LEG = "involves: [standing, balance on one leg]"


def found(folder: Path, check: str, more: str) -> list[Problem]:
    """What a check says of a standing exercise."""
    text = f"""
title: Balance
exercises:
  - {{name: Stance, kind: free, position: standing, time: 30 s, {more}}}
"""
    problems = check_routine(routine(text, folder)).problems
    return [one for one in problems if one.rule == check]


@pytest.mark.parametrize(
    "text",
    [
        "Do not hold on to anything. Stay clear of the wall.",
        "Stand away from any chair or table.",
        "Keep your eyes on the wall.",
        "Look straight ahead at the wall.",
        "Look at a spot on the wall.",
        "Don’t hold the counter.",
        "Let go of the chair.",
        "No chair, no table.",
    ],
)
def test_what_is_not_held_does_not_count(tmp_path: Path, text: str) -> None:
    """However often it is named."""
    assert found(tmp_path, "balance-support", f'{ON_ONE_LEG}, setup: "{text}"')


def test_what_a_helper_hears_does_not_count(tmp_path: Path) -> None:
    """It is said only where a helper is."""
    line = "helper: Hold on to the belt."
    assert found(tmp_path, "balance-support", f"{ON_ONE_LEG}, {line}")


@pytest.mark.parametrize(
    "thing",
    [
        *("handrail", "rails", "banister", "banisters", "countertop", "rollator", "crutches"),
        *("windowsill", "sofa", "grab bar", "kitchen top", "kitchen counter", "stair rail"),
    ],
)
def test_what_steadies_counts_in_the_setup_and_as_equipment(tmp_path: Path, thing: str) -> None:
    """Things of a home that stand fast, and walking aids."""
    for more in (f"setup: Hold the {thing}.", f"equipment: [{thing}]"):
        assert not found(tmp_path, "balance-support", f"{ON_ONE_LEG}, {more}")


@pytest.mark.parametrize(
    "text",
    [
        "Never let go of the counter.",
        "Do not step away from the chair.",
        "Look straight ahead, both hands on the counter.",
        "Keep your eyes on the wall and both hands on the counter.",
        "Take your shoes off and hold on to the chair.",
        "Do not look down. Hold the rail.",
        "Hold something sturdy.",
    ],
)
def test_a_support_beside_a_warning_still_counts(tmp_path: Path, text: str) -> None:
    """This error stops the build."""
    assert not found(tmp_path, "balance-support", f'{ON_ONE_LEG}, setup: "{text}"')


@pytest.mark.parametrize(
    ("text", "tag"),
    [
        ("Stand on one leg.", "balance on one leg"),
        ("Single-leg stance at the counter.", "balance on one leg"),
        ("Take up a tandem stance.", "narrow stance"),
        ("Walk heel to toe.", "narrow stance"),
        ("Now close your eyes.", "eyes closed"),
        ("Go on with your eyes closed.", "eyes closed"),
    ],
)
def test_balance_in_words_is_told_until_its_tag_is_there(
    tmp_path: Path, text: str, tag: str
) -> None:
    """With a tag that exists; what it says is what silences it."""
    (problem,) = found(tmp_path, "balance-untagged", f"setup: {text}")
    assert problem.severity is Severity.CAUTION
    assert tag in published().tags
    assert f"`involves: [{tag}]`" in problem.remedy
    assert not found(tmp_path, "balance-untagged", f"setup: {text}, involves: [{tag}]")
    (other,) = found(tmp_path, "balance-untagged", f"setup: {text}, involves: [standing]")
    assert f"Add `{tag}` to its `involves`" in other.remedy


@pytest.mark.parametrize(
    "more",
    [
        "setup: Never close your eyes.",
        "setup: Put one leg behind the other.",
        "setup: Stand on both feet.",
        "setup: Stand on one leg., targets: [standing balance]",
    ],
)
def test_other_words_are_no_balance(tmp_path: Path, more: str) -> None:
    """Nor is what a target says already."""
    assert not found(tmp_path, "balance-untagged", more)


BALANCE = """\
Stand on one leg.
Now stand on one foot.
Stand on your {side} leg.
Stand on the {side} foot only.
Stand only on your {side} leg.
Stand on a single leg.
Stand on just one leg.
Standing on one leg, bend the knee.
Balance on your {side} leg.
Balance on one foot.
Do it on one leg.
Do it on one leg at a time.
Rise on one leg.
Rise on one foot only.
Single-leg heel raise.
Single leg stance.
One-legged squat.
Squat on one leg.
Hop on one foot.
Lift one foot off the floor and stand still.
Lift your {other side} foot off the floor.
Take your other foot off the floor.
Put one foot right in front of the other.
Place one foot directly in front of the other.
Heel to toe, as on a line.
Take up a tandem stance.
Close your eyes.
Do it with your eyes closed.
Shut your eyes and go on.
Raise your {other side} leg off the ground.""".splitlines()

STEADY = """\
Do not stand on one leg.
Never stand on one leg.
Do not close your eyes.
Keep both feet on the floor.
Stand on both feet.
Stand on both legs.
Put one leg behind the other.
Put one foot in front of the other, a big step apart.
Step one foot back.
Shift your weight onto one leg.
Stand with your feet apart.
Lift one heel.
Lift your heels off the floor.
Lift your toes off the floor.
Keep your eyes open.
Rest your eyes on the wall.
Stand near one leg of the table.
Lean on one hand.
One leg is enough today.
Keep one foot on the step.
Do not lift your foot off the floor.
Hold the cushion in front of you.
Put a cushion on the seat.
Roll from heel to toe as you walk.
Without lifting a foot off the floor, lean forward.
Bend one leg.
Start with one leg, then the other.
Push the floor away with one foot.
Keep your weight on both legs.
Stand tall.""".splitlines()


@pytest.mark.parametrize("text", BALANCE)
def test_words_that_ask_for_balance_are_heard(text: str) -> None:
    """Sentences such as clinicians write (common practice)."""
    found = asked_in(text)
    assert found is not None
    assert found[1] in published().tags


@pytest.mark.parametrize("text", STEADY)
def test_words_that_only_sound_like_it_are_not(text: str) -> None:
    """A warning, a step, a shift of weight."""
    assert asked_in(text) is None


@pytest.mark.parametrize("way", ["easier", "harder"])
def test_another_way_that_asks_for_balance_says_so_by_its_own_tag(tmp_path: Path, way: str) -> None:
    """Who must avoid it would be offered it; what the exercise itself involves is another thing."""
    for own in ("[standing]", "[standing, narrow stance]"):
        more = f"involves: {own}, setup: Hold the counter."
        (problem,) = found(tmp_path, "balance-untagged", f"{more}, {way}: Do it on one leg.")
        assert f"`{way}: {{say: …, involves: [balance on one leg]}}`" in problem.remedy
        tagged = "{say: Do it on one leg., involves: [balance on one leg]}"
        assert not found(tmp_path, "balance-untagged", f"{more}, {way}: {tagged}")
