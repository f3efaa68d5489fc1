"""Figures, quotation marks and spaces as each language prints them, wherever they are seen."""

from __future__ import annotations

import re
from email import message_from_bytes
from email.message import EmailMessage
from email.policy import default
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import pytest

from breathmark.deliver.captions import captions_vtt
from breathmark.deliver.cover import fitted
from breathmark.deliver.handout import handout_pdf
from breathmark.deliver.message import message_eml
from breathmark.deliver.plan_svg import plan_svg
from breathmark.deliver.player import player_html
from breathmark.deliver.record import Prescribed
from breathmark.script.words import words_of
from tests.deliver.paper_cases import prescribed, routine_data
from tests.deliver.paper_reading import lines
from tests.languages.catalogues import OTHERS, filled

NBSP = "\u00a0"
ENDING = {"en": "", "de": "en", "es": "o", "fr": ""}
QUOTED = {"en": "“{}”", "de": "„{}“", "es": "«{}»", "fr": f"«{NBSP}{{}}{NBSP}»"}
SETUP = "Ruhig : setzen ! Halten Sie 2,5 s : still ? Atmen : « langsam » weiter ; dann 80 % davon."


def prescription(folder: Path, language: str, **more: Any) -> Prescribed:
    """Halves of a second, a side, and a French author's plain spaces."""
    ending = ENDING[language]
    exercises = [
        {"name": "Dehnen : lang", "kind": "hold", "hold": "12.5 s", "sides": "each",
         "setup": [f"Fuß {{side}}{ending}.", SETUP], "easier": "Kurz.",
         "rests": {"before": "60 s"}},
        {"name": "Heben", "kind": "reps", "reps": "4", "tempo": {"out": "2.5 s", "back": "2 s"},
         "rests": {"before": "60.5 s"}},
    ]  # fmt: skip
    voice = "calm" if language == "en" else f"system-{language}"
    data = routine_data(exercises, language=language, voice=voice, cautions=[SETUP], **more)
    return prescribed(folder, data)


@pytest.mark.parametrize("language", ["en", *OTHERS])
def test_the_picture_has_the_decimal_sign_of_the_language(language: str, tmp_path: Path) -> None:
    """On its clocks, its labels, and in what is told of each span (Unicode CLDR)."""
    root = ET.fromstring(plan_svg(prescription(tmp_path, language).session))
    shown = [element.text or "" for element in root.iter()]
    sign, other = (".", ",") if language == "en" else (",", ".")
    assert any(f"12{sign}5 s" in text for text in shown)
    assert any(re.search(rf"\d:\d\d{re.escape(sign)}5", text) for text in shown)
    numbers = [text for text in shown if re.search(rf"\d{re.escape(other)}\d", text)]
    assert not [text for text in numbers if SETUP not in text and "bm-" not in text]


@pytest.mark.parametrize("language", ["en", *OTHERS])
def test_a_line_in_the_picture_stands_in_the_marks_of_the_language(
    language: str, tmp_path: Path
) -> None:
    """As the patient's page shows on pointing at it."""
    picture = plan_svg(prescription(tmp_path, language).session)
    assert QUOTED[language].format(words_of(language).say("ready")) in picture


@pytest.mark.parametrize("language", ["en", *OTHERS])
def test_no_entry_has_a_space_that_may_end_a_line_and_must_not(language: str) -> None:
    """Before `: ; ! ? » %` and behind `«`; German and Spanish have one before `%`."""
    words = words_of(language)
    for key in words.entries:
        if key not in ("left", "right"):
            text = filled(words, key, 2)
            assert not re.search(r" [:;!?»%]|« ", text), key
            assert "\u202f" not in text, key
            assert language != "fr" or not re.search(r"\w[;!?»%]|\w:(?!\d)|«\w", text), key
            assert language != "es" or text.count("?") == text.count("¿"), key


@pytest.mark.parametrize("language", ["en", *OTHERS])
def test_no_printed_line_begins_with_a_mark_of_punctuation(language: str, tmp_path: Path) -> None:
    """Whatever spaces the author has typed, and wherever the lines happen to break."""
    for length in range(6):
        about = f"{'Un mot. ' * length}{SETUP}"
        pdf = handout_pdf(prescription(tmp_path, language, about=about))
        printed = [line for page in lines(pdf) for line in page]
        assert [line for line in printed if "Halten" in line]
        assert not [line for line in printed if re.match(r"[:;!?»%]|s :", line)]
        assert not [line for line in printed if line.endswith("«")]


def test_a_label_has_its_colon_as_the_language_has_it(tmp_path: Path) -> None:
    """French with a space before it, on paper and in the message."""
    one = prescription(tmp_path, "fr")
    text = " ".join(line for page in lines(handout_pdf(one)) for line in page)
    assert "Plus facile : Kurz." in text.replace(NBSP, " ")


def test_the_message_keeps_its_spaces_together(tmp_path: Path) -> None:
    """Through the wrapping of its plain text, and in the subject."""
    message = message_from_bytes(
        message_eml(prescription(tmp_path, "fr", title="Marche"), ()), policy=default
    )
    assert isinstance(message, EmailMessage)
    assert message["Subject"] == f"Votre enregistrement{NBSP}: Marche"
    body = message.get_body(("plain",))
    assert body is not None
    text = body.get_content()
    assert f"«{NBSP}Marche{NBSP}»" in text
    assert not re.search(r"^[:;!?»]", text, re.MULTILINE)


def test_no_row_of_the_captions_begins_with_a_mark(tmp_path: Path) -> None:
    """Nor does one end between a number and its unit."""
    captions = captions_vtt(prescription(tmp_path, "fr").session)
    assert f"80{NBSP}%" in captions
    assert not re.search(r"^[:;!?»%]", captions, re.MULTILINE)
    assert not re.search(r"(?:«|\d,\d)$", captions, re.MULTILINE)


def test_the_page_and_the_cover_bind_what_an_author_typed(tmp_path: Path) -> None:
    """A title and a caution with plain spaces before their marks."""
    page = player_html(prescription(tmp_path, "fr", title="Marche : lente"), audio_name="a.mp3")
    assert f"Marche{NBSP}: lente" in page
    assert f"Ruhig{NBSP}: setzen{NBSP}!" in page
    rows, _ = fitted("Étirements et marche lente : avec la canne")
    assert not [row for row in rows if row.startswith(":")]
