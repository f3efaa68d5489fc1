"""Two records compared: each difference in words, nothing where there is none."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from breathmark.deliver.compare import compared_text, differences, read_record
from breathmark.deliver.record import own_digest, record_text
from breathmark.problems import InputProblems, UsageProblem
from tests.deliver.handed import prescribed

Record = dict[str, Any]
FILES = {
    "captions.vtt": {"sha256": "a" * 64, "bytes": 1},
    "steady.mp3": {"sha256": "b" * 64, "bytes": 2},
}
CHECKS = [{"check": "length", "file": "steady.mp3", "passed": True, "detail": "Exactly."}]


def record() -> Record:
    """A record as a build writes it, with a patient, a second exercise and a voice."""
    made: Record = json.loads(record_text(prescribed(), FILES, CHECKS))
    second = {**made["exercises"][0], "name": "Heel raises", "dose": "10 repetitions of 4 s"}
    made["exercises"] = [made["exercises"][0], second]
    made["patient"] = {"label": "R-204", "file": "r-204.yaml", "sha256": "c" * 64}
    made["voices"] = [{"voice": "calm", "engine": "piper", "piper-tts": "1.8.0"}]
    made["changes"] = [{"kind": "dose", "sentence": "The hold is 20 s."}]
    made["cautions"] = ["Have somebody nearby."]
    return signed(made)


def signed(made: Record) -> Record:
    """The record with the check sum that goes with it."""
    return made | {"record_sha256": own_digest(made)}


def put(*where: str | int, to: Any) -> Callable[[Record], None]:
    """Change one value of a record."""

    def change(made: Record) -> None:
        inside: Any = made
        for key in where[:-1]:
            inside = inside[key]
        inside[where[-1]] = to

    return change


def swap(made: Record) -> None:
    """The exercises trade places."""
    made["exercises"].reverse()


def drop(made: Record) -> None:
    """The second exercise goes."""
    del made["exercises"][1]


def add(made: Record) -> None:
    """The first exercise comes once more, with another dose."""
    made["exercises"].append({**made["exercises"][0], "dose": "hold 10 s"})


CASES: tuple[tuple[Callable[[Record], None], tuple[str, ...]], ...] = (
    (put("made by", to="Breathmark 9.9"), ("Made by: “Breathmark ", "“Breathmark 9.9” now.")),
    (put("title", to="Steady"), ("Title: “Steady on your feet” before, “Steady” now.",)),
    (put("week", to=3), ("Week: 1 before, 3 now.",)),
    (put("frequency", to=""), ("How often: “5 days a week” before, nothing now.",)),
    (put("length", "ms", to=900_000), ("Length: 12:00 before, 15:00 now.",)),
    (put("length", "samples", to=17_280_001), ("samples: 17280000 before, 17280001 now.",)),
    (swap, ("The order changed; it is now: Heel raises, Standing calf stretch.",)),
    (drop, ("Exercise gone: Heel raises (10 repetitions of 4 s).",)),
    (add, ("Exercise new: Standing calf stretch (hold 10 s).",)),
    (
        put("exercises", 0, "dose", to="hold 20 s, 2 sets"),
        ("Standing calf stretch, dose: “hold 30 s, 2 sets” before, “hold 20 s, 2 sets” now.",),
    ),
    (
        put("exercises", 1, "length_ms", to=60_000),
        ("Time with everything around it: Heel raises 3:23 before, 1:00 now.",),
    ),
    (put("exercises", 1, "kind", to="reps"), ("Heel raises, kind: “hold” before, “reps” now.",)),
    (
        put("cautions", to=["Eat first."]),
        ("Caution gone: Have somebody", "Caution new: Eat first."),
    ),
    (put("changes", 0, "sentence", to="It is 10 s."), ("Change gone: The hold", "Change new: It")),
    (put("voices", 0, "voice", to="clear"), ("Voice gone: calm", "Voice new: clear")),
    (
        put("voices", 0, "piper-tts", to="1.9.0"),
        ("Voice calm, piper-tts: “1.8.0” before, “1.9.0” now.",),
    ),
    (put("routine", "sha256", to="d" * 64), ("The routine's file says something else now",)),
    (put("patient", "label", to="R-205"), ("Label: “R-204” before, “R-205” now.",)),
    (put("patient", to=None), ("Made for a patient before, for everybody now.",)),
    (put("checks", 0, "passed", to=False), ("Check length of steady.mp3: passed before, failed",)),
    (put("checks", to=[]), ("Checks gone: 1 of steady.mp3.",)),
    (
        put("checks", to=[*CHECKS, {"check": "peak", "file": "a.m4a", "passed": True},
                          {"check": "tags", "file": "a.m4a", "passed": False}]),
        ("Check tags of a.m4a: not made before, failed now.", "Checks new, all passed: 1 of a.m4a"),
    ),
    (
        put("files", "steady.mp3", "sha256", to="e" * 64),
        ("Files that differ: steady.mp3.", "Files that are the same, byte for byte: captions.vtt."),
    ),
    (put("files", "cover.png", to={"sha256": "f" * 64, "bytes": 9}), ("Files new: cover.png.",)),
    (
        put("findings", to=[{"check": "held-breath", "message": "Breath.",
                             "accepted_because": "x"}]),
        ("Remark new: Breath. [held-breath], accepted: x",),
    ),
    (put("totals_ms", "work", to=61_000), ("Work in all: ", "before, 1:01 now.")),
    (put("dose", "days_a_week", to=3), ("Days a week: 5 before, 3 now.",)),
    (
        put("dose", "targets", to=[{"target": "calf", "left": {"session": {"stretch_ms": 60_000}},
                                    "right": {"session": {"stretch_ms": 60_000}}}]),
        ("calf, each side, new: stretch 1:00 in a session.",),
    ),
    (
        put("dose", "targets", to=[{"target": "calf", "left": {"session": {"repetitions": 8}}}]),
        ("calf, left, new: repetitions 8 in a session.",),
    ),
    (put("dose", "targets", to=[]), ("Standing calf stretch, each side, gone: stretch ",)),
    (
        put("dose", "targets", 0, "left", "session", "stretch_ms", to=1_000),
        ("Standing calf stretch, left, stretch in a session: ", "before, 0:01 now."),
    ),
    (
        put("exercises", 0, "picture_sha256", to="0" * 64),
        ("Standing calf stretch has a picture now.",),
    ),
    (put("left_out", to=["Bridge: no room to say “Lift.”"]), ("Now: Bridge: no room to say",)),
    (put("gain_db", to=1.5), ("Gain in dB: 0.0 before, 1.5 now.",)),
    (put("checks", 0, "detail", to="As planned."), ("Only details differ, in: checks.",)),
    (put("progression", to={"rule": "pain 0"}), ("progression: nothing before, {\"rule\"",)),
)  # fmt: skip


@pytest.mark.parametrize(("change", "said"), CASES)
def test_each_difference_is_said(change: Callable[[Record], None], said: tuple[str, ...]) -> None:
    """One thing is changed, and it is said, whichever of the two came first."""
    now = record()
    change(now)
    told = "\n".join(differences(record(), now))
    for part in said:
        assert part in told, told
    assert differences(now, record()) != ()


def test_only_what_differs_is_said() -> None:
    """A change of the week is one line; the same record says nothing."""
    now = record()
    now["week"] = 2
    assert differences(record(), now) == ("Week: 1 before, 2 now.",)
    assert differences(record(), record()) == ()
    assert "Nothing differs" in compared_text(record(), record())


def test_the_records_own_check_sum_is_no_difference() -> None:
    """It differs with whatever else differs, and an older record has none."""
    before, now = record() | {"record_sha256": "a" * 64}, record() | {"record_sha256": "b" * 64}
    assert differences(before, now) == differences(record(), now) == ()


def test_a_record_that_was_changed_by_hand_is_told() -> None:
    """Its check sum does not go with it; one of an older version has none and says nothing."""
    now = record()
    now["exercises"][0]["name"] = "Another stretch"
    told = "The second record was changed after it was made"
    assert told in compared_text(record(), now)
    assert told not in compared_text(record(), signed(now))
    del now["record_sha256"]
    assert told not in compared_text(record(), now)


def test_a_note_that_repeats_a_change_is_said_once() -> None:
    """What was changed for the patient is among the notes, too."""
    now = record()
    now["changes"] = [{"kind": "length", "sentence": "The session lasts 13 min."}]
    now["notes"] = ["The session lasts 13 min.", "Rests were lengthened by 9 s in all."]
    told = differences(record() | {"changes": [], "notes": []}, now)
    assert told == (
        "Change new: The session lasts 13 min.",
        "Note new: Rests were lengthened by 9 s in all.",
    )


def test_the_text_says_which_two_they_are() -> None:
    """By title and label, and each difference on a line of its own."""
    now = record()
    now |= {"week": 2, "patient": {"label": "R-205", "file": "r-204.yaml", "sha256": "c" * 64}}
    assert compared_text(record(), signed(now)) == (
        "Before: Steady on your feet (R-204)\nNow:    Steady on your feet (R-205)\n\n"
        "- Week: 1 before, 2 now.\n- Label: “R-204” before, “R-205” now.\n"
    )


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
    max_leaves=8,
)


@given(data=st.data())
def test_no_record_is_so_odd_that_it_cannot_be_compared(data: st.DataObject) -> None:
    """Any value in any place of either gives sentences on one line each, never an error."""
    one, other = record(), record()
    for made in (one, other):
        for key in data.draw(st.sets(st.sampled_from(sorted(made)), max_size=4)):
            inside = made[key]
            if isinstance(inside, list) and inside and isinstance(inside[0], dict):
                inside = inside[0]
            if isinstance(inside, dict) and inside and data.draw(st.booleans()):
                inside[data.draw(st.sampled_from(sorted(inside)))] = data.draw(JSON)
            else:
                made[key] = data.draw(JSON)
    kept = copy.deepcopy((one, other))
    told = differences(one, other)
    assert (one, other) == kept
    assert bool(told) == (one != other)
    assert not any("\n" in line for line in told)


def test_a_folder_and_its_record_are_the_same(tmp_path: Path) -> None:
    text = record_text(prescribed(), FILES, CHECKS)
    (tmp_path / "record.json").write_text(text, encoding="utf-8")
    assert read_record(tmp_path) == read_record(tmp_path / "record.json") == json.loads(text)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "r.json:1:1"),
        (b'{"made by": "Breathmark 1",\n "title" "x"}', "r.json:2:10"),
        (b"\xff\xfe", "UTF-8"),
        (b"[" * 100_000, "not JSON|not whole"),
        (b"[]", "Breathmark made it"),
        (b'{"made by": "Somebody"}', "Breathmark made it"),
    ],
)
def test_what_is_no_record_is_said(tmp_path: Path, content: bytes, said: str) -> None:
    path = tmp_path / "r.json"
    path.write_bytes(content)
    with pytest.raises(InputProblems, match=said):
        read_record(path)


def test_what_is_not_there_is_said(tmp_path: Path) -> None:
    with pytest.raises(UsageProblem, match=r"no record\.json in it"):
        read_record(tmp_path)
    with pytest.raises(UsageProblem, match="no such folder"):
        read_record(tmp_path / "gone")
