"""``plan.svg``: whole, self-contained, legible, and to scale."""

from __future__ import annotations

import dataclasses
import itertools
import re
from xml.etree import ElementTree as ET

import pytest

from breathmark.deliver import plan_look as look
from breathmark.deliver.plan_json import plan_from_json, plan_to_json
from breathmark.deliver.plan_svg import WIDTH, plan_svg
from breathmark.routine.model import Side
from breathmark.script.session import Activity, Breath, Purpose, Session, Span
from tests.plan_sessions import RATE_HZ, Sketch, many_exercises, one_exercise, twelve_minutes

SVG = "{http://www.w3.org/2000/svg}"
LONG = "Standing hip abduction with a band around both ankles, " * 4
SESSIONS = [twelve_minutes(), one_exercise(), one_exercise(LONG, end_s=1200), many_exercises()]
each_session = pytest.mark.parametrize(
    "session", SESSIONS, ids=["12 min", "3 min", "20 min, long name, wrapped", "61 min"]
)


def root_of(session: Session) -> ET.Element:
    return ET.fromstring(plan_svg(session))


def texts(root: ET.Element) -> list[str]:
    return [element.text or "" for element in root.iter(f"{SVG}text")]


def titles(root: ET.Element) -> list[str]:
    return [element.text or "" for element in root.iter(f"{SVG}title")]


@each_session
def test_picture_is_whole_xml_and_the_same_every_time(session: Session) -> None:
    assert root_of(session).tag == f"{SVG}svg"
    assert plan_svg(session) == plan_svg(session)
    assert plan_svg(session).endswith("</svg>\n")


@each_session
def test_nothing_is_fetched_and_nothing_runs(session: Session) -> None:
    root = root_of(session)
    allowed = {"svg", "title", "desc", "style", "defs", "pattern", "clipPath", "g", "rect", "path"}
    assert {element.tag.removeprefix(SVG) for element in root.iter()} <= allowed | {"text"}
    for element in root.iter():
        assert not [name for name in element.attrib if "href" in name or name.startswith("on")]
    urls = re.findall(r"url\(([^)]*)\)", plan_svg(session))
    ids = {f"#{element.get('id')}" for element in root.iter() if element.get("id")}
    assert set(urls) <= ids
    assert "@import" not in plan_svg(session)
    assert plan_svg(session).count("http") == 1  # the name of the SVG name space


def test_screen_readers_get_a_name_and_every_chapter() -> None:
    root = root_of(twelve_minutes())
    assert root.get("role") == "img"
    named = [root.find(f"{SVG}{tag}") for tag in ("title", "desc")]
    assert root.get("aria-labelledby") == " ".join(str(e.get("id")) for e in named if e is not None)
    told = root.findtext(f"{SVG}desc") or ""
    assert "12:00 in all, 7 chapters, work 5:38, rest 2:29, talking 1:08." in told
    for block in twelve_minutes().blocks:
        assert f"{block.title}, starts " in told


def test_chapters_stand_beside_their_lanes_with_start_and_length() -> None:
    shown = texts(root_of(twelve_minutes()))
    for block in twelve_minutes().blocks:
        assert block.title in shown
    assert "4:08 · lasts 1:46 · work 0:56" in shown
    assert "12:00 in all · 7 chapters · work 5:38 · rest 2:29 · talking 1:08" in shown
    assert "goes on at 2:47" in shown


def test_every_span_is_told_and_labelled_by_more_than_colour() -> None:
    root = root_of(twelve_minutes())
    assert "Hold 30 s, left, set 1 of 2, 1:23 to 1:53 (30 s)" in titles(root)
    for label in ("Left 1 · 30 s", "Right 2 · 30 s", "8 repetitions · 56 s", "rest 30 s"):
        assert label in texts(root)
    for legend in ("Work, left side", "Changing sides", "Halfway tone", "Talking", "Counting"):
        assert legend in texts(root)


def test_legend_has_only_what_is_there() -> None:
    shown = texts(root_of(one_exercise()))
    assert "Work, both sides" in shown
    assert "Work, left side" not in shown
    assert "Paced breathing: in rises, out falls" not in shown
    assert "Halfway tone" not in shown


def test_every_spoken_line_but_counts_can_be_read_by_pointing() -> None:
    told = titles(root_of(twelve_minutes()))
    lines = [line for line in twelve_minutes().spoken if line.purpose is not Purpose.COUNT]
    assert len([title for title in told if re.match(r"\d+:\d\d(\.\d)? “", title)]) == len(lines)


