"""Which voice a routine in another language gets, and what is said where there is none."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace

import pytest

from breathmark.pipeline import Order, profile_of, read_case
from breathmark.problems import Fault, InputProblems
from breathmark.speech.engines.system import SystemEngine
from breathmark.speech.engines.system_worker import wanted_voice
from breathmark.speech.pace import pace_wpm
from breathmark.speech.profiles import USUAL_VOICES, load_profile
from tests.languages.catalogues import OTHERS
from tests.languages.lines import LINES
from tests.languages.test_models import drop

ROUTINE = """\
title: Kurz
language: {language}
{voice}exercises:
  - name: Stehen
    kind: hold
    hold: 10 s
    sides: each
    setup: {setup}
"""


def routine(
    folder: Path, language: str, voice: str = "", setup: str = "Den {side}en Fuß zurück."
) -> Path:
    """A routine in a language, with the voice it names, if any."""
    path = folder / "routine.yaml"
    named = f"voice: {voice}\n" if voice else ""
    text = ROUTINE.format(language=language, voice=named, setup=f'"{setup}"')
    path.write_text(text, "utf-8")
    return path


def problem_of(path: Path, order: Order | None = None) -> tuple[str, int, str, str]:
    """The one problem of reading a case and finding its voice: rule, line, text, remedy."""
    with pytest.raises(InputProblems) as raised:
        profile_of(read_case(path), order or Order(source=path))
    (problem,) = raised.value.problems
    assert "^" in problem.shown()
    return problem.rule, problem.place.line, problem.message, problem.remedy


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("region", ["", "-CH"])
def test_a_routine_gets_the_usual_voice_of_its_language(
    language: str, region: str, tmp_path: Path
) -> None:
    """When it names none; a region is spoken by the voice of the language."""
    path = routine(tmp_path, language + region, setup="Fuß.")
    case = read_case(path)
    assert case.routine.voice == f"system-{language}" == USUAL_VOICES[language]
    assert profile_of(case, Order(source=path)).language == language


def test_english_stays_calm(tmp_path: Path) -> None:
    """As before, British English too."""
    assert read_case(routine(tmp_path, "en-GB")).routine.voice == "calm"


def test_a_language_without_words_is_an_error_at_its_line(tmp_path: Path) -> None:
    """It says which file is to be added."""
    rule, line, text, remedy = problem_of(routine(tmp_path, "nl-BE"))
    assert (rule, line) == ("unknown-language", 2)
    assert "`nl-BE`" in text
    assert "script/words/en.yaml" in remedy
    assert "nl.yaml" in remedy


def test_a_voice_of_another_language_is_an_error_at_the_language(tmp_path: Path) -> None:
    """Whoever wrote `voice: calm` in a German routine is asked; nothing is chosen in silence."""
    rule, line, text, remedy = problem_of(routine(tmp_path, "de", "calm"))
    assert (rule, line) == ("voice-language", 2)
    assert "`calm` speaks `en`" in text
    assert "Piper model" in remedy


def test_a_voice_given_with_the_command_is_held_to_the_language_too(tmp_path: Path) -> None:
    """`--voice system-es` for a German routine is a slip."""
    path = routine(tmp_path, "de")
    rule, line, _, _ = problem_of(path, Order(source=path, voice="system-es"))
    assert (rule, line) == ("voice-language", 2)


def test_a_language_with_words_and_no_voice_is_an_error(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It says how to get one; with a dropped-in model named, it works."""
    monkeypatch.delitem(USUAL_VOICES, "de")
    rule, line, _, remedy = problem_of(routine(tmp_path, "de"))
    assert (rule, line) == ("no-voice", 2)
    assert "Piper model" in remedy
    assert "engine: system" in remedy
    drop(tmp_path, "anna", language={"code": "de_AT"}, espeak={"voice": "de"})
    path = routine(tmp_path, "de", "anna")
    order = Order(source=path, voices=tmp_path)
    assert profile_of(read_case(path), order).name == "anna"


