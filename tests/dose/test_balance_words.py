"""What counts as something to hold, and which words ask for balance."""

from __future__ import annotations

from pathlib import Path

import pytest

from breathmark.dose.checks import check_routine
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
