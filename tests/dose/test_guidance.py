"""What doses are held against, and how the comparison reads."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from breathmark.dose.guidance import GUIDES, Guide, Mark, Unit, Verdict, compared
from breathmark.dose.table import as_data, dose_text
from breathmark.dose.totals import dose_totals
from breathmark.dose.vocabulary import conditions
from breathmark.routine.model import Side
from breathmark.routine.tags import published
from tests.dose.files import routine

CALF = """
title: Calves
frequency: {frequency}
exercises:
  - {{name: Calf stretch, kind: hold, targets: [gastrocnemius], sides: {sides}, hold: {hold},
     sets: {sets}}}
"""

# Garber 2011 (60 s, 2 days: published; 10-30 s, older adults 30-60 s: second-hand; 3-6 s
# and 10-30 s: from memory), Ingram 2025 (second-hand), Ratamess 2009 and BMC Geriatr
# 2013;13:105 (published), isometric holds 6-10 s from memory and 3-10 s common practice.
VALUES = {
    "stretch-session": (60_000, None, Mark.PUBLISHED),
    "stretch-session-most": (None, 240_000, Mark.SECOND_HAND),
    "stretch-week-most": (None, 600_000, Mark.SECOND_HAND),
    "stretch-days": (2, None, Mark.PUBLISHED),
    "stretch-hold": (10_000, 60_000, Mark.SECOND_HAND),
    "pnf-contraction": (3_000, 6_000, Mark.MEMORY),
    "pnf-stretch": (10_000, 30_000, Mark.MEMORY),
    "isometric-hold": (3_000, 10_000, Mark.PRACTICE),
    "repetitions": (8, 15, Mark.PUBLISHED),
    "strength-days": (2, 3, Mark.PUBLISHED),
}

TABLE = """\
Dose in a session, for each side
======================================================
Target         Side   Stretch  Contraction  Sets  Work
------------------------------------------------------
gastrocnemius  each      30 s            -     1  30 s
triceps        left         -         30 s     6  30 s
triceps        right        -            -     -     -

Dose in a week of 5 days, for each side
===============================================================
Target         Side      Stretch  Contraction  Sets        Work
---------------------------------------------------------------
gastrocnemius  each   2 min 30 s            -     5  2 min 30 s
triceps        left            -   2 min 30 s    30  2 min 30 s
triceps        right           -            -     -           -

Work in a session: 1:30, everything else (rests, set-ups, talking): 2:30.

Beside published guidance
=========================
- gastrocnemius: stretch a session 30 s, under the guidance (60 s in all for
  each flexibility exercise; Garber 2011, Med Sci Sports Exerc 43(7):1334-59,
  published)
- 5 of 6 amounts lie inside the guidance.
"""


def calf(folder: Path, **dose: str) -> dict[str, Verdict]:
    """The verdicts on a calf stretch."""
    usual = {"frequency": "5 days a week", "sides": "each", "hold": "30 s", "sets": "2"}
    totals = dose_totals(routine(CALF.format(**(usual | dose)), folder))
    return {one.guide.id: one.verdict for one in compared(totals)}


def test_the_values_are_the_published_ones() -> None:
    """Each with its mark."""
    assert {one.id: (one.low, one.high, one.source.mark) for one in GUIDES} == VALUES


def test_calf_twice_30_s_over_5_days_is_inside(tmp_path: Path) -> None:
    """60 s a session, 300 s a week."""
    assert set(calf(tmp_path).values()) == {Verdict.INSIDE}


def test_felands_block_is_at_the_most_a_session_and_over_it_a_week(tmp_path: Path) -> None:
    """240 s a session still gains; 1,200 s a week is twice of what does."""
    verdicts = calf(tmp_path, hold="60 s", sets="4")
    assert verdicts["stretch-session-most"] is Verdict.INSIDE
    assert verdicts["stretch-week-most"] is Verdict.OVER


@pytest.mark.parametrize(
    ("dose", "guide", "verdict"),
    [
        ({"hold": "59 s", "sets": "1"}, "stretch-session", Verdict.UNDER),
        ({"hold": "60 s", "sets": "1"}, "stretch-session", Verdict.INSIDE),
        ({"hold": "241 s", "sets": "1"}, "stretch-session-most", Verdict.OVER),
        ({"frequency": "once a week"}, "stretch-days", Verdict.UNDER),
        ({"hold": "9 s"}, "stretch-hold", Verdict.UNDER),
        ({"hold": "61 s"}, "stretch-hold", Verdict.OVER),
    ],
)
def test_a_dose_outside_is_told(
    tmp_path: Path, dose: dict[str, str], guide: str, verdict: Verdict
) -> None:
    """At the edge and just past it."""
    assert calf(tmp_path, **dose)[guide] is verdict


def test_strength_is_compared_where_there_is_strength(tmp_path: Path) -> None:
    """Repetitions, an effort inside them, PNF phases, and days with added resistance."""
    read = routine(
        """
title: Strong
frequency: daily
exercises:
  - {name: Curl, kind: reps, reps: 16, tempo: {out: 2 s, back: 2 s},
     involves: [added resistance]}
  - {name: Tuck, kind: reps, reps: 7, tempo: {out: 2 s, hold: 11 s, back: 2 s},
     involves: [isometric effort]}
  - {name: Squeeze, kind: hold, hold: 2 s, involves: [isometric effort]}
  - {name: Press and stretch, kind: contract-relax, contract: 7 s, relax: 2 s, stretch: 31 s}
  - {name: Stance, kind: hold, hold: 5 s, targets: [standing balance]}
