"""Amounts with their ranges, as a clinician writes them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from breathmark.routine.amounts import Limits, MisreadAmountError, read_amount
from breathmark.routine.rules import Rule
from breathmark.units import Ranged, duration_text

TIME = Limits(low=1_000, high=3_600_000)
COUNT = Limits(low=1, high=20, timed=False)
REST = Limits(low=500, high=600_000, or_none=True)


@pytest.mark.parametrize(
    ("text", "low", "usual", "high"),
    [
        ("30 s", 30, 30, 30),
        ("30 s (20 to 45)", 20, 30, 45),
        ("30 s (20 s to 45 s)", 20, 30, 45),
        ("30 s (20 to 45 s)", 20, 30, 45),
        ("30 s(20 to 45)", 20, 30, 45),
        ("1 min (30 s to 2 min)", 30, 60, 120),
        ("1 min (30 to 90 s)", 30, 60, 90),
        ("1 min (1 to 2)", 60, 60, 120),
        ("1 min 30 s (1 min to 2 min)", 60, 90, 120),
        ("1:30 (1:00 to 2:00)", 60, 90, 120),
        ("1:30 (60 to 120 s)", 60, 90, 120),
    ],
)
def test_a_range_says_its_unit_once_or_at_each_bound(
    text: str, low: int, usual: int, high: int
) -> None:
    expected = Ranged(low=low * 1000, usual=usual * 1000, high=high * 1000)
    assert read_amount(text, TIME) == expected


@pytest.mark.parametrize(
    ("text", "limits", "rule", "hint"),
    [
        ("30", TIME, Rule.NOT_AN_AMOUNT, "30 s"),
        ("30 (20 to 45)", TIME, Rule.NOT_AN_AMOUNT, "`30` has no unit"),
        ("12", Limits(low=30_000, high=3_600_000), Rule.NOT_AN_AMOUNT, "Write `12 min`."),
        ("0", TIME, Rule.NOT_AN_AMOUNT, "Possible here: 1 s to 60 min."),
        ("10-15", COUNT, Rule.NOT_AN_AMOUNT, "`10 (10 to 15)`"),
        ("30-45 s", TIME, Rule.NOT_AN_AMOUNT, "`30 s (30 to 45)`"),
        ("20 to 45 s", TIME, Rule.NOT_AN_AMOUNT, "`20 s (20 to 45)`"),
        ("30 s (20)", TIME, Rule.NOT_AN_AMOUNT, "30 s (20 to 45)"),
        ("(20 to 45)", TIME, Rule.NOT_AN_AMOUNT, "missing"),
        ("1:30 (60 to 120)", TIME, Rule.NOT_AN_AMOUNT, "no unit"),
        ("30 s (20 to 45) (1 to 2)", TIME, Rule.NOT_AN_AMOUNT, "not an amount"),
        ("30 s (to)", TIME, Rule.NOT_AN_AMOUNT, "not a range"),
        ("8 reps", COUNT, Rule.NOT_AN_AMOUNT, "Write `8`"),
        ("2x", COUNT, Rule.NOT_AN_AMOUNT, "Write `2`"),
        ("1 to 3", COUNT, Rule.NOT_AN_AMOUNT, "`1 (1 to 3)`"),
        ("two", COUNT, Rule.NOT_AN_AMOUNT, "Write `2`"),
        ("some", COUNT, Rule.NOT_AN_AMOUNT, "digits"),
        ("-1", COUNT, Rule.NOT_AN_AMOUNT, "whole number"),
        ("21", COUNT, Rule.IMPOSSIBLE_AMOUNT, "1 to 20"),
        ("61 min", TIME, Rule.IMPOSSIBLE_AMOUNT, "1 s to 60 min"),
        ("0.2 s", REST, Rule.IMPOSSIBLE_AMOUNT, "or 0"),
        ("30 s (40 to 50)", TIME, Rule.RANGE_ORDER, "outside"),
        ("30 s (50 to 20)", TIME, Rule.RANGE_ORDER, "backwards"),
    ],
)
def test_a_wrong_amount_says_what_would_be_right(
    text: str, limits: Limits, rule: Rule, hint: str
) -> None:
    with pytest.raises(MisreadAmountError) as raised:
        read_amount(text, limits)
    assert raised.value.rule is rule
    assert hint in f"{raised.value} {raised.value.remedy}"


def test_zero_needs_no_unit_where_none_is_meant() -> None:
    assert read_amount("0", REST) == read_amount("0 s", REST) == Ranged.fixed(0)


def test_an_exact_amount_has_no_range() -> None:
    with pytest.raises(MisreadAmountError) as raised:
        read_amount("12 min (10 to 14)", TIME, exact=True)
    assert raised.value.rule is Rule.NO_RANGE
    assert raised.value.remedy == "Write `12 min`."


@given(st.lists(st.integers(1_000, 3_600_000), min_size=3, max_size=3).map(sorted))
def test_what_is_written_out_is_read_back(bounds: list[int]) -> None:
    low, usual, high = bounds
    text = f"{duration_text(usual)} ({duration_text(low)} to {duration_text(high)})"
    assert read_amount(text, TIME) == Ranged(low=low, usual=usual, high=high)


@given(st.text(max_size=80), st.sampled_from([TIME, COUNT, REST]), st.booleans())
def test_any_text_is_an_amount_or_a_clear_error(text: str, limits: Limits, exact: bool) -> None:
    try:
        amount = read_amount(text, limits, exact=exact)
    except MisreadAmountError:
        return  # any other exception fails the test
    assert all(limits.allow(value) for value in (amount.low, amount.usual, amount.high))
