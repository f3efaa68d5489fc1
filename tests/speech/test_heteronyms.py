"""Words with two readings: told apart by their place, and heard as the phonemes they get.

The readings and their sounds: the CMU Pronouncing Dictionary lists both of each word here,
but for the comparative of numb, the verb segment and the noun reset (from memory).
"""

from __future__ import annotations

from pathlib import Path

import pytest

from breathmark.speech.engines.piper import PiperEngine
from breathmark.speech.heteronyms import role_of, setting_of, split_role
from breathmark.speech.heteronyms_en import CLUES
from breathmark.speech.lexicon import load_lexicon
from breathmark.speech.profiles import load_profile
from breathmark.speech.speakable import speakable
from breathmark.speech.speaker import lexicon_for

# Each word in capitals within its sentence, and what must be heard there.
PAIRS: dict[str, tuple[tuple[str, str], tuple[str, str]]] = {
    "close": (("CLOSE your eyes.", "klˈoʊz"), ("Stand CLOSE to the wall.", "klˈoʊs")),
    "close, and": (
        ("Gently CLOSE and open your hand.", "klˈoʊz"),
        ("Keep your feet CLOSE together.", "klˈoʊs"),
    ),
    "close, let": (("Let your eyes CLOSE.", "klˈoʊz"), ("Keep your elbows CLOSE.", "klˈoʊs")),
    "close, both": (("Sit tall and CLOSE both eyes.", "klˈoʊz"), ("That is too CLOSE.", "klˈoʊs")),
    "close, to": (("It helps to CLOSE your eyes.", "klˈoʊz"), ("Have a CLOSE look.", "klˈoʊs")),
    "use": (("USE the band.", "jˈuːz"), ("The USE of a band is optional.", "jˈuːs")),
    "use, towels": (("USE towels for grip.", "jˈuːz"), ("This is for daily USE.", "jˈuːs")),
    "use, to": (("You need to USE both hands.", "jˈuːz"), ("Check it before each USE.", "jˈuːs")),
    "use, do not": (("Do not USE your arms.", "jˈuːz"), ("It is of no USE.", "jˈuːs")),
    "uses": (("It USES your calf.", "jˈuːzᵻz"), ("A towel has many USES.", "jˈuːsᵻz")),
    "excuse": (("EXCUSE the pause.", "ɛkskjˈuːz"), ("That is no EXCUSE.", "ɛkskjˈuːs")),
    "refuse": (("Do not REFUSE help.", "ɹᵻfjˈuːz"), ("Put it with the REFUSE.", "ɹˈɛfjuːs")),
    "wind": (("WIND down slowly.", "wˈaɪnd"), ("Imagine the WIND in your hair.", "wˈɪnd")),
    "wind, it": (("WIND it around your hand.", "wˈaɪnd"), ("Breathe like a gentle WIND.", "wˈɪnd")),
    "live": (("LIVE well with pain.", "lˈɪv"), ("This is a LIVE session.", "lˈaɪv")),
    "live, you": (("Do this where you LIVE.", "lˈɪv"), ("It was recorded LIVE.", "lˈaɪv")),
    "lives": (("She LIVES alone.", "lˈɪvz"), ("It helps in our LIVES.", "lˈaɪvz")),
    "lead": (("LEAD with your heel.", "lˈiːd"), ("Hold the LEAD weight.", "lˈɛd")),
    "lead, like": (("Let your heel LEAD.", "lˈiːd"), ("Let your arms hang like LEAD.", "lˈɛd")),
    "tear": (("TEAR off a strip.", "tˈɛɹ"), ("Wipe a TEAR away.", "tˈɪɹ")),
    "tear, in": (("A TEAR in the cuff heals slowly.", "tˈɛɹ"), ("Press on the TEAR duct.", "tˈɪɹ")),
    "tears": (("Muscle TEARS heal slowly.", "tˈɛɹz"), ("Use artificial TEARS.", "tˈɪɹz")),
    "wound": (
        ("The band is WOUND around your hand.", "wˈaʊnd"),
        ("Keep the WOUND dry.", "wˈuːnd"),
    ),
    "bow": (("BOW your head.", "bˈaʊ"), ("Tie a BOW.", "bˈoʊ")),
    "bow, forward": (("BOW forward slowly.", "bˈaʊ"), ("Pull as on a BOW and arrow.", "bˈoʊ")),
    "bowed": (("Keep your BOWED head still.", "bˈaʊd"), ("BOWED legs are common.", "bˈoʊd")),
    "minute": (("Rest for a MINUTE.", "mˈɪnɪt"), ("Make a MINUTE movement.", "maɪnˈuːt")),
    "minute, 5": (
        ("Take a 5 MINUTE movement break.", "mˈɪnɪt"),
        ("Make only MINUTE movements.", "maɪnˈuːt"),
    ),
    "read": (("READ this page first.", "ɹˈiːd"), ("Once you have READ it, begin.", "ɹˈɛd")),
    "number": (
        ("Give it a NUMBER from 0 to 10.", "nˈʌmbɚ"),
        ("If your foot gets NUMBER, stop.", "nˈʌmɚ"),
    ),
    "bass": (("Hum a low BASS note.", "bˈeɪs"), ("Think of a sea BASS.", "bˈæs")),
    "dove": (("Picture a DOVE on a branch.", "dˈʌv"), ("As if you DOVE into water.", "dˈoʊv")),
    "axes": (
        ("Move in both AXES of motion.", "ˈæksˌiːz"),
        ("Swing as with AXES and saws.", "ˈæksᵻz"),
    ),
    "contract": (("CONTRACT your thigh.", "kəntɹˈækt"), ("Sign the CONTRACT.", "kˈɑːntɹækt")),
    "contract, feel": (
        ("Feel your thigh CONTRACT.", "kəntɹˈækt"),
        ("You have a CONTRACT with yourself.", "kˈɑːntɹækt"),
    ),
    "contracts": (("The muscle CONTRACTS.", "kəntɹˈækts"), ("Read no CONTRACTS.", "kˈɑːntɹækts")),
    "increase": (("INCREASE the hold.", "ɪnkɹˈiːs"), ("Stop at any INCREASE in pain.", "ˈɪnkɹiːs")),
    "increase, slowly": (
        ("INCREASE slowly.", "ɪnkɹˈiːs"),
        ("A slow INCREASE is best.", "ˈɪnkɹiːs"),
    ),
    "increases": (
        ("Stop if your pain INCREASES.", "ɪnkɹˈiːsᵻz"),
        ("Make small INCREASES, no INCREASES in load.", "ˈɪnkɹiːsᵻz"),
    ),
    "decrease": (("DECREASE the range.", "dᵻkɹˈiːs"), ("Note the DECREASE.", "dˈiːkɹiːs")),
    "decreases": (
        ("The swelling DECREASES.", "dᵻkɹˈiːsᵻz"),
        ("There are two DECREASES.", "dˈiːkɹiːsᵻz"),
    ),
    "progress": (("PROGRESS slowly.", "pɹəɡɹˈɛs"), ("Your PROGRESS is good.", "pɹˈɑːɡɹɛs")),
    "record": (("RECORD your score.", "ɹᵻkˈɔːɹd"), ("Keep a RECORD.", "ɹˈɛkɚd")),
    "records": (("It RECORDS your steps.", "ɹᵻkˈɔːɹdz"), ("Keep your RECORDS.", "ɹˈɛkɚdz")),
    "project": (("PROJECT your voice.", "pɹədʒˈɛkt"), ("Start a small PROJECT.", "pɹˈɑːdʒɛkt")),
    "object": (
        ("Your knee may OBJECT to it.", "əbdʒˈɛkt"),
        ("Pick up the OBJECT.", "ˈɑːbdʒɛkt"),
    ),
    "present": (("PRESENT your palm.", "pɹᵻzˈɛnt"), ("At PRESENT, only sit.", "pɹˈɛzənt")),
    "permit": (("Do not PERMIT any sway.", "pɚmˈɪt"), ("You need no PERMIT.", "pˈɜːmɪt")),
    "transfer": (
        ("TRANSFER your weight.", "tɹænsfˈɜː"),
        ("Practise the TRANSFER.", "tɹˈænsfɚ"),
    ),
    "insert": (("INSERT your foot.", "ɪnsˈɜːt"), ("Wear your INSERT.", "ˈɪnsɜːt")),
    "conduct": (("CONDUCT the band with care.", "kəndˈʌkt"), ("Mind your CONDUCT.", "kˈɑːndʌkt")),
    "subject": (("Do not SUBJECT it to load.", "səbdʒˈɛkt"), ("Change the SUBJECT.", "sˈʌbdʒɛkt")),
    "survey": (("SURVEY the room.", "sɚvˈeɪ"), ("Fill in the SURVEY.", "sˈɜːveɪ")),
    "contrast": (("CONTRAST the two sides.", "kəntɹˈæst"), ("Feel the CONTRAST.", "kˈɑːntɹæst")),
    "recall": (("RECALL the steps.", "ɹᵻkˈɔːl"), ("It trains your RECALL.", "ɹˈiːkɔːl")),
    "update": (("UPDATE your diary.", "ʌpdˈeɪt"), ("Give us an UPDATE.", "ˈʌpdeɪt")),
    "segment": (("SEGMENT the roll.", "sɛɡmˈɛnt"), ("Move each SEGMENT.", "sˈɛɡmənt")),
    "console": (("Try to CONSOLE them.", "kənsˈoʊl"), ("Hold the CONSOLE.", "kˈɑːnsoʊl")),
    "desert": (("Do not DESERT your plan.", "dᵻzˈɜːt"), ("Picture a DESERT.", "dˈɛzɚt")),
    "rebel": (("Your back may REBEL.", "ɹᵻbˈɛl"), ("Be a REBEL.", "ɹˈɛbəl")),
    "compress": (("COMPRESS the ball.", "kəmpɹˈɛs"), ("Use a cold COMPRESS.", "kˈɑːmpɹɛs")),
    "incline": (("INCLINE your head.", "ɪnklˈaɪn"), ("Stand on an INCLINE.", "ˈɪnklaɪn")),
    "overlap": (("OVERLAP your hands.", "ˌoʊvɚlˈæp"), ("Leave a small OVERLAP.", "ˈoʊvɚlˌæp")),
    "reset": (("RESET your posture.", "ɹᵻsˈɛt"), ("Take a RESET.", "ɹˈiːsɛt")),
    "perfect": (("PERFECT your form.", "pɚfˈɛkt"), ("Use a PERFECT line.", "pˈɜːfɛkt")),
    "content": (("Be CONTENT with that.", "kəntˈɛnt"), ("Read the CONTENT.", "kˈɑːntɛnt")),
    "separate": (
        ("SEPARATE your feet.", "sˈɛpɚɹˌeɪt"),
        ("Make two SEPARATE movements.", "sˈɛpɹət"),
    ),
    "separate, let": (
        ("Let the hands SEPARATE.", "sˈɛpɚɹˌeɪt"),
        ("Keep your feet SEPARATE.", "sˈɛpɹət"),
    ),
    "alternate": (("ALTERNATE legs.", "ˈɔːltɚnˌeɪt"), ("Do it on ALTERNATE days.", "ˈɔːltɚnət")),
    "moderate": (("MODERATE the pace.", "mˈɑːdɚɹˌeɪt"), ("Aim for a MODERATE pull.", "mˈɑːdɚɹət")),
    "estimate": (("ESTIMATE your effort.", "ˈɛstᵻmˌeɪt"), ("Make an ESTIMATE.", "ˈɛstᵻmət")),
    "coordinate": (
        ("COORDINATE it with your breath.", "koʊˈɔːɹdᵻnˌeɪt"),
        ("Note the COORDINATE.", "koʊˈɔːɹdᵻnət"),
    ),
    "graduate": (
        ("GRADUATE to the next band.", "ɡɹˈædʒuːˌeɪt"),
        ("You are a GRADUATE.", "ɡɹˈædʒuːət"),
    ),
    "approximate": (
        ("APPROXIMATE your shoulder blades.", "ɐpɹˈɑːksɪmˌeɪt"),
        ("Give an APPROXIMATE answer.", "ɐpɹˈɑːksɪmət"),
    ),
    "duplicate": (
        ("DUPLICATE the move.", "dˈuːplᵻkˌeɪt"),
        ("Make a DUPLICATE copy.", "dˈuːplᵻkət"),
    ),
    "elaborate": (("Do not ELABORATE.", "ᵻlˈæbɚɹˌeɪt"), ("It is no ELABORATE move.", "ᵻlˈæbɹət")),
    "deliberate": (
        ("DELIBERATE with care.", "dᵻlˈɪbɚɹˌeɪt"),
        ("Make each DELIBERATE move.", "dᵻlˈɪbɚɹət"),
    ),
    "articulate": (
        ("ARTICULATE your spine.", "ɑːɹtˈɪkjʊlˌeɪt"),
        ("Use an ARTICULATE voice.", "ɑːɹtˈɪkjʊlət"),
    ),
}
SENTENCES = [case for pair in PAIRS.values() for case in pair]