def test_strip_is_to_scale_and_fills_the_width() -> None:
    session = twelve_minutes()
    (strip,) = [
        g for g in root_of(session).iter(f"{SVG}g") if g.get("transform") == "translate(36 118)"
    ]
    boxes = [box for box in strip.findall(f"{SVG}rect") if box.get("fill") != "none"]
    spans = [span for block in session.blocks for span in block.spans]
    assert len(boxes) == len(spans)
    for box, span in zip(boxes, spans, strict=True):
        assert float(box.get("x", 0)) == pytest.approx(span.start / session.length * 1128, abs=0.06)
        assert float(box.get("width", 0)) == pytest.approx(
            span.length / session.length * 1128, abs=0.06
        )


@each_session
def test_lanes_hold_every_span_at_one_scale(session: Session) -> None:
    """Widths of a span's boxes add up to its length at the scale of the first lane."""
    widths: dict[str, float] = {}
    for group in root_of(session).iter(f"{SVG}g"):
        title, box = group.find(f"{SVG}title"), group.find(f"{SVG}rect")
        if title is not None and box is not None and title.text:
            widths[title.text] = widths.get(title.text, 0) + float(box.get("width", 0)) + 1
    spans = [span for block in session.blocks for span in block.spans]
    assert len(widths) == len(spans)
    scales = [w / (s.length / RATE_HZ) for w, s in zip(widths.values(), spans, strict=True)]
    assert max(scales) == pytest.approx(min(scales), rel=0.02)


@each_session
def test_nothing_sticks_out_of_the_picture(session: Session) -> None:
    root = root_of(session)
    height = float(root.get("height", 0))
    boxes = list(_boxes(root, 0.0, 0.0))
    assert min(x for x, *_ in boxes) >= 0
    assert max(right for _, _, right, _ in boxes) <= WIDTH
    assert max(bottom for *_, bottom in boxes) <= height


def _boxes(element: ET.Element, x: float, y: float) -> list[tuple[float, float, float, float]]:
    found: list[tuple[float, float, float, float]] = []
    for child in element:
        if child.tag == f"{SVG}defs":
            continue
        move = re.match(r"translate\(([\d.]+) ([\d.]+)\)", child.get("transform", ""))
        dx, dy = (x + float(move[1]), y + float(move[2])) if move else (x, y)
        if child.tag == f"{SVG}rect":
            left, top = dx + float(child.get("x", 0)), dy + float(child.get("y", 0))
            right = left + float(child.get("width", 0))
            found.append((left, top, right, top + float(child.get("height", 0))))
        found += _boxes(child, dx, dy)
    return found


def test_held_breath_stays_as_high_as_it_rose() -> None:
    sketch = Sketch()
    sketch.breathe(0, 4, Breath.IN)
    sketch.breathe(10, 5, Breath.OUT)
    sketch.span(30, Activity.WORK, "Breathe")
    sketch.chapter("Breathe")
    fill = f"[@fill='{look.BREATHING.lines}']"
    path = root_of(sketch.finished("Held")).find(f".//{SVG}path{fill}")
    assert path is not None
    px_s = 860 / 30  # the lane's width, and a lane of 30 s
    risen, held = re.findall(r"M([\d.]+) 45V[\d.]+H([\d.]+)", path.get("d", ""))[1]
    assert float(risen) == pytest.approx(4 * px_s, abs=0.06)
    assert float(held) == pytest.approx(10 * px_s, abs=0.06)


def test_long_names_are_shortened_and_whole_in_the_title() -> None:
    root = root_of(one_exercise(LONG))
    assert LONG.strip() in titles(root)
    names = [t for t in root.iter(f"{SVG}text") if t.get("class") == "bm-name"]
    assert [name.text for name in names][1:3] == [
        "Standing hip abduction",
        "with a band around bo…",
    ]


def test_words_from_files_cannot_break_or_enter_the_picture() -> None:
    nasty = '</title><script>alert(1)</script>&amp;"\x00\x1b\ud83e\ufffe'
    sketch = Sketch()
    sketch.say(0, nasty, Purpose.OPENING)
    sketch.span(30, Activity.WORK, nasty)
    sketch.chapter(nasty)
    root = ET.fromstring(plan_svg(sketch.finished(nasty)))
    assert not list(root.iter(f"{SVG}script"))
    assert any("<script>alert(1)</script>&amp;" in title for title in titles(root))


