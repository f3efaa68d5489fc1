"""Two routines worked out by hand (common practice, no source): the planner's sums agree.

The set-up and rest times are given; everything else is the planner's. Speech is set to
lengths that leave the openings and closings as long as the worked sums say.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from breathmark.problems import InputProblems
from breathmark.routine.model import Routine
from breathmark.routine.reading import read_routine
from breathmark.script.draft import SpeechLengths
from breathmark.script.planner import plan_session
from breathmark.script.session import Session
from breathmark.script.wishes import Wishes
from breathmark.script.words import words_of

RATE_HZ = 24_000

HIP_AND_ANKLE = """\
title: Hip and ankle with balance
exercises:
  - {name: Seated ankle pumps, kind: reps, reps: 15, tempo: {out: 1 s, back: 1 s},
     rests: {before: 20 s, after: 10 s}}
  - {name: Standing calf stretch, kind: hold, hold: 30 s, sets: 2, sides: each,
     change sides: after all sets, rests: {before: 40 s, sets: 10 s, sides: 15 s, after: 0 s}}
  - {name: Sit-to-stand, kind: reps, reps: 8, tempo: {out: 2 s, hold: 2 s, back: 3 s},
     rests: {before: 20 s, after: 30 s}}
  - {name: Standing hip abduction, kind: reps, reps: 8, sides: each,
     tempo: {out: 2 s, back: 2 s}, rests: {before: 20 s, sides: 10 s, after: 20 s}}
  - {name: Semi-tandem stance, kind: hold, hold: 20 s, sets: 4,
     rests: {before: 20 s, sets: 10 s, after: 0 s}}
  - {name: Sitting, kind: breathing, breaths: 3, rests: {before: 15 s, after: 0 s}}
"""

LOW_BACK = """\
title: Low-back mobility
first side: right
exercises:
  - {name: Diaphragmatic breathing, kind: breathing, breaths: 6, rests: {before: 35 s, after: 0 s}}
  - {name: Pelvic tilts, kind: reps, reps: 10, tempo: {out: 2 s, hold: 3 s, back: 2 s},
     rests: {before: 15 s, after: 0 s}}
  - {name: Single knee to chest, kind: hold, hold: 20 s, sets: 2, sides: each,
     rests: {before: 15 s, sides: 8 s, after: 0 s}}
  - {name: Lower trunk rotation, kind: reps, reps: 10, sides: alternating,
     tempo: {out: 2 s, hold: 2 s, back: 2 s}, rests: {before: 12 s, after: 0 s}}
  - {name: Bridge, kind: reps, reps: 8, tempo: {out: 2 s, hold: 3 s, back: 3 s},
     rests: {before: 12 s, after: 0 s}}
  - {name: Cat and camel, kind: reps, reps: 8, tempo: {out: 3 s, back: 3 s},
     rests: {before: 30 s, after: 0 s}}
  - {name: Rolling up to sit, kind: pause, time: 30 s}