@pytest.mark.parametrize(("language", "setup", "strange"), [
    ("de", "Den {side} Fuß zurück.", "`{side}`"),
    ("de", "Zur {other side}o Wand.", "`{other side}o`"),
    ("es", "El pie {side}.", "`{side}`"),
    ("fr", "La jambe {side}a.", "`{side}a`"),
])  # fmt: skip
def test_a_side_without_its_ending_is_an_error(
    language: str, setup: str, strange: str, tmp_path: Path
) -> None:
    """At its line, with the endings there are."""
    rule, line, text, remedy = problem_of(routine(tmp_path, language, setup=setup))
    assert (rule, line) == ("side-ending", 8)
    assert strange in text
    assert "`{side}" in remedy


def test_cues_and_easier_ways_are_looked_at_too(tmp_path: Path) -> None:
    """Each strange word at the field it stands in, all at once."""
    path = routine(tmp_path, "es")
    more = (
        "    cues: [Bien, 'La pierna {side} recta.']\n"
        "    feel: el lado {side}\n    easier: {say: 'Menos {side}.'}\n"
    )
    text = path.read_text("utf-8").replace("Den {side}en Fuß zurück.", "El pie {side}o.") + more
    path.write_text(text, "utf-8")
    with pytest.raises(InputProblems) as raised:
        read_case(path)
    assert [problem.place.line for problem in raised.value.problems] == [9, 10, 11]


@pytest.mark.slow
@pytest.mark.parametrize("language", OTHERS)
def test_a_system_voice_keeps_the_pace_of_its_profile(language: str) -> None:
    """Within 5 % on lines that it was not calibrated on."""
    profile = load_profile(f"system-{language}")
    assert profile.calibrated is not None
    assert profile.calibrated.pace_wpm == profile.pace_wpm
    measured = pace_wpm(profile, profile.calibrated.setting, LINES[language])
    assert measured == pytest.approx(profile.pace_wpm, rel=0.05)


def voice(id_: str, *languages: object) -> SimpleNamespace:
    """A voice as pyttsx3 tells of it."""
    return SimpleNamespace(id=id_, name=id_.upper(), languages=list(languages))


INSTALLED = [
    voice("hedda", "de_DE"), voice("karin", "de-AT"), voice("b", "fr-be"), voice("f", "fr-fr"),
    voice("m", "es_MX"), voice("e", b"\x05es"), voice("zira", "en-US"), voice("none", None),
]  # fmt: skip


@pytest.mark.parametrize(("usual", "name", "language", "expected"), [
    ("zira", "", "en", ""),
    ("hedda", "", "de", ""),
    ("karin", "", "de", ""),
    ("zira", "", "de", "hedda"),
    ("zira", "", "de-AT", "karin"),
    ("zira", "", "de-CH", "hedda"),
    ("zira", "", "fr", "f"),
    ("zira", "", "fr-CA", "f"),
    ("zira", "", "es", "e"),
    ("zira", "", "es-MX", "m"),
    ("hedda", "", "en", "zira"),
    ("zira", "", "nl", None),
    ("zira", "Karin", "en", "karin"),
    ("zira", "nobody", "en", None),
])  # fmt: skip
def test_the_system_voice_that_speaks_the_language_is_chosen(
    usual: str, name: str, language: str, expected: str | None
) -> None:
    """As Windows, macOS and eSpeak NG tell of them; the usual one where it will do."""
    assert wanted_voice(INSTALLED, usual, name, language) == expected


def test_voices_that_tell_no_language_are_left_as_they_are() -> None:
    """The usual one speaks, as it did before."""
    assert wanted_voice([voice("a"), voice("b", None)], "a", "", "de") == ""


def test_a_system_without_the_language_says_so() -> None:
    """Rather than reading German with an English voice."""
    engine = SystemEngine("", language="tlh", rate_wpm=150)
    with pytest.raises(Fault, match="no voice for the language `tlh`"):
        list(engine.speak(["Nuqneh."]))
    engine.close()


def test_languages_sound_different() -> None:
    """The same text in two languages is two recordings, with two fingerprints."""
    engines = [SystemEngine("", language=language, rate_wpm=120) for language in ("de", "fr")]
    german, french = (next(iter(engine.speak(["Pause."])))[1] for engine in engines)
    assert len(german.samples) != len(french.samples)
    assert engines[0].fingerprint() != engines[1].fingerprint()
    for engine in engines:
        engine.close()
