"""`breathmark exercises`: finding one, and showing it so that it can be pasted."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
import yaml

from breathmark.cli.exercises import Sought, find, search, shelf, what_lacks
from breathmark.cli.exercises_shown import none_text, table_text, tags_text, whole_text
from breathmark.problems import UsageProblem
from breathmark.routine.library import starter_library
from breathmark.routine.reading import read_routine
from breathmark.routine.tags import published
from tests.cli.test_cli import breathmark

OWN = """\
region: hip
tags: {wet floor: The floor may be wet.}
exercises:
  - {name: Pool walk, kind: free, time: 1 min, position: standing, sides: both,
     setup: Walk., feel: steady, equipment: [handrail], involves: [standing, wet floor]}
  # A note between two.
  - name: Heel raises
    kind: reps
    position: standing
    targets: [soleus]
    reps: 4
    tempo: {out: 1 s, back: 1 s}
    involves: [standing]
"""


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """A library of the clinician's own."""
    path = tmp_path / "own.yaml"
    path.write_text(OWN)
    return path


def names(sought: Sought, library: Path | None = None) -> list[str]:
    """The names of what is found."""
    return [one.exercise.name for one in search(shelf((library,) if library else ()), sought)]


def test_without_a_wish_everything_is_listed() -> None:
    """The whole starter library, each exercise once."""
    assert sorted(names(Sought())) == sorted(one.name for one in starter_library())


@pytest.mark.parametrize(
    ("sought", "found", "not_found"),
    [
        (Sought(regions=("Hip",)), "Side-lying leg lift", "Heel raises"),
        (Sought(regions=("hip", "ankle and foot")), "Heel raises", "Tandem stance"),
        (Sought(positions=("seated",)), "Ankle circles", "Heel raises"),
        (Sought(positions=("sitting",)), "Ankle circles", "Heel raises"),
        (Sought(targets=("Soleus",)), "Heel raises", "Ankle circles"),
        (Sought(equipment=("sturdy chair",)), "Ankle circles", "Heel raises"),
        (Sought(equipment=("kitchen counter", "sturdy chair")), "Heel raises", "Towel scrunches"),
        (Sought(avoid=("toes bent back",)), "Ankle circles", "Heel raises"),
        (Sought(avoid=("kneeling",)), "Heel raises", "Half-kneeling hip flexor stretch"),
    ],
)
def test_what_is_sought_is_found_and_nothing_else(
    sought: Sought, found: str, not_found: str
) -> None:
    """Each filter keeps what suits and leaves out what does not."""
    everything = names(Sought())
    assert {found, not_found} <= set(everything), "the library has other names by now"
    kept = names(sought)
    assert found in kept
    assert not_found not in kept


def test_nothing_at_hand_leaves_what_needs_nothing(own: Path) -> None:
    """`nothing` is a word for the equipment that there is."""
    kept = search(shelf((own,)), Sought(equipment=("nothing",)))
    assert [one.exercise.name for one in kept if one.own] == ["Heel raises"]
    assert {one.exercise.equipment for one in kept} == {()}


@pytest.mark.parametrize(
    ("sought", "said"),
    [
        (Sought(regions=("hpi",)), "`hip`"),
        (Sought(positions=("seeted",)), "`seated`"),
        (Sought(targets=("solues",)), "`soleus`"),
        (Sought(equipment=("chair",)), "`sturdy chair` or `sturdy chair with arms`"),
        (Sought(avoid=("kneling",)), "`kneeling`"),
    ],
)
def test_a_word_that_means_nothing_is_a_usage_error(sought: Sought, said: str) -> None:
    """With the nearest word that does."""
    with pytest.raises(UsageProblem, match="there is no") as caught:
        search(shelf(), sought)
    assert said in str(caught.value)


def test_nothing_in_the_starter_library_needs_nothing() -> None:
    """So the help says, since even who sits needs a chair."""
    assert all(one.exercise.equipment for one in shelf())


