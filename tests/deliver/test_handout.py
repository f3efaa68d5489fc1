"""The handout is measured in the PDF itself, by readers that are not ours."""

from __future__ import annotations

import dataclasses
import io
import itertools
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from pypdf import PdfReader

from breathmark.deliver.fonts import letters_missing
from breathmark.deliver.handout import handout_pdf, letters_not_printed
from breathmark.deliver.pictures import Picture, pictures_of
from breathmark.deliver.record import Prescribed
from breathmark.routine.model import Side
from breathmark.routine.readability import flesch_kincaid_grade
from breathmark.script.blocks import pain_rule
from breathmark.script.coaching import with_sides
from breathmark.script.words import words_of
from tests.deliver.paper_cases import (
    HOLD,
    PAUSE,
    REPS,
    exercises,
    flat,
    prescribed,
    routine_data,
)
from tests.deliver.paper_reading import (
    Letter,
    contrasts,
    fonts_unembedded,
    letters,
    lines,
    outline,
    overlapping,
    structure,
    text_of,
)

MARGIN, FOOT = 50.0, 58.0  # 17 mm, which every printer reaches
LONG_NAME = (  # as long as a name may be: 100 characters
    "Lying on the back with one knee bent and the other leg long on a rolled towel, both arms at "
    "the side"
)
HELPER = {"label": "R-204", "routine": "routine.yaml", "greeting": "Good morning.", "helper": "yes"}

Made = tuple[Prescribed, bytes]


def _picture(width: int = 900, height: int = 600) -> Picture:
    out = io.BytesIO()
    Image.new("RGB", (width, height), "#7A9").save(out, "PNG")
    return Picture(data=out.getvalue(), media_type="image/png", width=width, height=height)


def _with_pictures(folder: Path) -> Made:
    for name in ("a.png", "b.png"):
        (folder / name).write_bytes(_picture().data)
    some = exercises(6)
    some[0] = {**some[0], "picture": "a.png"}
    some[3] = {**some[3], "picture": "b.png"}
    made = prescribed(folder, routine_data(some), HELPER)
    return made, handout_pdf(made, pictures=pictures_of(made.routine))


def _of(count: int, paper: str) -> Callable[[Path], Made]:
    def make(folder: Path) -> Made:
        made = prescribed(folder, routine_data(exercises(count)), HELPER)
        return made, handout_pdf(made, paper=paper)

    return make


def _long_words(folder: Path) -> Made:
    some = [
        {**HOLD, "name": LONG_NAME},
        {**REPS, "name": "Donaudampfschifffahrtsgesellschafts" * 2},
    ]
    made = prescribed(folder, routine_data(some, title=LONG_NAME))
    return made, handout_pdf(made)


CASES = {
    "one": _of(1, "a4"),
    "six": _of(6, "a4"),
    "six on letter": _of(6, "letter"),
    "twelve": _of(12, "a4"),
    "twelve on letter": _of(12, "letter"),
    "pictures": _with_pictures,
    "long words": _long_words,
}


