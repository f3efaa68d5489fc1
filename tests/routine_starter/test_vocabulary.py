"""The published words, and that the starter library says nothing else."""

from __future__ import annotations

import re

import pytest

from breathmark.units import parse_duration_ms
from tests.routine_starter.shelf import WORD, Entry, entries, vocabulary

LIBRARY = entries()
WORDS = vocabulary()
POSITION_TAGS = {
    "standing": "standing",
    "seated": "sitting",
    "supine": "lying on the back",
    "prone": "lying face down",
    "side-lying": "lying on the side",
    "kneeling": "kneeling",
    "hands and knees": "kneeling",
}
IMPLIED = {
    "narrow stance": "standing",
    "balance on one leg": "standing",
    "stepping up": "standing",
    "loaded spinal flexion": "spinal flexion",
}
each = pytest.mark.parametrize("entry", LIBRARY, ids=str)


def test_the_list_of_tags_is_short_enough_to_read() -> None:
    assert 25 <= len(WORDS["tags"]) <= 45


@pytest.mark.parametrize(("tag", "meaning"), WORDS["tags"].items())
def test_a_tag_means_one_sentence(tag: str, meaning: str) -> None:
    assert re.fullmatch(r"[A-Z][^.]+\.", meaning)
    assert len(WORD.findall(meaning)) <= 20
    assert tag == tag.lower().strip()


@pytest.mark.parametrize(("target", "about"), WORDS["targets"].items())
def test_a_target_has_a_region_and_words_for_the_patient(
    target: str, about: dict[str, str]
) -> None:
    assert set(about) == {"region", "plain"}, target
    assert about["region"] in WORDS["regions"]
    assert len(about["plain"]) >= 3


@each
def test_tags_targets_and_equipment_are_published(entry: Entry) -> None:
    for key, listed in (("involves", "tags"), ("targets", "targets"), ("equipment", "equipment")):
        assert entry.listed(key), f"{entry}: no {key}"
        assert set(entry.listed(key)) <= set(WORDS[listed]), f"{entry}: {key}"
        assert len(set(entry.listed(key))) == len(entry.listed(key)), f"{entry}: {key} twice"


@each
def test_the_first_target_belongs_to_the_region_of_the_file(entry: Entry) -> None:
    regions = {WORDS["targets"][target]["region"] for target in entry.listed("targets")}
    assert entry.region in regions


@each
def test_the_position_is_among_the_tags(entry: Entry) -> None:
    assert POSITION_TAGS[entry.data["position"]] in entry.listed("involves")


@each
def test_a_tag_that_implies_another_comes_with_it(entry: Entry) -> None:
    tags = entry.listed("involves")
    assert [tag for tag in tags if tag in IMPLIED and IMPLIED[tag] not in tags] == []


@each
def test_what_the_words_name_is_listed_as_equipment_and_what_is_listed_is_named(
    entry: Entry,
) -> None:
    text = " ".join(entry.words).lower()
    named = {
        word
        for words in WORDS["equipment"].values()
        for word in words
        if re.search(rf"\b{word}\b", text)
    }
    listed = {item: set(WORDS["equipment"][item]) for item in entry.listed("equipment")}
    assert named <= set().union(*listed.values()), f"{entry}: named, not listed"
    assert [item for item, words in listed.items() if not words & named] == []


def test_the_position_table_covers_every_position_used() -> None:
    assert {entry.data["position"] for entry in LIBRARY} == set(POSITION_TAGS)


@each
def test_a_repetition_that_stays_for_five_seconds_is_isometric(entry: Entry) -> None:
    if entry.data["kind"] == "reps":
        stays = parse_duration_ms(entry.data["tempo"]["hold"]) >= 5_000
        assert stays == ("isometric effort" in entry.listed("involves"))
