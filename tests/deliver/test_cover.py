"""The cover and the plan as PNG: nothing is cut off, and the same words give the same bytes."""

from __future__ import annotations

import io

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageColor

from breathmark.deliver import plan_look as look
from breathmark.deliver.cover import SIDE_PX, cover_png, fitted
from breathmark.deliver.pictures_plan import plan_png
from breathmark.deliver.plan_svg import plan_svg
from tests.plan_sessions import many_exercises, twelve_minutes

PAPER = ImageColor.getrgb(look.PAPER)
EDGE_PX, WORDS_PX = 36, 420
"""No word comes nearer to an edge; words stand above ``WORDS_PX``, below is decoration."""

TITLES = [
    "Steady on your feet",
    "Knee",
    "Straßenübungen für die Füße",
    "Lying on the back with one knee bent and the other leg long on a rolled towel, both arms at",
    "Donaudampfschifffahrtsgesellschaftskapitän",
    "Ισορροπία και βάδιση για όλους",
    "Равновесие и ходьба каждый день",
    "W" * 100,
    "A & B <c> \"d\" 'e'",
    "",
]


def _image(png: bytes) -> Image.Image:
    image = Image.open(io.BytesIO(png))
    image.load()
    return image.convert("RGB")


def _inked(image: Image.Image, box: tuple[int, int, int, int]) -> bool:
    """Whether anything but paper is in a part of the picture."""
    colours = image.crop(box).getcolors(100_000)
    return colours is None or any(colour != PAPER for _, colour in colours)


@pytest.mark.parametrize("title", TITLES)
def test_no_word_is_cut_off(title: str) -> None:
    """All round the words there is paper, whatever the title, the length and the week."""
    image = _image(cover_png(title, 120, 52))
    assert image.size == (SIDE_PX, SIDE_PX)
    assert _inked(image, (EDGE_PX, EDGE_PX, SIDE_PX - EDGE_PX, WORDS_PX))
    assert not _inked(image, (0, 0, SIDE_PX, EDGE_PX))
    assert not _inked(image, (0, 0, EDGE_PX, WORDS_PX))
    assert not _inked(image, (SIDE_PX - EDGE_PX, 0, SIDE_PX, WORDS_PX))
    # Between the title and the minutes.
    assert not _inked(image, (0, 314, SIDE_PX, 325))


@settings(max_examples=60, deadline=None)
@given(title=st.text(st.characters(blacklist_categories=["Cs"]), max_size=100))
def test_any_title_fits(title: str) -> None:
    """Lines are as wide as the cover allows and no wider; the words are all there or end in …"""
    lines, size = fitted(title)
    assert size >= 32
    assert len(lines) * size <= 262
    image = _image(cover_png(title, 12))
    assert not _inked(image, (SIDE_PX - 20, 0, SIDE_PX, WORDS_PX))


def test_usual_titles_are_whole_and_large() -> None:
    """What people call a routine is shown whole, in letters a tenth of the cover high."""
    assert fitted("Steady on your feet") == (("Steady on", "your feet"), 76)
    assert " ".join(fitted(TITLES[3])[0]) == TITLES[3]


def test_the_same_words_give_the_same_bytes_and_others_do_not() -> None:
    """Title, minutes, week and language all show."""
    cover = cover_png("Steady on your feet", 12, 3)
    assert cover == cover_png("Steady on your feet", 12, 3)
    others = [("Steady on your feet", 13, 3), ("Steady on your feet", 12, 4), ("Steady", 12, 3)]
    assert all(cover_png(*other) != cover for other in others)
    assert len(cover) < 60_000


def test_words_on_the_cover_stand_out() -> None:
    """WCAG 2.2, 1.4.6: 7:1 for title and fields."""
    pairs = [
        (look.INK, look.PAPER),
        (look.LEFT.text, look.LEFT.ground),
        (look.INK, look.RIGHT.ground),
    ]
    assert min(look.contrast(*pair) for pair in pairs) >= 7


def test_the_plan_is_drawn_as_it_is_in_its_svg() -> None:
    """Twice the size of the SVG, with its colours where its spans are, and its words."""
    session = twelve_minutes()
    image = _image(plan_png(session))
    svg = plan_svg(session)
    width, height = image.size
    assert f'width="{width // 2}" height="{height // 2}"' in svg
    assert image.getpixel((3, 3)) == PAPER
    # The strip on top: 36 px in, 118 down, 24 high, 1128 wide for 720 s (see plan_svg).
    colours = {
        at_s: _near(image, 72 + at_s * 2256 // 720, 236 + 40) for at_s in (100, 145, 300, 555)
    }
    grounds = (look.LEFT, look.RIGHT, look.BOTH, look.BREATHING_STRIP)
    for at_s, fill in zip(colours, grounds, strict=True):
        assert ImageColor.getrgb(fill.ground) in colours[at_s], at_s
    assert _dark_part(image, (72, 60, 700, 120)) > 0.05  # the title


def _near(image: Image.Image, x: int, y: int) -> set[tuple[int, ...]]:
    found = image.crop((x - 8, y - 20, x + 8, y + 4)).getcolors(1000) or []
    return {colour for _, colour in found if isinstance(colour, tuple)}


def _dark_part(image: Image.Image, box: tuple[int, int, int, int]) -> float:
    grey = image.crop(box).convert("L").histogram()
    return sum(grey[:100]) / sum(grey)


def test_the_plan_as_png_is_the_same_each_time() -> None:
    """No font of the machine takes part."""
    assert plan_png(twelve_minutes()) == plan_png(twelve_minutes())


def test_a_very_long_plan_stays_a_picture_that_opens() -> None:
    """No side is longer than 8000 pixels."""
    assert max(_image(plan_png(many_exercises(80, end_s=12_000))).size) <= 8000