@pytest.fixture(scope="module")
def engine() -> PiperEngine:
    """The neural voice, for its phonemes."""
    return PiperEngine("", length_scale=1.0)


@pytest.fixture(scope="module")
def sounds() -> dict[str, str]:
    """The shipped lexicon as the neural voice takes it."""
    profile = load_profile("calm")
    return dict(lexicon_for(profile, load_lexicon(profile.lexicon)))


def marked(sentence: str) -> tuple[str, int, int]:
    """A sentence with its word in small letters, and where that stands."""
    word = max((w for w in sentence.split() if w.strip(".,").isupper()), key=len).strip(".,")
    start = sentence.rindex(word)
    return sentence.replace(word, word.lower()), start, start + len(word)


def test_there_are_enough_pairs() -> None:
    """At least 60 sentences in each reading; the two of a pair sound different."""
    assert len(PAIRS) >= 60
    assert all(one[1] != other[1] for one, other in PAIRS.values())
    assert {split_role(key.split(",")[0])[0] for key in PAIRS} >= set(CLUES)


@pytest.mark.parametrize(("sentence", "sound"), SENTENCES)
def test_a_word_is_read_as_its_place_wants(
    sentence: str, sound: str, engine: PiperEngine, sounds: dict[str, str]
) -> None:
    """The phonemes that reach the model: decided by us, and said where the word stands."""
    text, start, end = marked(sentence)
    text = text[0].upper() + text[1:]
    role, word = role_of(text, start, end), text[start:end].lower()
    assert role or word == "minute", setting_of(text, start, end)
    assert not role or sounds[f"{word} ({role})"] == f"[[{sound}]]"
    spoken = "".join(engine.phonemes(speakable(text, sounds)))
    heard = [word.strip(".,") for word in spoken.split()]
    assert sound in heard, spoken


