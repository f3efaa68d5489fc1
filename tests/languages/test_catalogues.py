"""The catalogues: whole, of one shape, plural forms by CLDR, and every phrase can be said."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
import yaml
from babel import Locale

from breathmark.problems import Fault
from breathmark.routine.model import Side
from breathmark.script import words as catalogue
from breathmark.script.words import Words, catalogue_of, fields_of, languages, words_of
from breathmark.speech.speakable import speakable
from tests.languages.catalogues import OTHERS, filled, phonemes, said_texts

SIDES = (Side.LEFT.value, Side.RIGHT.value)
SAME_AS_ENGLISH = {
    "de": {"count", "player speed normal", "player pause", "paper label"},
    "es": {"count", "player speed normal", "paper label"},
    "fr": {
        "count",
        "minutes",
        "paper date",
        "player pause",
        "picture pause",
        "picture legend pause",
    },
}
"""What is right in a language although it is the English word."""

LONGER, MORE = 1.6, 12
"""How much longer than the English phrase one may be: so many times, and some letters."""

MOST_NUMBER = 1_000
"""No number that is said or shown is larger."""


def plural_keys() -> list[str]:
    """The entries with a form for one and another for several in English."""
    return [key for key, forms in words_of("en").entries.items() if "one" in forms]


def test_there_are_four() -> None:
    """English and the three beside it."""
    assert languages() == ("de", "en", "es", "fr")


@pytest.mark.parametrize("language", OTHERS)
def test_a_catalogue_has_the_entries_of_the_english_one(language: str) -> None:
    """All of them, no others, in the same order, so that two can be read side by side."""
    assert list(words_of(language).entries) == list(words_of("en").entries)


@pytest.mark.parametrize("language", OTHERS)
def test_an_entry_asks_for_the_same_fields(language: str) -> None:
    """In its general form exactly those; the form for one may leave out the number."""
    for key, forms in words_of(language).entries.items():
        english = words_of("en").entries[key]
        assert fields_of(forms["other"]) == fields_of(english["other"]), key
        for name, form in forms.items():
            assert fields_of(form) >= fields_of(english.get(name, english["other"])) - {"n"}, key


@pytest.mark.parametrize("language", ["en", *OTHERS])
def test_every_plural_form_that_a_language_needs_is_there(language: str) -> None:
    """By CLDR, for the numbers there can be; no form is there that none of them takes."""
    needed = {Locale(language).plural_form(n) for n in range(MOST_NUMBER + 1)}
    assert needed == {"one", "other"}
    for key in plural_keys():
        assert set(words_of(language).entries[key]) == needed, key


@pytest.mark.parametrize(("language", "n", "said"), [
    ("de", 0, "0 Minuten"), ("de", 1, "1 Minute"), ("de", 21, "21 Minuten"),
    ("es", 0, "0 minutos"), ("es", 1, "1 minuto"), ("es", 1_000_000, "1000000 minutos"),
    ("fr", 0, "0 minute"), ("fr", 1, "1 minute"), ("fr", 2, "2 minutes"),
])  # fmt: skip
def test_a_number_chooses_its_form(language: str, n: int, said: str) -> None:
    """French has none as one; Spanish has a form of its own for millions, which falls back."""
    assert words_of(language).say("minutes", n=n) == said


@pytest.mark.parametrize("language", OTHERS)
def test_no_phrase_is_much_longer_than_in_english(language: str) -> None:
    """What must fit a beat, a rest or a page fits in every language."""
    for key, forms in words_of(language).entries.items():
        english = words_of("en").entries[key]["other"]
        assert len(forms["other"]) <= LONGER * len(english) + MORE, key


@pytest.mark.parametrize("language", OTHERS)
def test_nothing_was_left_in_english(language: str) -> None:
    """Except what is the same word, which stands in a list."""
    english = words_of("en").entries
    same = {key for key, forms in words_of(language).entries.items()
            if forms["other"] == english[key]["other"]}  # fmt: skip
    assert same == SAME_AS_ENGLISH[language]


@pytest.mark.parametrize("language", ["en", *OTHERS])
def test_every_phrase_can_be_said(language: str) -> None:
    """eSpeak NG finds sounds for it in that language, and takes no word for another's."""
    number = 0
    for key, text in said_texts(language):
        sounds = phonemes(language, speakable(text, {}, language))
        assert any(char.isalpha() for char in sounds), key
        assert language == "en" or "(" not in sounds.replace("(en)Talo", ""), (key, sounds)
        number += 1
    assert number > 150


