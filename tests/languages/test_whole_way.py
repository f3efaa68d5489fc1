"""A short routine in each language goes the whole way: planned, spoken, proved, tagged.

The recogniser at hand knows English alone, so that the words are heard right is not shown
here: the phonemes and lengths of every phrase are looked at instead.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from breathmark.deliver.captions import caption_cues, tone_lines
from breathmark.pipeline import Made, Order, make
from breathmark.proof.tagging import tagged
from breathmark.script.session import Purpose
from breathmark.script.words import words_of
from breathmark.speech.speakable import speakable
from tests.languages.catalogues import phonemes

HERE = Path(__file__).parent
WHOLE = {
    "de": ("ruhig-und-stabil", "deu", {
        "Jetzt die rechte Seite.", "Setzen Sie den linken Fuß zurück.",
        "Die rechte Ferse bleibt am Boden.",
    }, {"[Startton]", "[einatmen]", "[Übung, linke Seite]"}),
    "es": ("calma-y-firmeza", "spa", {
        "Ahora el lado derecho.", "Lleve el pie izquierdo hacia atrás.",
        "La pierna derecha bien estirada.",
    }, {"[tono de inicio]", "[tome aire]", "[ejercicio, lado izquierdo]"}),
    "fr": ("calme-et-stable", "fra", {
        "Maintenant, le côté droit.", "Reculez le pied gauche.",
        "La jambe droite reste tendue.",
    }, {"[son de départ]", "[inspirez]", "[exercice, côté gauche]"}),
}  # fmt: skip
"""By language: the routine, ISO 639-2's code, some lines, and some signs in the captions."""

SHORTEST_MS, LONGEST_MS = 35, 220
"""What a phoneme of calm speech may last on average over a line, in milliseconds (measured)."""


@pytest.fixture(scope="module", params=WHOLE)
def made(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Made]:
    """The routine of a language, made once with its usual voice."""
    folder = tmp_path_factory.mktemp("whole")
    name = WHOLE[request.param][0]
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("BREATHMARK_STORE", str(folder / "store"))
        yield make(Order(source=HERE / f"{name}.yaml", output=folder))


@pytest.mark.slow
def test_the_proof_passes(made: Made) -> None:
    """Every check of it."""
    assert made.report.passed
    assert len(made.report.findings) >= 15


@pytest.mark.slow
def test_it_is_said_in_the_language(made: Made) -> None:
    """By the voice of the language, with the sides' words in their right forms."""
    language = made.session.language
    said = {line.text for line in made.session.spoken}
    lines = WHOLE[language][2]
    assert lines <= said
    assert {line.voice for line in made.session.spoken} == {f"system-{language}"}


@pytest.mark.slow
def test_each_line_has_sounds_and_a_likely_length(made: Made) -> None:
    """In place of hearing it: phonemes of that language alone, at the speed of speech."""
    session = made.session
    for line in session.spoken:
        said = speakable(line.text, {}, session.language)
        sounds = phonemes(session.language, said)
        assert "(" not in sounds, sounds
        length_ms = line.length * 1000 / session.rate_hz
        letters = sum(char.isalpha() for char in sounds)
        assert SHORTEST_MS <= length_ms / letters <= LONGEST_MS, (line, length_ms / letters)
    counts = [line for line in session.spoken if line.purpose is Purpose.COUNT]
    assert len(counts) == 6


@pytest.mark.slow
def test_the_captions_are_in_the_language(made: Made) -> None:
    """The tones and what is done too, for who cannot hear."""
    shown = {" ".join(cue.rows) for cue in caption_cues(made.session)}
    assert WHOLE[made.session.language][3] <= shown
    assert not [text for text in shown if "tone]" in text or "side]" in text]


@pytest.mark.slow
def test_the_tags_are_in_the_language(made: Made) -> None:
    """ID3v2.3, 4.2.1, TLAN: the code of ISO 639-2; lyrics and comment carry it too."""
    language = made.session.language
    code = WHOLE[language][1]
    tags = tagged(next(made.folder.glob("*.mp3")))
    assert tags["TLAN"].text == [code]
    (lyrics,), (comment,) = tags.getall("USLT"), tags.getall("COMM")
    assert lyrics.lang == comment.lang == code
    assert comment.text == [words_of(language).say("standing")]
    assert all(line in lyrics.text for line in tone_lines(language))
    chapters = [frame.sub_frames["TIT2"].text[0] for frame in tags.getall("CHAP")]
    assert chapters[0] == words_of(language).say("chapter opening")
