"""What the starter library holds: enough of everything, whole entries, safe doses and chains."""

from __future__ import annotations

import re
from collections import Counter

import pytest

from breathmark.units import parse_duration_ms
from tests.routine_starter.shelf import Entry, chain, entries, files, vocabulary

LIBRARY = entries()
BY_NAME = {entry.name: entry for entry in LIBRARY}
DOSE_KEYS = {
    "hold": {"hold", "sets"},
    "reps": {"reps", "tempo", "sets"},
    "free": {"time"},
    "breathing": {"breaths", "pattern"},
    "contract-relax": {"contract", "relax", "stretch", "sets"},
}
ALWAYS = {"name", "kind", "position", "targets", "sides", "setup", "cues", "feel", "easier"}
ALWAYS |= {"harder", "equipment", "involves"}
SOMETIMES = {"breathe", "calls", "instead", "change sides"}
each = pytest.mark.parametrize("entry", LIBRARY, ids=str)


def bounds(text: str, *, timed: bool) -> tuple[int, int, int]:
    """Lowest, usual and highest of an amount, in seconds when ``timed``."""
    match = re.fullmatch(r"([^()]+?)(?: \((.+) to (.+)\))?", text)
    assert match is not None, text
    usual, low, high = match[1], match[2] or match[1], match[3] or match[1]
    if not timed:
        return int(low), int(usual), int(high)
    parts = (low if " " in low else f"{low} s", usual, high if " " in high else f"{high} s")
    low_s, usual_s, high_s = (parse_duration_ms(part) // 1000 for part in parts)
    return low_s, usual_s, high_s


def test_there_are_enough_exercises_and_no_name_twice() -> None:
    assert len(LIBRARY) >= 44
    assert len(BY_NAME) == len(LIBRARY)


def test_one_file_for_each_region_with_several_exercises() -> None:
    assert sorted(content["region"] for content in files().values()) == sorted(
        vocabulary()["regions"]
    )
    assert min(Counter(entry.region for entry in LIBRARY).values()) >= 5


def test_every_kind_but_the_pause_is_there() -> None:
    assert {entry.data["kind"] for entry in LIBRARY} == set(DOSE_KEYS)


def test_stretch_isometric_and_balance_holds_are_all_there() -> None:
    holds = [entry for entry in LIBRARY if entry.data["kind"] == "hold"]
    assert len([entry for entry in holds if entry.is_isometric]) >= 5
    assert len([entry for entry in holds if entry.is_stretch]) >= 10
    assert len([entry for entry in holds if entry.region == "balance"]) >= 3


@each
def test_an_entry_is_whole(entry: Entry) -> None:
    keys = set(entry.data)
    needed = ALWAYS | DOSE_KEYS[entry.data["kind"]]
    assert needed - keys == set()
    assert keys - needed - SOMETIMES == set()
    assert all(entry.data.values())
    assert 2 <= len(entry.listed("cues")) <= 3
    assert 1 <= len(entry.listed("targets")) <= 3


@each
def test_effort_has_a_breathing_line_and_phases_have_calls(entry: Entry) -> None:
    kind = entry.data["kind"]
    assert ("breathe" in entry.data) == (kind != "breathing")
    if kind == "reps":
        assert {"out", "back"} <= set(entry.data["calls"]) <= {"out", "hold", "back"}
    elif kind == "contract-relax":
        assert set(entry.data["calls"]) == {"contract", "relax", "stretch"}
    else:
        assert "calls" not in entry.data


@each
def test_sides_suit_the_kind(entry: Entry) -> None:
    sides, kind = entry.data["sides"], entry.data["kind"]
    assert sides in {"both", "each", "alternating"}
    if sides == "alternating":
        assert kind in {"reps", "free"}
        if kind == "reps":
            assert all(n % 2 == 0 for n in bounds(entry.data["reps"], timed=False))
            harder = entry.data["harder"]
            assert isinstance(harder, str) or int(harder.get("reps", 2)) % 2 == 0
    assert entry.data.get("change sides", "after all sets") == "after all sets"
    assert "change sides" not in entry.data or sides == "each"


@each
def test_doses_lie_within_published_guidance(entry: Entry) -> None:
    """ACSM 2011 for stretches (60 s in all, older adults 30-60 s at most; second-hand),
    isometrics 5-10 s and balance 10-30 s (common practice), repetitions 6-20 (ACSM 2009 and
    BMC Geriatr 2013;13:105 give 8-15 for strength; easier starts and mobility are wider),
    PNF 3-6 s then 10-30 s (from memory)."""
    kind = entry.data["kind"]
    if kind == "hold":
        low, usual, high = bounds(entry.data["hold"], timed=True)
        sets = bounds(entry.data["sets"], timed=False)
        if entry.is_isometric:
            assert (low, usual, high) == (5, 5, 10)
        elif entry.is_stretch:
            assert low >= 10
            assert high <= 60
            assert usual * sets[1] >= 60
            assert usual * sets[2] <= 240
        else:
            assert (low, high) == (10, 30)
    elif kind == "reps":
        low, usual, high = bounds(entry.data["reps"], timed=False)
        assert 6 <= low < high <= 20
    elif kind == "contract-relax":
        assert bounds(entry.data["contract"], timed=True) == (3, 6, 6)
        assert bounds(entry.data["stretch"], timed=True) == (10, 20, 30)


@each
def test_tempo_is_slow_and_lowers_no_faster_than_it_lifts(entry: Entry) -> None:
    """2 s and 2 s for older beginners (BMC Geriatr 2013;13:105), 5-7 s for a repetition at
    home (common practice); ankle pumps alone are quicker."""
    if entry.data["kind"] != "reps":
        return
    tempo = {part: parse_duration_ms(text) for part, text in entry.data["tempo"].items()}
    assert set(tempo) == {"out", "hold", "back", "pause"}
    if "ankle pumps" in entry.name:
        assert sum(tempo.values()) == 2_000
        return
    assert tempo["out"] >= 2_000
    assert tempo["back"] >= 2_000
    assert 5_000 <= sum(tempo.values()) <= 11_000


@each
def test_breathing_is_slow_and_longer_out_than_in(entry: Entry) -> None:
    """Van Diest 2014: longer out than in; no more than ten a minute; nobody holds a breath."""
    patterns = [entry.data.get("pattern")]
    patterns += [
        entry.data[key].get("pattern")
        for key in ("easier", "harder")
        if isinstance(entry.data[key], dict)
    ]
    for pattern in filter(None, patterns):
        assert set(pattern) == {"in", "out"}
        breath_in, breath_out = (parse_duration_ms(pattern[part]) for part in ("in", "out"))
        assert breath_in < breath_out
        assert breath_in + breath_out >= 5_000


@each
def test_the_harder_dose_is_harder_and_inside_the_range(entry: Entry) -> None:
    harder = entry.data["harder"]
    if isinstance(harder, str):
        return
    for key in set(harder) - {"say", "pattern"}:
        timed = key in {"hold", "stretch", "time"}
        _, usual, high = bounds(entry.data[key], timed=timed)
        assert usual < bounds(harder[key], timed=timed)[1] <= high


@each
def test_instead_exists_and_its_chain_ends_clear_of_every_tag(entry: Entry) -> None:
    """Whatever the patient must avoid of the first, the last involves none of it."""
    links = list(chain(entry, BY_NAME))
    assert len({link.name for link in links} | {entry.name}) == len(links) + 1, "a loop"
    if links:
        assert set(links[-1].listed("involves")) & set(entry.listed("involves")) == set()
        assert set(entry.listed("involves")) - set(links[0].listed("involves"))


def test_only_a_few_have_no_instead() -> None:
    """Those that ask for nothing but sitting, lying or a gentle squeeze end the chains."""
    gentle = {"sitting", "standing", "lying on the back", "isometric effort"}
    gentle |= {"neck rotation", "arms overhead"}
    last = [entry for entry in LIBRARY if "instead" not in entry.data]
    assert all(set(entry.listed("involves")) <= gentle for entry in last)


def test_nothing_in_the_library_jumps_holds_the_breath_or_loads_a_bent_back() -> None:
    never = {"jumping and impact", "breath holding", "loaded spinal flexion", "eyes closed"}
    assert [entry.name for entry in LIBRARY if never & set(entry.listed("involves"))] == []
