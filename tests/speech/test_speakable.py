"""Written lines become what a person would say."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from breathmark.speech.speakable import blocks, sentences, speakable, words_in

SAID = {
    # Amounts and units
    "30 s": "30 seconds.",
    "1 s": "1 second.",
    "30s": "30 seconds.",
    "Hold 30 sec. Then rest.": "Hold 30 seconds. Then rest.",
    "Move 1 min., then rest.": "Move 1 minute, then rest.",
    "1 min 30 s": "1 minute and 30 seconds.",
    "1:30": "1 minute and 30 seconds.",
    "0:30": "30 seconds.",
    "2:00": "2 minutes.",
    "a 30 s hold": "a 30 second hold.",
    "a 30-second hold": "a 30 second hold.",
    "2 x 30 s each side": "2 times 30 seconds each side.",
    "2x": "2 times.",
    "3×10 reps": "3 times 10 repetitions.",
    "hold 5 s ×3": "hold 5 seconds, 3 times.",
    "5-10 s": "5 to 10 seconds.",
    "5–10": "5 to 10.",
    "3... 2... 1": "3, 2, 1.",
    "3-2-1": "3, 2, 1.",
    "1/2": "one half.",
    "3/4 of the way": "three quarters of the way.",
    "2½ turns": "2 and a half turns.",
    "effort 5/10": "effort 5 out of 10.",
    "5 kg": "5 kilograms.",
    "1 kg": "1 kilogram.",
    "90°": "90 degrees.",
    "a 90° bend": "a 90 degree bend.",
    "100%": "100 percent.",
    "2 sets/day": "2 sets a day.",
    "C5-C6": "C5 to C6.",
    # Short forms and signs
    "e.g. a towel": "for example, a towel.",
    "approx. 5 cm": "approximately 5 centimeters.",
    "Ask Dr. Who": "Ask Doctor Who.",
    "w/ a towel": "with a towel.",
    "left & right": "left and right.",
    "left/right": "left or right.",
    "and/or": "or.",
    "Sit tall (back straight).": "Sit tall, back straight.",
    "Wait — then go": "Wait, then go.",
    "Relax…": "Relax.",
    "“Sit tall”": "Sit tall.",
    "don’t": "don't.",
    "*now*": "now.",
    # Capitals, spaces, signs without a sound
    "STOP NOW": "stop now.",
    "Rest,\n   then\tgo": "Rest, then go.",
    "Smile 🙂": "Smile.",
    "Ready?!": "Ready?",
    "[[kæt]]": "kæt.",
    "...": "",
    "🙂": "",
    "   ": "",
}


@pytest.mark.parametrize(("written", "said"), SAID.items(), ids=repr)
def test_written_is_said(written: str, said: str) -> None:
    """One row of the table: common practice, in the words a clinician would use."""
    assert speakable(written, {}) == said


def test_ordinary_lines_stay_as_they_are() -> None:
    """Nothing is rewritten that was speakable already."""
    for line in ("Sit tall.", "Breathe in.", "Side-lying, knees bent.", "Is it a mild pull?"):
        assert speakable(line, {}) == line


def test_the_longest_entry_of_the_lexicon_wins() -> None:
    """Whole words only, in any capitals, possessives too."""
    lexicon = {"calf": "kaf", "calf raise": "heel lift", "ROM": "range"}
    assert speakable("Calf raise: the calf's rom, calfs.", lexicon) == (
        "heel lift: the kaf's range, calfs."
    )


def test_a_written_bracket_cannot_smuggle_in_phonemes() -> None:
    """Only the lexicon speaks in phonemes."""
    assert "[[" not in speakable("Say [[ˈaɪ]] and [ [ x ] ]", {})


@given(st.text(max_size=200))
def test_any_text_becomes_one_clean_line(text: str) -> None:
    """No text breaks it; what comes out is on one line, in sentences, or empty."""
    said = speakable(text, {})
    assert said == "" or said[-1] in ".!?"
    assert "\n" not in said
    assert "  " not in said
    assert (sentences(said) == ()) == (said == "")


@given(st.lists(st.sampled_from(["Sit tall.", "Up!", "Ready?", "Use 2 towels."]), max_size=6))
def test_sentences_lose_no_word(parts: list[str]) -> None:
    """Cutting into sentences keeps every word in its order."""
    said = " ".join(parts)
    assert " ".join(sentences(said)) == said
    assert words_in(said) == len(said.split())


def test_blocks_keep_phonemes_whole() -> None:
    """The parts join up to what was cut."""
    said = "Tighten the [[kwˈɑːdɹᵻsˌɛps]], then [[ɹᵻst]]."
    assert "".join(blocks(said)) == said
    assert blocks(said)[1] == "[[kwˈɑːdɹᵻsˌɛps]]"
