"""The record's page: all that a clinician files is on it, and it is one page where it can be."""

from __future__ import annotations

import hashlib
import io
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from breathmark import __version__
from breathmark.deliver.record import STANDING, Prescribed
from breathmark.deliver.record_pdf import record_pdf
from breathmark.dose.guidance import Verdict, compared
from breathmark.script.dose_words import dose_text
from tests.deliver.paper_cases import HOLD, exercises, flat, prescribed, routine_data
from tests.deliver.paper_reading import (
    contrasts,
    fonts_unembedded,
    letters,
    lines,
    overlapping,
    structure,
    text_of,
)

FILES = {
    name: {"sha256": hashlib.sha256(name.encode()).hexdigest(), "bytes": 1}
    for name in ("captions.vtt", "handout.pdf", "plan.json", "steady.mp3", "tracks/01.mp3")
}
CHECKS = [{"check": f"c{n}", "file": "", "passed": n != 3, "detail": ""} for n in range(31)]
PATIENT: dict[str, Any] = {
    "label": "R-204",
    "routine": "routine.yaml",
    "greeting": "Good morning, Invented.",
    "helper": "yes",
    "sides": {"first": "right"},
    "cautions": ["Stop if your knee swells."],
    "changes": {"Standing calf stretch 1": {"hold": "20 s"}, "Standing calf stretch 4": "skip"},
}
ACCEPTED = [{"check": "stretch-under", "because": "a gentle first week"}]


def _told(folder: Path, count: int = 6) -> Prescribed:
    return prescribed(folder, routine_data(exercises(count), accept=ACCEPTED), PATIENT)


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> Prescribed:
    """A usual prescription, changed for a patient, with something remarked and accepted."""
    return _told(tmp_path_factory.mktemp("record"))


@pytest.fixture(scope="module", params=["a4", "letter"])
def pdf(request: pytest.FixtureRequest, told: Prescribed) -> bytes:
    """Its record on paper."""
    return record_pdf(told, files=FILES, checks=CHECKS, paper=request.param)


def test_a_usual_routine_takes_one_page(pdf: bytes) -> None:
    """Six exercises with changes and findings: one page on A4 and on letter."""
    assert len(PdfReader(io.BytesIO(pdf)).pages) == 1


def test_it_can_be_read(pdf: bytes) -> None:
    """At least 8 pt, contrast 7:1, fonts inside, nothing over the edge or over other words."""
    page = PdfReader(io.BytesIO(pdf)).pages[0].mediabox
    found = letters(pdf)
    assert min(one.size for one in found) >= 8
    assert min(contrasts(pdf)) >= 7
    assert fonts_unembedded(pdf) == set()
    assert overlapping(pdf) == []
    assert all(one.left >= 33 and one.right <= float(page.width) - 33 for one in found)


def test_it_is_tagged_in_the_order_in_which_it_is_drawn(pdf: bytes) -> None:
    """Every letter belongs to an element, or to the foot."""
    marks = structure(pdf).marks
    assert marks == sorted(marks)
    for one in letters(pdf):
        assert one.tag == "Artifact" or (one.page, one.mcid) in set(marks)


def test_all_that_is_filed_is_there(told: Prescribed, pdf: bytes) -> None:
    """FITT-VP, CERT, exercises, changes, findings, dose, hashes, versions, a place to sign."""
    text = text_of(pdf)
    for label in ("Frequency", "Intensity", "Time", "Type", "Volume", "Progression"):
        assert label in text
    for item in ("1 Equipment", "8 Exercises", "14 Tailoring", "16 Fidelity"):
        assert item in text
    for one in told.routine.exercises:
        assert one.name in text
        assert dose_text(one) in text
    for change in told.changes:
        assert flat(change.sentence) in text
    assert STANDING in text
    assert f"Breathmark {__version__}" in text
    for place in ("Clinician", "Signature", "Date"):
        assert place in text
    assert "Patient R-204" in text
    assert "30 of 31 checks" in text


def test_hashes_are_those_of_what_came_in_and_went_out(told: Prescribed, pdf: bytes) -> None:
    """The files as hashed here; the rest under one hash of ``sha256sum``'s lines."""
    folder = Path(told.routine.file).parent
    text = text_of(pdf)
    for name in ("routine.yaml", "patient.yaml"):
        assert hashlib.sha256((folder / name).read_bytes()).hexdigest() in text
    for name in ("plan.json", "steady.mp3"):
        assert str(FILES[name]["sha256"]) in text
    listed = "".join(f"{FILES[name]['sha256']}  {name}\n" for name in sorted(FILES))
    assert hashlib.sha256(listed.encode()).hexdigest() in text


def test_what_was_accepted_has_its_reason_and_what_is_outside_its_source(
    told: Prescribed, pdf: bytes
) -> None:
    """An accepted caution, and an amount beside its guidance, can be answered for."""
    text = text_of(pdf)
    assert told.checked.accepted
    assert "Reason: a gentle first week" in text
    outside = [one for one in compared(told.totals) if one.verdict is not Verdict.INSIDE]
    assert outside
    for one in outside:
        assert flat(one.shown()) in text


def test_the_greeting_is_not_filed(pdf: bytes) -> None:
    """A first name may be in it."""
    assert "Invented" not in text_of(pdf)
    assert b"Invented" not in pdf


def test_a_long_routine_goes_on_to_a_second_page_cleanly(tmp_path: Path) -> None:
    """The place to sign never stands alone: what was made from what is on its page."""
    told = _told(tmp_path, 24)
    pages = lines(record_pdf(told, files=FILES, checks=CHECKS))
    assert len(pages) == 2
    last = flat(pages[-1])
    assert "Made from, made with" in last
    assert "Signature" in last


def test_a_routine_for_everybody_says_so(tmp_path: Path) -> None:
    """Without a patient's file there is no label, and nothing was changed."""
    text = text_of(record_pdf(prescribed(tmp_path, routine_data([HOLD]))))
    assert "no patient file" in text
    assert "As written" in text or "as written" in text


def test_the_same_prescription_gives_the_same_bytes(told: Prescribed) -> None:
    """No clock, no chance."""
    assert record_pdf(told, files=FILES) == record_pdf(told, files=FILES)
