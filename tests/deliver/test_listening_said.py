"""For whose ears a recording is made, and what is beneath: said wherever somebody looks."""

from __future__ import annotations

import dataclasses
import io
import json

import jsonschema
import pytest
from pypdf import PdfReader

from breathmark.deliver.compare import differences
from breathmark.deliver.handout import handout_pdf
from breathmark.deliver.plan_json import plan_from_json, plan_schema_text, plan_to_json
from breathmark.deliver.plan_table import schedule_text
from breathmark.deliver.record import record_text
from breathmark.deliver.record_pdf import record_pdf
from breathmark.problems import InputProblems
from breathmark.routine.listening import Background, Hearing
from breathmark.script.session import Session
from breathmark.script.words import words_of
from tests.deliver.handed import prescribed
from tests.plan_sessions import twelve_minutes

CASES = [
    (Hearing.OLDER, Background.NONE, "made for older ears"),
    (Hearing.HARD_OF_HEARING, Background.NONE, "made for ears that are hard of hearing"),
    (Hearing.USUAL, Background.QUIET, "a quiet background under all of it"),
]
EACH = pytest.mark.parametrize(("hearing", "background", "words"), CASES)


def session(hearing: Hearing, background: Background) -> Session:
    return dataclasses.replace(twelve_minutes(), hearing=hearing, background=background)


def text_of(pdf: bytes) -> str:
    """The words of a PDF on one line."""
    pages = PdfReader(io.BytesIO(pdf)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


@EACH
def test_the_plan_as_data_comes_back_and_is_valid(
    hearing: Hearing, background: Background, words: str
) -> None:
    """JSON Schema, by its own reader; a usual plan says nothing of it."""
    assert words
    plan = session(hearing, background)
    text = plan_to_json(plan)
    assert plan_from_json(text) == plan
    schema = jsonschema.Draft202012Validator(json.loads(plan_schema_text()))
    schema.validate(json.loads(text))
    assert not {"hearing", "background"} & json.loads(plan_to_json(twelve_minutes())).keys()
    wrong = json.loads(text) | {"hearing": "oldr"}
    assert not schema.is_valid(wrong)
    with pytest.raises(InputProblems, match=r"`oldr` is not a valid `hearing`.*\n.*\n.*\n.*older"):
        plan_from_json(json.dumps(wrong, indent=1))


@EACH
def test_the_table_the_record_and_the_handout_say_it(
    hearing: Hearing, background: Background, words: str
) -> None:
    """And say nothing where all is as usual."""
    plan, usual = session(hearing, background), twelve_minutes()
    key = "hearing" if background is Background.NONE else "background"
    line = words_of("en").say(f"paper recording {key}")
    for said, of in ((plan, True), (usual, False)):
        assert (words in " ".join(schedule_text(said).split())) is of
        assert (words in text_of(record_pdf(prescribed(said)))) is of
        assert (line in text_of(handout_pdf(prescribed(said)))) is of


def test_two_records_for_other_ears_are_told_apart_in_words() -> None:
    def record(hearing: Hearing, background: Background = Background.NONE) -> dict[str, object]:
        made: dict[str, object] = json.loads(
            record_text(prescribed(session(hearing, background)), {}, [])
        )
        return made

    usual = record(Hearing.USUAL)
    assert differences(usual, record(Hearing.OLDER)) == (
        "Hearing that it is made for: “usual” before, “older” now.",
    )
    assert differences(usual, record(Hearing.USUAL, Background.QUIET)) == (
        "Background: “none” before, “quiet” now.",
    )