@pytest.fixture(scope="module", params=CASES)
def made(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Made:
    """A prescription and its handout, short and long, with and without pictures."""
    return CASES[request.param](tmp_path_factory.mktemp("handout"))


def _body(pdf: bytes) -> Iterator[Letter]:
    return (one for one in letters(pdf) if one.tag != "Artifact")


def test_nothing_is_smaller_than_large_print(made: Made) -> None:
    """Large print is 16 to 18 pt (RNIB); page numbers may be 12 (clear print)."""
    assert min(one.size for one in _body(made[1])) >= 16
    feet = {one.size for one in letters(made[1]) if one.tag == "Artifact"}
    assert feet == {12}


def test_contrast_is_high(made: Made) -> None:
    """WCAG 2.2, 1.4.6: 7:1, between each letter and what is painted behind it."""
    assert min(contrasts(made[1])) >= 7


def test_fonts_are_inside(made: Made) -> None:
    """No font is left to the machine that shows the paper."""
    assert fonts_unembedded(made[1]) == set()


def test_nothing_leaves_the_margins_or_lies_over_other_words(made: Made) -> None:
    """Every letter lies between the margins, and no two words share a place."""
    _require_inside(made[1])
    assert overlapping(made[1]) == []


def _require_inside(pdf: bytes) -> None:
    page = PdfReader(io.BytesIO(pdf)).pages[0].mediabox
    for one in letters(pdf):
        assert one.left >= MARGIN - 0.1, one
        assert one.right <= float(page.width) - MARGIN + 0.1, one
    for one in _body(pdf):
        assert one.top >= MARGIN - 3, one
        assert one.bottom <= float(page.height) - FOOT + 3, one


def test_lines_are_short(made: Made) -> None:
    """RNIB clear print: 60 to 70 characters a line at most."""
    assert max(len(line) for page in lines(made[1]) for line in page[:-1]) <= 70


def test_every_exercise_is_there_with_its_words(made: Made) -> None:
    """Name, dose, set-up, cues, feel, easier and harder of each exercise are printed."""
    told, text, words = made[0], text_of(made[1]), words_of("en")
    for one in told.routine.exercises:
        side = one.first_side or told.routine.first_side
        expected = [*one.setup, *(cue.say for cue in one.cues), *one.feel]
        expected += one.easier.say if one.easier else ()
        expected += one.harder.say if one.harder else ()
        for line in (with_sides(line, side, words) for line in expected):
            assert flat(line).rstrip(".") in text, line
        assert one.name[:30] in text
    assert "{" not in text
    assert "Hold for 30 seconds. 2 times on each side." in text


def test_no_exercise_is_broken_over_pages(made: Made) -> None:
    """All that is tagged as one exercise stands on one page; each is tagged."""
    blocks = [one for one in structure(made[1]).having("H2") if one.role == "Sect"]
    expected = [one.name for one in made[0].routine.exercises]
    own = [one for one in blocks if len([p for p in one.parts if p.role == "H2"]) == 1]
    assert len(own) >= len(expected)
    assert all(len(one.pages) == 1 for one in own[: len(expected)])


def test_no_page_ends_with_a_heading(made: Made) -> None:
    """What a heading or a label announces follows on the same page."""
    assert not _headings_at_the_foot(made[1])


def _headings_at_the_foot(pdf: bytes) -> list[int]:
    """The pages on which nothing follows a heading."""
    last: dict[int, tuple[int, str]] = {}
    for one in structure(pdf).all():
        for page, number in one.own:
            last[page] = max(last.get(page, (-1, "")), (number, one.role))
    return [page for page, (_, role) in last.items() if role in {"H1", "H2", "H3"}]


def test_it_is_read_in_the_order_in_which_it_is_seen(made: Made) -> None:
    """Structure, content and the eye go the same way: down the page, page after page."""
    marks = structure(made[1]).marks
    assert marks == sorted(marks)
    assert len(marks) == len(set(marks))
    tops: dict[tuple[int, int], float] = {}
    for one in _body(made[1]):
        assert one.mcid is not None
        tops.setdefault((one.page, one.mcid), one.bottom)
    table = {mark for one in structure(made[1]).all() if one.role == "Table" for mark in one.marks}
    seen = [mark for mark in marks if mark in tops and mark not in table]
    for before, after in itertools.pairwise(seen):
        assert before[0] < after[0] or tops[before] <= tops[after] + 6


def test_everything_drawn_is_tagged_or_decoration(made: Made) -> None:
    """Each letter belongs to an element of the structure, or to a page's foot."""
    known = set(structure(made[1]).marks)
    for one in letters(made[1]):
        is_foot = one.tag == "Artifact" and one.mcid is None
        assert is_foot or (one.page, one.mcid) in known, one


def test_it_says_what_it_is(made: Made) -> None:
    """Title, language and tags are where PDF readers look (ISO 32000-1, 14.3, 14.8, 14.9.2)."""
    reader = PdfReader(io.BytesIO(made[1]))
    root: Any = reader.trailer["/Root"]
    assert reader.metadata is not None
    assert reader.metadata.title == made[0].routine.title
    assert root["/Lang"] == "en"
    assert root["/MarkInfo"]["/Marked"]
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]


def test_the_outline_leads_to_every_exercise(made: Made) -> None:
    """The outline names the parts, and each exercise once."""
    titles = outline(made[1])
    for one in made[0].routine.exercises:
        assert sum(title.endswith(one.name) for title in titles) >= 1
    assert "When to stop, and whom to call" in titles


def test_the_same_prescription_gives_the_same_bytes(tmp_path: Path) -> None:
    """No clock, no chance."""
    told = prescribed(tmp_path, routine_data(exercises(3)), HELPER)
    assert handout_pdf(told) == handout_pdf(told)


def test_the_usual_cautions_stand_in_full_before_the_exercises(tmp_path: Path) -> None:
    """Signs to stop at, the pain rule, the clinician first, the balance set-up, a line to call."""
    told = prescribed(tmp_path, routine_data(exercises(2)))
    text, words = text_of(handout_pdf(told)), words_of("en")
    before = text[: text.index(words.say("paper exercises"))]
    for sign in ("chest", "breath", "sweat", "dizzy", "weak", "joint"):
        assert words.say(f"paper stop {sign}") in before
    keys = ("clinician first", "balance rule", "paper balance support", "paper stop help")
    for line in (*(words.say(key) for key in keys), pain_rule(told.routine, words)):
        assert flat(line) in before
    assert told.routine.cautions[0] in before
    assert words.say("paper emergency") in before


