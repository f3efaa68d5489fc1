"""The handout's diary: as many boxes as sessions, on as few pages as hold whole weeks."""

from __future__ import annotations

import dataclasses
import io
from pathlib import Path

import pytest
from pypdf import PdfReader

from breathmark.deliver.handout import handout_pdf
from breathmark.script.words import words_of
from tests.deliver.paper_cases import HOLD, flat, prescribed, routine_data
from tests.deliver.paper_reading import overlapping


@pytest.mark.parametrize("language", ["en", "de", "es", "fr"])
@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("times", [1, 2, 3, 4])
def test_the_diary_keeps_a_week_with_its_notes(
    tmp_path: Path, times: int, paper: str, language: str
) -> None:
    """On a page of its own, or on two of two weeks each; nothing is left over for another."""
    told = prescribed(tmp_path, routine_data([HOLD]))
    often = dataclasses.replace(told.routine, times_a_day=times, frequency="so often " * 9)
    session = dataclasses.replace(told.session, language=language)
    pdf = handout_pdf(dataclasses.replace(told, routine=often, session=session), paper=paper)
    words = words_of(language)
    pages = [flat(page.extract_text()) for page in PdfReader(io.BytesIO(pdf)).pages]
    first = next(at for at, text in enumerate(pages) if words.say("paper diary") in text)
    weeks = [
        {n for n in range(1, 5) if words.say("paper week", n=n) in text} for text in pages[first:]
    ]
    assert weeks in ([{1, 2, 3, 4}], [{1, 2}, {3, 4}])
    assert all(flat(words.say("paper diary notes")) in text for text in pages[first:])
    assert flat(words.say("paper standing")) in pages[-1]
    assert len(weeks) == 1 or times > 1
    assert overlapping(pdf) == []