@pytest.mark.parametrize("language", OTHERS)
def test_breathing_words_are_no_longer_in_their_short_form(language: str) -> None:
    """By the sounds in them; those for in and out cannot be taken for each other."""
    words = words_of(language)
    for way in ("in", "out"):
        long, short = words.say(f"breathe {way}"), words.say(f"breathe {way} short")
        assert len(phonemes(language, short)) <= len(phonemes(language, long))
    for form in ("", " short"):
        begins = {
            phonemes(language, words.say(f"breathe {way}{form}"))[:3] for way in ("in", "out")
        }
        assert len(begins) == 2


@pytest.mark.parametrize("language", ["en", *OTHERS])
def test_a_catalogue_survives_a_round_trip(language: str) -> None:
    """Written out and read again it says the same, accents and no-break spaces included."""
    path = Path(catalogue.__file__).parent / "words" / f"{language}.yaml"
    before = yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)
    text = yaml.safe_dump(before, allow_unicode=True, sort_keys=False)
    assert yaml.load(text, Loader=yaml.BaseLoader) == before
    assert not [key for key in before if key != key.strip()]


@pytest.mark.parametrize("language", OTHERS)
def test_every_entry_can_be_filled_in(language: str) -> None:
    """No field is left over, no brace."""
    words = words_of(language)
    for key in words.entries:
        for n in (1, 3):
            assert not {"{", "}"} & set(filled(words, key, n)), key


def test_a_region_takes_the_words_of_its_language() -> None:
    """Austrian German is German; what is not there is not there."""
    assert words_of("de-AT") is words_of("de")
    assert catalogue_of("es-419") == "es"
    assert catalogue_of("nl-BE") is None
    with pytest.raises(Fault, match="no built-in words for the language `nl`"):
        words_of("nl")


@pytest.mark.parametrize(("entry", "why"), [
    ("ready: null", "ready"),
    ("time left: 'Noch {zeit}.'", "time left"),
    ("minutes: {one: '{n} Minute'}", "minutes"),
], ids=["missing", "unknown field", "no general form"])  # fmt: skip
def test_a_catalogue_that_is_not_whole_is_refused(
    entry: str, why: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By the name of the entry, before a word of it is said."""
    folder = Path(catalogue.__file__).parent / "words"
    (tmp_path / "en.yaml").write_text((folder / "en.yaml").read_text("utf-8"), "utf-8")
    german = (folder / "de.yaml").read_text("utf-8").splitlines()
    key = entry.split(":", maxsplit=1)[0]
    kept = [line for line in german if not line.startswith(f"{key}:")]
    assert len(kept) == len(german) - 1
    added = [] if entry.endswith("null") else [entry]
    (tmp_path / "nds.yaml").write_text("\n".join([*kept, *added]), "utf-8")
    monkeypatch.setattr(catalogue, "_FOLDER", tmp_path)
    with pytest.raises(Fault, match=f"are not whole: {why}$"):
        words_of("nds")


def test_side_words_take_the_endings_of_the_language() -> None:
    """As authors write them behind the braces."""
    said = {
        ("de", "den {side}en Fuß, Ihre {other side}e Hand, nach {side}s"):
            "den linken Fuß, Ihre rechte Hand, nach links",
        ("es", "el pie {side}o, la pierna {other side}a"): "el pie izquierdo, la pierna derecha",
        ("fr", "le pied {side}, la jambe {other side}e, à {side}e"):
            "le pied gauche, la jambe droite, à gauche",
        ("en", "your {side} foot, the {other side}'s"): "your left foot, the right's",
    }  # fmt: skip
    for (language, text), expected in said.items():
        assert words_of(language).with_side(text, Side.LEFT) == expected


@pytest.mark.parametrize("language", OTHERS)
def test_built_in_phrases_agree_with_both_sides(language: str) -> None:
    """No stem is left bare: each word for a side in a phrase is one of its forms."""
    words = words_of(language)
    for key, forms in words.entries.items():
        if "{side}" not in forms["other"]:
            continue
        for side in Side:
            entry = words.entries[side.value]
            known = {form for name, form in entry.items() if name != "other"}
            sides = {"side": words.side(side), "other": words.side(side)}
            text = words.say(key, n=2, **({"of": "3"} | sides))
            found = [word.strip(".,") for word in text.split() if word.startswith(entry["other"])]
            assert found, key
            assert set(found) <= known, key


def test_help_and_check_need_no_plural_rules() -> None:
    """Babel is imported when a number is said and not before."""
    code = (
        "import sys\nimport breathmark.cli.app, breathmark.pipeline\n"
        "from breathmark.script.words import words_of\n"
        "words_of('de').say('ready')\nassert 'babel' not in sys.modules\n"
        "words_of('de').say('minutes', n=2)\nassert 'babel' in sys.modules\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True, timeout=60)


def test_words_are_frozen() -> None:
    """A catalogue is shared by everybody who asks for it."""
    words = words_of("de")
    assert isinstance(words, Words)
    with pytest.raises(AttributeError):
        words.language = "es"  # type: ignore[misc]