def test_the_balance_set_up_is_left_out_where_nobody_balances(tmp_path: Path) -> None:
    """A routine without balance work does not ask for a counter and a chair."""
    told = prescribed(tmp_path, routine_data([HOLD]))
    assert words_of("en").say("paper balance support") not in text_of(handout_pdf(told))


@pytest.mark.parametrize(
    ("sides", "printed"),
    [
        ({"first": "left"}, "Slide your left foot straight back"),
        ({"first": "right"}, "Slide your right foot straight back"),
        ({"only": "right"}, "Slide your right foot straight back"),
    ],
)
def test_the_words_name_the_side_that_comes_first(
    tmp_path: Path, sides: dict[str, str], printed: str
) -> None:
    """A set-up is printed for the first side, and then the change of sides is told."""
    told = prescribed(tmp_path, routine_data([HOLD]), {**HELPER, "sides": sides})
    text = text_of(handout_pdf(told))
    assert printed in text
    first = Side(sides["first"]) if "first" in sides else None
    if first:
        assert f"Start with your {first} side. Later, do the same with your {first.other}" in text
    else:
        assert "do the same with your" not in text


def test_a_greeting_is_printed_and_the_label_is_not(tmp_path: Path) -> None:
    """The greeting is printed once, where the clinician put it there; the label never."""
    told = prescribed(tmp_path, routine_data([HOLD]), HELPER)
    text = text_of(handout_pdf(told))
    assert text.count("Good morning.") == 1
    assert b"R-204" not in handout_pdf(told)
    assert "R-204" not in text


def test_the_helper_has_a_page_only_when_there_is_a_helper(tmp_path: Path) -> None:
    """Where to stand, what to watch for, when to stop, and the exercises' own lines."""
    words = words_of("en")
    pages = lines(handout_pdf(prescribed(tmp_path, routine_data([HOLD, REPS]), HELPER)))
    last = flat(pages[-1])
    assert pages[-1][0] == words.say("paper helper")
    for key in ("where", "watch", "stop"):
        assert words.say(f"paper helper {key}") in last
    assert words.say("paper emergency") in last  # where the helper reads when to call
    assert "Stand on the left side, one hand near the hips." in last
    alone = handout_pdf(prescribed(tmp_path, routine_data([HOLD, REPS])))
    assert words.say("paper helper") not in text_of(alone)


@pytest.mark.parametrize(
    ("frequency", "boxes"),
    [
        ("5 days a week", 20),
        ("twice a week", 8),
        ("daily", 28),
        ("when you can", 28),
        ("twice daily", 56),
    ],
)
def test_the_diary_has_a_box_for_each_session_of_four_weeks(
    tmp_path: Path, frequency: str, boxes: int
) -> None:
    """A box for each session of the frequency; where it is not plain, seven a week."""
    told = prescribed(tmp_path, routine_data([HOLD], frequency=frequency))
    cells = [one for one in structure(handout_pdf(told)).all() if one.role == "TD"]
    assert len(cells) == boxes


def test_the_diary_ends_where_another_week_has_its_own_paper(tmp_path: Path) -> None:
    """A change from week 3 on brings a new handout, so this one is for two weeks."""
    weeks = [{"from": 3, "changes": {HOLD["name"]: {"hold": "40 s"}}}]
    told = prescribed(tmp_path, routine_data([HOLD], weeks=weeks))
    text = text_of(handout_pdf(told))
    assert "Week 2" in text
    assert "Week 3" not in text


def test_what_is_done_in_a_pause_is_no_set_up(tmp_path: Path) -> None:
    """Water is drunk, not got ready for; the exercises keep their label."""
    pause = {**PAUSE, "setup": "Drink slowly, and breathe."}
    words = words_of("en")
    text = flat(text_of(handout_pdf(prescribed(tmp_path, routine_data([HOLD, pause])))))
    rest = words.say("paper rest", time=words.time(40_000))
    assert f"{rest} • Drink slowly, and breathe." in text
    assert text.count(words.say("paper setup")) == 1


def test_an_exercise_longer_than_a_page_starts_on_a_fresh_one(tmp_path: Path) -> None:
    """It has to be broken; then it begins at the top, and nothing of it is lost."""
    cues = [f"This is line {number} of many, and each is printed." for number in range(40)]
    long = {**HOLD, "name": "The long one", "cues": cues, "kind": "hold"}
    told = prescribed(tmp_path, routine_data([REPS, long]))
    pdf = handout_pdf(told)
    assert all(cue in text_of(pdf) for cue in cues)
    page = next(page for page in lines(pdf) if any("The long one" in line for line in page))
    assert "The long one" in page[0]
    _require_inside(pdf)