def test_empty_and_zero_length_sessions_are_drawn() -> None:
    empty = dataclasses.replace(one_exercise(), length=0, blocks=(), events=())
    assert "0:00 in all · 0 chapters" in " ".join(texts(root_of(empty)))
    block = dataclasses.replace(one_exercise().blocks[0], length=0, spans=())
    assert root_of(dataclasses.replace(empty, blocks=(block,))).tag == f"{SVG}svg"


@pytest.mark.parametrize("fill", look.FILLS, ids=lambda fill: fill.name)
def test_contrast_of_every_sort_of_span(fill: look.Fill) -> None:
    """WCAG 2.2: 1.4.3 text 4.5:1, 1.4.11 graphics 3:1 (the edge against the paper)."""
    assert look.contrast(fill.edge, look.PAPER) >= 3
    if fill is look.BREATHING:  # its label stands above it; the wave carries the meaning
        assert look.contrast(fill.lines, fill.ground) >= 3
        return
    assert look.contrast(fill.text, fill.ground) >= 4.5


def test_contrast_of_text_and_marks() -> None:
    for colour in (look.INK, look.SOFT_INK):
        assert look.contrast(colour, look.PAPER) >= 4.5
    for colour in (look.SPEECH, look.COUNTS, look.INK):
        assert look.contrast(colour, look.PAPER) >= 3


def test_left_and_right_differ_in_grey_and_in_pattern() -> None:
    assert look.contrast(look.LEFT.ground, look.RIGHT.ground) >= 3
    assert look.LEFT.pattern != look.RIGHT.pattern


def test_sorts_are_not_told_apart_by_colour_alone() -> None:
    """Any two differ in pattern, or in lightness by 3:1 as a grey print keeps it."""
    for one, other in itertools.combinations(look.FILLS, 2):
        if one.pattern == other.pattern and look.BREATHING not in (one, other):
            assert look.contrast(one.ground, other.ground) >= 3, (one.name, other.name)


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        ("#000000", "#FFFFFF", 21.0),  # WCAG 2.2, definition of contrast ratio
        # Known edge cases on white, as published for WCAG:
        ("#767676", "#FFFFFF", 4.54),
        ("#777777", "#FFFFFF", 4.48),
        ("#595959", "#FFFFFF", 7.0),
        ("#949494", "#FFFFFF", 3.03),
    ],
)
def test_contrast_agrees_with_published_figures(one: str, other: str, ratio: float) -> None:
    assert look.contrast(one, other) == pytest.approx(ratio, abs=0.006)
    assert look.contrast(other, one) == look.contrast(one, other)


def two_busy_hours() -> Session:
    """Two hours with more than 5000 events."""
    sketch = Sketch()
    for index in range(40):
        for number in range(1, 5):
            sketch.reps(30, 1.4, (Side.LEFT, Side.RIGHT)[number % 2], number)
            sketch.rest(2)
        sketch.chapter(f"Exercise {index + 1}", index)
    sketch.closing(7200)
    return sketch.finished("Two busy hours")


def test_two_busy_hours_are_drawn_and_read_back() -> None:
    session = two_busy_hours()
    assert session.length == 7200 * RATE_HZ
    assert len(session.events) > 5000
    assert plan_svg(session).endswith("</svg>\n")
    assert plan_from_json(plan_to_json(session)) == session


def test_spans_shorter_than_a_pixel_are_still_drawn() -> None:
    session = two_busy_hours()
    tiny = [span for block in session.blocks for span in block.spans if span.length < RATE_HZ * 3]
    assert isinstance(tiny[0], Span)
    assert plan_svg(session).count('height="30"') >= sum(len(b.spans) for b in session.blocks)


@each_session
def test_the_sessions_own_clock_stands_under_every_lane(session: Session) -> None:
    """Lanes begin at zero each: what is heard at 7:30 took a sum. Every round time is there."""
    marks = [one for one in root_of(session).iter(f"{SVG}text") if one.get("class") == "bm-clock"]
    told_s = [_seconds(one.text or "") for one in marks]
    step_s = min(b - a for a, b in itertools.pairwise(told_s) if b > a)
    assert told_s == sorted(told_s)
    assert set(told_s) == set(range(0, session.length // RATE_HZ + 1, step_s))
    by_lane = itertools.groupby(marks, lambda one: one.get("y"))
    lanes = [[float(one.get("x", 0)) for one in lane] for _, lane in by_lane]
    apart = [b - a for lane in lanes for a, b in itertools.pairwise(lane)]
    assert all(one == pytest.approx(apart[0], abs=0.2) and one >= 70 for one in apart)


def _seconds(clock: str) -> int:
    seconds = 0
    for part in clock.split(":"):
        seconds = 60 * seconds + int(part)
    return seconds
