"""The lexicon: read, limited to where it applies, and checked against the voice."""

from __future__ import annotations

from pathlib import Path

import pytest

from breathmark.problems import InputProblems
from breathmark.speech.engines.piper import PiperEngine
from breathmark.speech.lexicon import Lexicon, load_lexicon
from breathmark.speech.profiles import load_profile
from breathmark.speech.speakable import speakable
from breathmark.speech.speaker import lexicon_for


def read(tmp_path: Path, text: str) -> Lexicon:
    """The lexicon in ``text``."""
    path = tmp_path / "lexicon.yaml"
    path.write_text(text, encoding="utf-8")
    return load_lexicon([path])


def test_a_word_has_a_sound_or_a_spelling(tmp_path: Path) -> None:
    """Voices with phonemes take the sound, the others the spelling, else the word itself."""
    lexicon = read(tmp_path, "fascia: {sound: fˈæʃə, spelling: fasha}\nACL: {sound: ˌeɪ}\n")
    assert lexicon.as_sounds() == {"fascia": "[[fˈæʃə]]", "ACL": "[[ˌeɪ]]"}
    assert lexicon.as_spellings() == {"fascia": "fasha"}


def test_an_entry_can_wait_for_the_word_that_follows(tmp_path: Path) -> None:
    """`close` sounds otherwise as what is done than as where something is."""
    lexicon = read(tmp_path, "close: {spelling: cloze, before: [your, the]}\n").as_spellings()
    assert speakable("Close your eyes.", lexicon) == "cloze your eyes."
    assert speakable("Stay close to the wall.", lexicon) == "Stay close to the wall."


def test_an_entry_can_wait_for_the_end_of_the_sentence(tmp_path: Path) -> None:
    """A call written without its stop is one, too."""
    lexicon = read(tmp_path, "breathe: {spelling: breethe, before: [in., out.]}\n").as_spellings()
    assert speakable("Breathe out", lexicon) == "breethe out."
    assert speakable("Breathe out as you rise.", lexicon) == "Breathe out as you rise."


WRONG = {
    "fascia: {}\n": ("missing-key", 1, 9),
    "fascia: {sond: fˈæʃə, sound: f}\n": ("unknown-key", 1, 10),
    "fascia: fasha\n": ("wrong-type", 1, 9),
    "fascia: {sound: [f]}\n": ("wrong-type", 1, 17),
    "a: {sound: f}\na: {sound: g}\n": ("twice", 2, 1),
}


@pytest.mark.parametrize(("text", "expected"), WRONG.items(), ids=repr)
def test_a_wrong_entry_is_placed(text: str, expected: tuple[str, int, int], tmp_path: Path) -> None:
    """Rule, line and column."""
    with pytest.raises(InputProblems) as raised:
        read(tmp_path, text)
    problem = raised.value.problems[0]
    assert (problem.rule, problem.place.line, problem.place.column) == expected


def test_a_word_with_its_spelling_alone_is_told_how_it_is_written(tmp_path: Path) -> None:
    """What is offered can be followed."""
    with pytest.raises(InputProblems) as raised:
        read(tmp_path, "fascia: fasha\n")
    (problem,) = raised.value.problems
    offered = problem.remedy.split("`")[1]
    assert read(tmp_path, f"fascia: {offered}\n").as_spellings() == {"fascia": "fasha"}


def test_a_role_is_one_that_the_word_has(tmp_path: Path) -> None:
    """An entry that could never be used is told, with those that could."""
    lexicon = read(tmp_path, "close (verb): {sound: klˈoʊz, spelling: cloze}\n")
    assert lexicon.as_sounds() == {"close (verb)": "[[klˈoʊz]]"}
    assert lexicon.as_spellings() == {"close (verb)": "cloze"}
    for words in ("close (noun)", "fascia (noun)"):
        with pytest.raises(InputProblems) as raised:
            read(tmp_path, f"{words}: {{sound: f}}\n")
        (problem,) = raised.value.problems
        assert (problem.rule, problem.place.line) == ("not-a-choice", 1)


PRINTED = {  # as dictionaries print a sound, and as the voice takes it
    "pəˈtɛlə": "pətˈɛlə",
    "ˌɪlioʊˈsoʊəs": "ˌɪlioʊsˈoʊəs",
    "ˈstɹɛt͡ʃ": "stɹˈɛtʃ",
    "fæ.ʃi.ˈaɪ.tɪs": "fæʃiˈaɪtɪs",
    "gluːt": "ɡluːt",
    "sˈoʊəs": "sˈoʊəs",
}