""",
        tmp_path,
    )
    found = {(one.of, one.guide.id): one.verdict for one in compared(dose_totals(read))}
    assert found == {
        ("Press and stretch", "stretch-session"): Verdict.UNDER,
        ("Press and stretch", "stretch-session-most"): Verdict.INSIDE,
        ("Press and stretch", "stretch-week-most"): Verdict.INSIDE,
        ("Curl", "repetitions"): Verdict.OVER,
        ("Tuck", "repetitions"): Verdict.UNDER,
        ("Tuck", "isometric-hold"): Verdict.OVER,
        ("Squeeze", "isometric-hold"): Verdict.UNDER,
        ("Press and stretch", "pnf-contraction"): Verdict.OVER,
        ("Press and stretch", "pnf-stretch"): Verdict.OVER,
        ("", "stretch-days"): Verdict.INSIDE,
        ("", "strength-days"): Verdict.OVER,
    }


def test_unequal_sides_are_compared_one_by_one(tmp_path: Path) -> None:
    """And the side is named; a side without stretch is not held against anything."""
    totals = dose_totals(routine(CALF.format(frequency="daily", sides="left", hold="30 s", sets=1),
                                 tmp_path))  # fmt: skip
    assert {one.side for one in compared(totals) if one.of == "gastrocnemius"} == {Side.LEFT}
    assert compared(totals)[0].shown().startswith("gastrocnemius, left: stretch a session 30 s, ")


def test_a_guide_includes_its_edges() -> None:
    """Both limits belong to the inside."""
    guide = Guide(id="x", of="x", says="x", unit=Unit.DAYS, low=2, high=3, source=GUIDES[0].source)
    assert [guide.verdict(days) for days in (1, 2, 3, 4)] == [
        Verdict.UNDER,
        Verdict.INSIDE,
        Verdict.INSIDE,
        Verdict.OVER,
    ]


def test_the_table_is_read_as_it_is_written(tmp_path: Path) -> None:
    """Session and week, what is outside in full with its source."""
    read = routine(
        """
title: Table
frequency: 5 days a week
exercises:
  - {name: Calf stretch, kind: hold, targets: [gastrocnemius], sides: each, hold: 30 s}
  - {name: Wall press, kind: hold, targets: [triceps], sides: left, hold: 5 s, sets: 6,
     involves: [isometric effort]}
""",
        tmp_path,
    )
    assert dose_text(dose_totals(read, session_ms=240_000), width=80) == TABLE


def test_data_says_the_same_as_the_table(tmp_path: Path) -> None:
    """Plain JSON, in whole milliseconds."""
    totals = dose_totals(routine(CALF.format(frequency="5 days a week", sides="each", hold="30 s",
                                             sets=2), tmp_path), session_ms=200_000)  # fmt: skip
    data = json.loads(json.dumps(as_data(totals)))
    assert data["work_ms"] == 120_000
    assert data["rest_ms"] == 80_000
    (target,) = data["targets"]
    assert target["left"]["session"]["stretch_ms"] == 60_000
    assert target["right"]["week"]["stretch_ms"] == 300_000
    assert {one["guide"] for one in data["guidance"]} == {
        "stretch-session",
        "stretch-session-most",
        "stretch-week-most",
        "stretch-hold",
        "stretch-days",
    }
    first = data["guidance"][0]
    assert (first["measured"], first["unit"], first["verdict"]) == (60_000, "ms", "inside")
    assert first["mark"] == "published"


def test_a_week_that_is_unknown_is_said_to_be(tmp_path: Path) -> None:
    """No zeros where nothing is known."""
    totals = dose_totals(
        routine("title: A\nexercises:\n  - {name: B, kind: free, time: 30 s}\n", tmp_path)
    )
    assert "Dose in a week: unknown" in dose_text(totals)
    assert as_data(totals)["targets"][0]["left"]["week"] is None


def test_what_a_condition_asks_to_consider_is_published() -> None:
    """Every concern is a tag, and every condition has its source."""
    for condition in conditions().values():
        assert condition.source
        assert condition.concerns
        for concern in condition.concerns:
            assert concern.tag in published().tags, concern


@pytest.mark.parametrize(
    ("sides", "reps", "of", "measured"),
    [
        ("alternating", 12, "Slide, each side", 6),
        ("each", 6, "Slide", 6),
        ("both", 12, "Slide", 12),
    ],
)
def test_repetitions_by_turns_are_compared_as_one_side_does_them(
    tmp_path: Path, sides: str, reps: int, of: str, measured: int
) -> None:
    """12 by turns are 6 on a side, as a patient gets them who does that side alone."""
    text = f"""
title: Slides
exercises:
  - {{name: Slide, kind: reps, sides: {sides}, reps: {reps}, tempo: {{out: 1 s, back: 1 s}}}}
"""
    (one,) = compared(dose_totals(routine(text, tmp_path)))
    assert (one.guide.id, one.of, one.measured) == ("repetitions", of, measured)
