"""The words of the starter library: plain, brief, speakable, and enough to move by."""

from __future__ import annotations

import re

import pytest

from breathmark.routine.readability import flesch_kincaid_grade, syllables
from tests.routine_starter.shelf import WORD, Entry, entries

LIBRARY = entries()
each = pytest.mark.parametrize("entry", LIBRARY, ids=str)

HARD_TO_SAY = {"close", "closes", "use", "wind", "lead", "tear", "live", "bow"}
"""Spelt alike, said in two ways: a voice may pick the wrong one."""
STEADY = re.compile(r"\b(counter|chair|wall|rail|frame|armrests)\b")
EFFORTS = r"(lift|push|press|pull|rise|stand|step up|squeeze|raise)"


def sentences(text: str) -> list[str]:
    """The sentences of a text."""
    return [part for part in re.split(r"(?<=[.!?])\s+", text.strip()) if part]


def written(entry: Entry, key: str) -> str:
    """The lines under a key as they were written, sides not filled in."""
    return " ".join(entry.said(key))


@each
def test_the_set_up_is_one_to_three_sentences_of_35_words_at_most(entry: Entry) -> None:
    text = written(entry, "setup").replace("{other side}", "other").replace("{side}", "first")
    assert 1 <= len(sentences(text)) <= 3
    assert 12 <= len(WORD.findall(text)) <= 35
    assert text.endswith(".")


@each
def test_the_set_up_starts_from_a_position(entry: Entry) -> None:
    openings = {
        "standing": r"Stand|Face the counter",
        "seated": r"Sit|Put your chair",
        "supine": r"Lie on your back on a firm bed",
        "prone": r"Lie face down on a firm bed",
        "side-lying": r"Lie on your \{other side\} side on a firm bed",
        "kneeling": r"Hold a chair",
        "hands and knees": r"Hold a chair and come down to a mat",
    }
    assert re.match(openings[entry.data["position"]], written(entry, "setup"))


@each
def test_a_set_up_on_the_feet_names_something_to_hold(entry: Entry) -> None:
    if "standing" in entry.listed("involves"):
        assert STEADY.search(written(entry, "setup"))


@each
def test_a_hold_of_effort_waits_for_the_tone(entry: Entry) -> None:
    if entry.is_isometric:
        assert "At the tone," in written(entry, "setup")


@each
def test_cues_are_one_thought_in_eight_words(entry: Entry) -> None:
    for cue in entry.said("cues"):
        filled = cue.replace("{other side}", "other").replace("{side}", "first")
        assert 2 <= len(WORD.findall(filled)) <= 8, cue
        assert re.fullmatch(r"[A-Z][^.,;:!?]*\.", cue), cue
        assert not re.search(r"\b(and|then|while|but|or)\b", cue), cue


@each
def test_feel_goes_on_from_you_should_feel(entry: Entry) -> None:
    (feel,) = entry.said("feel")
    assert feel[0].islower()
    assert feel[-1].isalpha()
    assert len(WORD.findall(feel)) <= (8 if entry.is_isometric else 14)


@each
def test_easier_and_harder_are_one_short_sentence(entry: Entry) -> None:
    for key in ("easier", "harder"):
        (line,) = entry.said(key)
        assert re.fullmatch(r"[A-Z][^.]*\.", line)
        assert len(WORD.findall(line)) <= 12, line


@each
def test_calls_are_one_to_three_words(entry: Entry) -> None:
    for call in entry.said("calls"):
        assert re.fullmatch(r"[A-Z][a-z]*(?: [a-z]+){0,2}", call), call


@each
def test_sides_are_named_where_they_differ_and_nowhere_else(entry: Entry) -> None:
    text = " ".join(line for key in ("setup", "cues", "feel", "easier", "harder", "breathe")
                    for line in entry.said(key))  # fmt: skip
    if entry.data["sides"] == "each":
        assert "{side}" in written(entry, "setup")
    else:
        assert "{" not in text
    assert set(re.findall(r"\{[^}]*\}", text)) <= {"{side}", "{other side}"}
    assert not re.search(r"\b(left|right)\b", text, re.IGNORECASE)


@each
def test_words_can_be_spoken_as_they_stand(entry: Entry) -> None:
    for line in entry.words:
        assert not re.search(r"[0-9()/&%°×\[\]…\"]", line), line
        assert not re.search(r"\b[A-Z]{2,}\b", line), line
        assert not re.search(r"\b(cm|kg|sec|min|reps?|approx|e\.g|i\.e|etc)\b", line), line
        assert not HARD_TO_SAY & {word.lower() for word in WORD.findall(line)}, line


@each
def test_breath_goes_out_with_effort_and_is_never_held(entry: Entry) -> None:
    text = " ".join(entry.words)
    assert not re.search(r"hold (your|the) breath|bear down", text, re.IGNORECASE)
    assert not re.search(rf"breathe in (as|while|when) you {EFFORTS}", text, re.IGNORECASE)
    if entry.is_isometric or "added resistance" in entry.listed("involves"):
        assert re.search(r"Breathe out as", " ".join(entry.said("breathe")))


@each
def test_reading_grade_is_six_at_most(entry: Entry) -> None:
    """Patient text belongs at grade 5 to 8 (Am Fam Physician 2015;92:118-24)."""
    assert flesch_kincaid_grade(entry.spoken_text) <= 6


def test_names_are_in_sentence_case() -> None:
    for entry in LIBRARY:
        assert re.fullmatch(r"[A-Z][a-z]+(?:[ -][a-z]+)*", entry.name), entry.name


@each
def test_no_long_words_in_what_is_asked_for(entry: Entry) -> None:
    """The grade is an average; one long word in a short line is lost all the same."""
    asked = " ".join(entry.words[1:])
    assert [word for word in WORD.findall(asked) if syllables(word) > 3] == []