@pytest.mark.parametrize(
    ("sought", "asked"),
    [
        (Sought(equipment=("Towel",)), "exercises needs only: Towel."),
        (Sought(equipment=("nothing",)), "exercises needs nothing at all."),
        (Sought(equipment=("towel",), positions=("supine",)), "is like that and needs only: towel"),
    ],
)
def test_too_little_at_hand_is_told_with_what_to_add(sought: Sought, asked: str) -> None:
    """And with it, as many are found as was said."""
    more, number = what_lacks(shelf(), sought)
    assert more
    assert len(names(replace(sought, equipment=(*(sought.equipment or ()), *more)))) == number > 0
    text = none_text(shelf(), sought)
    assert asked in text
    assert f'with --equipment "{more[0]}" as well, there are {number}.' in text


@pytest.mark.parametrize("equipment", [None, ("towel",)])
def test_asking_for_less_is_the_remedy_where_no_equipment_helps(
    equipment: tuple[str, ...] | None,
) -> None:
    sought = Sought(targets=("soleus",), positions=("supine",), equipment=equipment)
    assert names(sought) == [], "the library has one by now"
    assert none_text(shelf(), sought).endswith("is like that. Ask for less.")


def test_an_own_library_comes_first_with_its_own_words(own: Path) -> None:
    """Its exercises, tags and equipment are known, and its `Heel raises` is the one."""
    assert names(Sought(targets=("soleus",), regions=("hip",)), own) == ["Heel raises"]
    assert "Pool walk" not in names(Sought(avoid=("wet floor",)), own)
    assert "Pool walk" in names(Sought(equipment=("handrail",)), own)
    assert find(shelf((own,)), "heel RAISES").library.file == str(own)


@pytest.mark.parametrize("name", [one.name for one in starter_library()])
def test_what_is_shown_in_full_can_be_pasted(name: str, tmp_path: Path) -> None:
    """Every starter exercise, pasted, is the same as used; so is the hint above it."""
    exercises = shelf()
    text = whole_text(find(exercises, name), exercises)
    hint = "\n".join(line[2:] for line in text.splitlines() if line.startswith("#  "))
    read = []
    for number, part in enumerate((text, f"exercises:\n{hint}\n")):
        path = tmp_path / f"{number}.yaml"
        path.write_text(f"title: A\n{part}", encoding="utf-8")
        read.append(read_routine(path))
    assert read[0].exercises == read[1].exercises
    assert read[0].alternatives == read[1].alternatives


def test_what_is_written_in_braces_is_written_out(own: Path) -> None:
    """It is the same, on lines of its own; the hint names the library."""
    exercises = shelf((own,))
    text = whole_text(find(exercises, "Pool walk"), exercises)
    assert yaml.load(text, yaml.BaseLoader)["exercises"] == [
        yaml.load(OWN, yaml.BaseLoader)["exercises"][0]
    ]
    assert f"# library: [{own}]" in text
    assert "A note" not in whole_text(find(exercises, "Heel raises"), exercises)


def test_the_table_keeps_its_width() -> None:
    """At 80 columns nothing runs over, and every exercise has its line."""
    exercises = shelf()
    text = table_text(exercises, len(exercises), width=80)
    assert max(map(len, text.splitlines())) <= 80
    assert "Heel raises" in text


def test_every_published_tag_has_its_meaning_listed() -> None:
    """`--tags` is the list that is spoken of everywhere."""
    text = " ".join(tags_text(shelf(), width=100).split())
    for tag, meaning in published().tags.items():
        assert f"{tag} {meaning}" in text


def test_the_command(own: Path) -> None:
    """As a person types it."""
    found = breathmark("exercises", "--library", own, "--region", "hip", "--target", "soleus")
    assert found.returncode == 0
    assert "1 of 88 exercises" in found.stdout
    assert breathmark("exercises", "Heel rise").returncode == 2
    assert "hamstrings" in breathmark("exercises", "--targets").stdout


def test_part_of_a_name_is_enough_to_be_offered_the_whole() -> None:
    """What a clinician remembers of a name, a muscle or a tag."""
    for words, offered in (
        (("doorway",), "Did you mean `Doorway chest stretch`?"),
        (("--target", "glute"), "Did you mean `gluteus maximus` or `gluteus medius`?"),
        (("--avoid", "kneel"), "Did you mean `kneeling`?"),
    ):
        done = breathmark("exercises", *words)
        assert (done.returncode, offered in done.stderr) == (2, True), done.stderr