@pytest.mark.parametrize(("printed", "taken"), PRINTED.items())
def test_a_sound_may_be_written_as_in_a_dictionary(
    printed: str, taken: str, tmp_path: Path
) -> None:
    """IPA, Handbook of the International Phonetic Association: stress before the syllable."""
    (entry,) = read(tmp_path, f"word: {{sound: {printed}}}\n").entries
    assert entry.sound == taken


def test_the_caret_is_under_the_letter_that_no_voice_knows(tmp_path: Path) -> None:
    """Line and column of the first strange letter of the sound, not of the entry."""
    known = PiperEngine("", length_scale=1.0).known_sounds()
    lexicon = read(tmp_path, "fine: {sound: f}\nodd: {spelling: Ж, sound: fˈæЖə}\n")
    with pytest.raises(InputProblems) as raised:
        lexicon.require_sounds(known)
    (problem,) = raised.value.problems
    assert (problem.place.line, problem.place.column) == (2, 30)
    assert problem.place.text[29] == "Ж"
    assert problem.place.caret().splitlines()[1].strip() == "^"


def test_a_sound_that_the_voice_lacks_is_an_error(tmp_path: Path) -> None:
    """Piper would drop it with a line in a log; here the clinician is told where it stands."""
    known = PiperEngine("", length_scale=1.0).known_sounds()
    lexicon = read(tmp_path, "a: {sound: fˈæʃə}\nb: {sound: 'f4É漢'}\n")
    with pytest.raises(InputProblems) as raised:
        lexicon.require_sounds(known)
    (problem,) = raised.value.problems
    assert (problem.rule, problem.place.line) == ("unknown-sound", 2)
    assert "漢" in problem.message
    assert "`4`" in problem.message, "in the model's map, but no sound"


@pytest.mark.parametrize("voice", ["calm", "clear", "system"])
def test_the_shipped_lexicon_suits_every_shipped_voice(voice: str) -> None:
    """Every sound is one that the model knows."""
    profile = load_profile(voice)
    assert lexicon_for(profile, load_lexicon(profile.lexicon))


# What eSpeak NG says of itself is wrong in each of these (heard and read, in American
# English; the right sounds from dictionaries, from memory).
SOUNDS = {
    "Close your eyes.": "klˈoʊz jʊɹ ˈaɪz.",
    "Stay close to the wall.": "stˈeɪ klˈoʊs tə ðə wˈɔːl.",
    "Use the band.": "jˈuːz ðə bˈænd.",
    "Wind down.": "wˈaɪnd dˈaʊn.",
    "Separate your feet.": "sˈɛpɚɹˌeɪt jʊɹ fˈiːt.",
    "The supraspinatus works.": "ðə sˌuːpɹəspaɪnˈeɪɾəs wˈɜːks.",
    "A tight fascia.": "ɐ tˈaɪt fˈæʃə.",
    "Load the patella.": "lˈoʊd ðə pətˈɛlə.",
    "Mind your ACL.": "mˈaɪnd jʊɹ ˌeɪ sˌiː ˈɛl.",
    "The SI joint.": "ðɪʲ ˌɛs ˈaɪ dʒˈɔɪnt.",
}


@pytest.mark.parametrize(("line", "sound"), SOUNDS.items())
def test_words_that_are_easily_misread_sound_right(line: str, sound: str) -> None:
    """The phonemes that reach the model, which no recogniser could tell apart by ear."""
    profile = load_profile("calm")
    lexicon = lexicon_for(profile, load_lexicon(profile.lexicon))
    engine = PiperEngine(profile.model, length_scale=1.0)
    assert "".join(engine.phonemes(speakable(line, lexicon))) == sound


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("6.", "[[X]]."),
        ("Hold 6 s", "Hold [[X]] seconds."),
        ("6.5 kg", "6.5 kilograms."),
        ("26 times", "26 times."),
        ("L6", "L6."),
    ],
)
def test_a_number_can_have_a_sound_where_it_stands_alone(written: str, said: str) -> None:
    assert speakable(written, {"6": "[[X]]"}) == said