UNSURE = (
    "Lean, close, and hold the contrary.",
    "Band use may vary.",
    "Wind instruments.",
    "Perfect.",
    "Moderate effort.",
    "Progress.",
    "Whatever tear there may be.",
    "Good number work.",
)


@pytest.mark.parametrize("line", UNSURE)
def test_when_unsure_nothing_is_decided(line: str, sounds: dict[str, str]) -> None:
    """The voice reads the word as it would have done; a wrong guess is worse than none."""
    words = [word.strip(".,").lower() for word in line.split()]
    assert any(word in CLUES for word in words)
    for word in set(words) & set(CLUES):
        at = line.lower().index(word)
        if role_of(line, at, at + len(word)) == "":
            assert word in speakable(line, sounds).lower()


def test_the_system_voice_gets_a_spelling() -> None:
    """Where it takes no phonemes, the word is respelled; else it stays as it was."""
    lexicon = load_lexicon(load_profile("system").lexicon).as_spellings()
    assert speakable("Close your eyes.", lexicon) == "cloze your eyes."
    assert speakable("Stay close to the wall.", lexicon) == "Stay close to the wall."
    assert speakable("Use the band.", lexicon) == "yooze the band."


def test_every_reading_has_a_sound() -> None:
    """Each role in the table stands in the lexicon, and each role there in the table."""
    profile = load_profile("calm")
    entries = {e.key for e in load_lexicon(profile.lexicon).entries if e.role}
    wanted = {f"{word} ({row.role})" for word, rows in CLUES.items() for row in rows}
    assert entries == wanted


def test_a_lexicon_of_ones_own_wins(tmp_path: Path) -> None:
    """A word without a role is for all its readings."""
    own = tmp_path / "lexicon-own.yaml"
    own.write_text("close: {sound: klˈoʊʒɚ}\n", encoding="utf-8")
    profile = load_profile("calm")
    lexicon = load_lexicon([*profile.lexicon, own]).as_sounds()
    assert speakable("Close your eyes.", lexicon) == "[[klˈoʊʒɚ]] your eyes."