"""


class Given(SpeechLengths):
    """Every line lasts 0.4 s, but for those that are given, in seconds."""

    def __init__(self, given: dict[str, float]) -> None:
        super().__init__({}, rate_hz=RATE_HZ)
        self._given = given

    def of(self, text: str) -> int:
        """The given length, or 0.4 s."""
        return round(self._given.get(text, 0.4) * RATE_HZ)


def read(tmp_path: Path, text: str) -> Routine:
    path = tmp_path / "routine.yaml"
    path.write_text(text, encoding="utf-8")
    return read_routine(path)


def opening_of(seconds: float) -> dict[str, float]:
    """The stop rule so long that the opening lasts ``seconds`` in all.

    Around it: 0.3 s lead, three other lines of 0.4 s, three pauses of 0.6 s, 1 s at the end.
    """
    return {words_of("en").say("stop rule"): seconds - 0.3 - 3 * 0.4 - 3 * 0.6 - 1.0}


def closing_of(seconds: float) -> dict[str, float]:
    """The last line so long that the closing lasts ``seconds``: 0.9 s end tone and the
    quiet after it, ``Well done.``, one pause, 2 s at the end.
    """
    return {words_of("en").say("over"): seconds - 0.9 - 0.4 - 0.6 - 2.0}


def lengths_in_seconds(session: Session) -> dict[str, float]:
    return {block.title: block.length / RATE_HZ for block in session.blocks}


def test_hip_and_ankle_with_balance_lasts_720_s(tmp_path: Path) -> None:
    """Routine A: 45 + 60 + 195 + 106 + 114 + 130 + (15 + 30) + 25 = 720 s."""
    routine = read(tmp_path, HIP_AND_ANKLE)
    session = plan_session(routine, Given(opening_of(45) | closing_of(25)), Wishes(voice="calm"))
    assert lengths_in_seconds(session) == {
        "Opening": 45,
        "Seated ankle pumps": 60,
        "Standing calf stretch": 195,
        "Sit-to-stand": 106,
        "Standing hip abduction": 114,
        "Semi-tandem stance": 130,
        "Sitting": 45,
        "Closing": 25,
    }
    assert session.length == 720 * RATE_HZ


def test_low_back_mobility_lasts_600_s(tmp_path: Path) -> None:
    """Routine B: 30 + 95 + 85 + 119 + 72 + 76 + 78 + 30 + 15 = 600 s."""
    routine = read(tmp_path, LOW_BACK)
    session = plan_session(routine, Given(opening_of(30) | closing_of(15)), Wishes(voice="calm"))
    assert list(lengths_in_seconds(session).values()) == [30, 95, 85, 119, 72, 76, 78, 30, 15]
    assert session.length == 600 * RATE_HZ


def test_low_back_mobility_without_cat_and_camel_lasts_522_s(tmp_path: Path) -> None:
    """Routine B without cat and camel: 522 s are left, 78 s to refill."""
    lines = LOW_BACK.splitlines(keepends=True)
    at = next(index for index, line in enumerate(lines) if "Cat and camel" in line)
    routine = read(tmp_path, "".join(lines[:at] + lines[at + 2 :]))
    session = plan_session(routine, Given(opening_of(30) | closing_of(15)), Wishes(voice="calm"))
    assert session.length == 522 * RATE_HZ


def test_sides_go_right_left_right_left(tmp_path: Path) -> None:
    """Single knee to chest: R/L/R/L, three changes of 8 s."""
    session = plan_session(read(tmp_path, LOW_BACK), Given(opening_of(30)), Wishes(voice="calm"))
    (block,) = [block for block in session.blocks if block.title == "Single knee to chest"]
    work = [str(span.side) for span in block.spans if span.activity == "work"]
    assert work == ["right", "left", "right", "left"]
    changes = [span.length for span in block.spans if span.activity == "side change"]
    assert changes == [8 * RATE_HZ] * 3


@pytest.mark.parametrize(("allowed_s", "fits"), [(20, False), (29, True)])
def test_45_words_are_not_planned_into_20_s(tmp_path: Path, allowed_s: int, fits: bool) -> None:
    """45 words at 130 a minute with three pauses of 0.6 s take 22.57 s: 20 s are too few.

    With the end tone, the name, 2 s to get ready and the announcement, 29 s are enough.
    """
    setup = " ".join(["word"] * 45)
    text = (
        "title: Long set-up\nexercises:\n  - name: Bridge\n    kind: reps\n    reps: 5\n"
        f"    tempo: {{out: 2 s, back: 2 s}}\n    setup: {setup}\n"
        f"    rests: {{before: {allowed_s} s}}\n"
    )
    lengths = Given({setup: 45 / 130 * 60 + 3 * 0.6, **opening_of(30)})
    assert lengths.of(setup) == pytest.approx(22.57 * RATE_HZ, abs=0.01 * RATE_HZ)
    routine = read(tmp_path, text)
    if fits:
        assert plan_session(routine, lengths, Wishes(voice="calm"))
        return
    with pytest.raises(Exception, match="set-up-too-long") as caught:
        plan_session(routine, lengths, Wishes(voice="calm"))
    (problem,) = caught.value.problems  # type: ignore[attr-defined]
    assert (problem.place.line, problem.place.path) == (8, "exercises[0].rests.before")


def test_the_78_s_are_refilled_inside_ranges_or_refused(tmp_path: Path) -> None:
    """Routine B without cat and camel, asked for in 600 s: refused as fixed, refilled with ranges.

    The bridge may have up to 12 repetitions and the knee to chest up to 40 s.
    """
    lines = LOW_BACK.splitlines(keepends=True)
    at = next(index for index, line in enumerate(lines) if "Cat and camel" in line)
    text = "length: 10 min\n" + "".join(lines[:at] + lines[at + 2 :])
    given = Given(opening_of(30) | closing_of(15))
    with pytest.raises(InputProblems, match="length-out-of-reach"):
        plan_session(read(tmp_path, text), given, Wishes(voice="calm"))
    ranged = text.replace("hold: 20 s", "hold: 20 s (20 to 40)").replace(
        "{name: Bridge, kind: reps, reps: 8", "{name: Bridge, kind: reps, reps: 8 (8 to 12)"
    )
    session = plan_session(read(tmp_path, ranged), given, Wishes(voice="calm"))
    assert session.length == 600 * RATE_HZ
    assert any("Single knee to chest" in note for note in session.notes)