def test_a_label_goes_with_its_lines_where_an_exercise_is_broken(tmp_path: Path) -> None:
    """Wherever a page ends, between no label and its first line."""
    told = prescribed(tmp_path, routine_data([HOLD]))
    (one,) = told.routine.exercises
    pages = set()
    for count in range(20, 34):
        long = dataclasses.replace(one, setup=("Stand tall.",) * count)
        routine = dataclasses.replace(told.routine, exercises=(long,))
        pdf = handout_pdf(dataclasses.replace(told, routine=routine))
        assert not _headings_at_the_foot(pdf), count
        label = next(e for e in structure(pdf).all() if e.role == "H2").marks[0]
        pages |= {max(structure(pdf).pages) - label[0]}
    assert len(pages) > 1  # the sweep went over the end of a page


def test_a_picture_is_shown_with_words_for_it(tmp_path: Path) -> None:
    """The clinician's picture stands with its exercise, and has a text for who cannot see."""
    (tmp_path / "a.png").write_bytes(_picture(300, 900).data)
    told = prescribed(tmp_path, routine_data([{**HOLD, "picture": "a.png"}]))
    pdf = handout_pdf(told, pictures=pictures_of(told.routine))
    figures = [one for one in structure(pdf).all() if one.role == "Figure"]
    assert [one.alt for one in figures] == ["Picture: Standing calf stretch"]
    assert sum(len(page.images) for page in PdfReader(io.BytesIO(pdf)).pages) == 1


LANGUAGES = {
    "German": "Füße hüftbreit, die Knie weich: „größer“ heißt nicht schneller, ÄÖÜ ß.",
    "French": "Où êtes-vous ? Gardez le cœur léger, l’épaule à gauche, ça va ; Œ Ç À É « là ».",
    "Spanish": "¿Cómo está? ¡Más despacio, mañana será fácil! Ñ Á É Í Ó Ú ü.",
    "Polish": "Usiądź prosto, połóż ręce, łokcie blisko; źdźbło, ŻÓŁĆ.",
    "Turkish": "İki ayağını yere bas, ığdır, şöyle çok güzel.",
    "Greek": "Κάθισε ίσια και άφησε τους ώμους να πέσουν.",
    "Russian": "Сядьте прямо и опустите плечи, ещё раз.",
    "Vietnamese": "Ngồi thẳng lưng và thả lỏng hai vai của bạn.",
}


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_alphabet_of_europe_is_printed(tmp_path: Path, language: str) -> None:
    """Letters come out as they went in, with their fonts inside, each with a shape."""
    line = LANGUAGES[language]
    made = {**REPS, "name": f"{language} words", "setup": [line], "cues": []}
    pdf = handout_pdf(prescribed(tmp_path, routine_data([made])))
    assert line in text_of(pdf)
    assert fonts_unembedded(pdf) == set()
    assert letters_missing([line]) == ""


def test_letters_that_no_face_has_are_named() -> None:
    """What would come out as boxes can be told to the clinician beforehand."""
    assert letters_missing(["Heel 膝 raises مرحبا", "膝"]) == "膝مرحبا"


def test_the_clinician_can_be_told_of_letters_that_are_not_printed(tmp_path: Path) -> None:
    """Every text that the handout prints is looked through."""
    odd = {**HOLD, "feel": "a pull 膝", "helper": ["Stand near. 近"], "easier": "Less 少"}
    told = prescribed(tmp_path, routine_data([odd], cautions=["Be careful 心"]), HELPER)
    assert set(letters_not_printed(told)) == set("膝近少心")


@pytest.mark.parametrize("part", ["paper ", "paper helper"])
def test_our_own_words_on_paper_are_easy_to_read(part: str) -> None:
    """Patients' text belongs at grade 5 to 8 (Am Fam Physician 2015;92:118-24), or below."""
    entries = words_of("en").entries.items()
    ours = [forms["other"] for key, forms in entries if key.startswith(part)]
    sentences = [text for text in ours if text.endswith(".") and len(text.split()) > 4]
    assert len(sentences) > 10
    assert flesch_kincaid_grade(" ".join(sentences)) < 5
    assert max(flesch_kincaid_grade(text) for text in sentences) < 8


@settings(max_examples=12, deadline=None)
@given(
    text=st.text(
        st.characters(blacklist_categories=["Cs", "Cc"], blacklist_characters="{}"),
        min_size=1,
        max_size=300,
    )
)
def test_any_text_stays_inside_the_margins(
    tmp_path_factory: pytest.TempPathFactory, text: str
) -> None:
    """Endless words, odd signs and markup of the PDF library itself do no harm."""
    line = f"Say <b>{text}</b> &amp; go on."
    folder = tmp_path_factory.mktemp("odd")
    told = prescribed(folder, routine_data([REPS], about=line, title="Odd words"))
    _require_inside(handout_pdf(told))
