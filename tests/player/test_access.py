"""Everybody can use the page: by keyboard, by ear, by thumb, large, small, dark and light.

WCAG 2.2: level AA throughout, and AAA for contrast (1.4.6) and the size of targets (2.5.5).
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from breathmark.deliver.player import player_html
from breathmark.script.words import languages
from tests.player.browser import Watched, opened
from tests.player.pages import AUDIO, small_prescription, write_page

WIDE = {"width": 1280, "height": 800}
PHONE = {"width": 320, "height": 568}
ZOOMED = {"width": 640, "height": 400}
"""A screen of 1280 × 800 at 200 % (CSS pixels are twice as large)."""
ZOOMED_TO_PHONE = {"width": 320, "height": 256}
"""A screen of 1280 × 1024 at 400 % (WCAG 2.2, 1.4.10)."""

AXE = {
    "runOnly": [
        "wcag2a",
        "wcag2aa",
        "wcag2aaa",
        "wcag21a",
        "wcag21aa",
        "wcag22aa",
        "best-practice",
    ],
    "rules": {"color-contrast-enhanced": {"enabled": True}, "target-size": {"enabled": True}},
}

IN_ORDER = [
    *("smaller", "larger", "colours", "play", "place", "back", "repeat", "previous", "next"),
    *("slower", "faster", "chapter 0", "chapter 1", "chapter 2", "chapter 3", "keys", "picture"),
]

FOCUSED = """() => {
    const one = document.activeElement;
    if (one === document.body) return null;
    const look = getComputedStyle(one);
    const chapter = one.dataset.chapter;
    return {
        name: one.id || (chapter ? `chapter ${chapter}` : one.parentElement.className),
        ring: look.outlineStyle === 'solid' ? parseFloat(look.outlineWidth) : 0,
        seen: one.getBoundingClientRect().top >= 0
            && one.getBoundingClientRect().bottom <= innerHeight + 1,
    };
}"""

BOXES = """() => {
    const shown = (one) => one.checkVisibility() && !one.closest('.unseen, .bm-plan');
    const box = (rect) => [rect.left, rect.top, rect.right, rect.bottom];
    const name = (one) => one.id || one.className || one.tagName;
    const targets = [...document.querySelectorAll('button, summary, input')].filter(shown);
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    const texts = [];
    for (let node = walker.nextNode(); node; node = walker.nextNode()) {
        const holder = node.parentElement;
        if (!node.data.trim() || !shown(holder) || /SCRIPT|STYLE/.test(holder.tagName)) continue;
        const range = document.createRange();
        range.selectNodeContents(node);
        for (const rect of range.getClientRects()) texts.push([node.data.trim(), ...box(rect)]);
    }
    const broken = [];
    for (const holder of [...document.querySelectorAll('button, h2, dt')].filter(shown)) {
        const walker = document.createTreeWalker(holder, NodeFilter.SHOW_TEXT);
        for (let node = walker.nextNode(); node; node = walker.nextNode()) {
            for (const word of node.data.matchAll(/\\S+/g)) {
                const range = document.createRange();
                range.setStart(node, word.index);
                range.setEnd(node, word.index + word[0].length);
                if (new Set([...range.getClientRects()].map((one) => one.top)).size > 1)
                    broken.push(word[0]);
            }
        }
    }
    return {
        broken,
        wide: document.scrollingElement.scrollWidth - innerWidth,
        targets: targets.map((one) => [name(one), ...box(one.getBoundingClientRect())]),
        texts,
        cut: [...document.querySelectorAll('button, p, h1, h2, li, dt, dd')].filter(shown)
            .filter((one) => one.scrollWidth > one.clientWidth + 1).map(name),
    };
}"""


def crossing(boxes: list[list[Any]]) -> list[tuple[str, str]]:
    """Pairs of boxes that overlap by more than a pixel each way."""
    return [
        (one[0], two[0])
        for index, one in enumerate(boxes)
        for two in boxes[index + 1 :]
        if min(one[3], two[3]) - max(one[1], two[1]) > 1
        and min(one[4], two[4]) - max(one[2], two[2]) > 1
    ]


def enlarge(page: Page) -> None:
    """The largest text."""
    for _ in range(4):
        page.click("#larger")


def unfold(page: Page) -> None:
    """Open what is folded away."""
    for summary in page.locator("summary").all():
        summary.click()


def slow_down(page: Page) -> None:
    """A speed that has a note."""
    page.click("#slower")


def long_words(page: Page) -> None:
    """The place where the longest line is said."""
    page.evaluate("document.getElementById('sound').currentTime = 44.5")
    page.wait_for_timeout(100)


def _laid_out(page: Page, *, words_whole: bool = True) -> None:
    found = page.evaluate(BOXES)
    assert not words_whole or found["broken"] == []
    width = page.viewport_size["width"] if page.viewport_size else 0
    assert found["wide"] <= 0
    assert found["cut"] == []
    outside = [box[0] for box in found["texts"] + found["targets"] if box[1] < 0 or box[3] > width]
    assert outside == []
    assert crossing(found["targets"]) == []
    assert crossing(found["texts"]) == []
    small = [box for box in found["targets"] if box[3] - box[1] < 44 or box[4] - box[2] < 44]
    assert small == []
    assert len(found["targets"]) >= 17
    assert len(found["texts"]) >= 40


@pytest.mark.parametrize("size", ["usual", "largest"])
@pytest.mark.parametrize(
    "viewport", [WIDE, PHONE, ZOOMED, ZOOMED_TO_PHONE], ids=["wide", "phone", "200%", "400%"]
)
def test_everything_has_its_room(
    browser: Browser, small_page: Path, viewport: dict[str, int], size: str
) -> None:
    """No scrolling sideways, nothing cut off or over something else, targets of 44 px."""
    with opened(browser, small_page, viewport=viewport) as watched:
        if size == "largest":
            enlarge(watched.page)
        unfold(watched.page)
        slow_down(watched.page)
        long_words(watched.page)
        # The largest words on the narrowest screen may have to be broken.
        _laid_out(watched.page, words_whole=size == "usual" or viewport is WIDE)


@pytest.mark.parametrize("language", languages())
def test_every_language_has_its_room(browser: Browser, small_page: Path, language: str) -> None:
    """On a small phone no word on a button is broken, in any language."""
    prescribed = small_prescription()
    session = dataclasses.replace(prescribed.session, language=language)
    page = small_page.parent / f"{language}.html"
    text = player_html(dataclasses.replace(prescribed, session=session), audio_name=AUDIO)
    page.write_text(text, encoding="utf-8")
    with opened(browser, page, viewport=PHONE) as watched:
        unfold(watched.page)
        slow_down(watched.page)
        _laid_out(watched.page)
        assert watched.page.evaluate("document.documentElement.lang") == language


def test_the_buttons_stay_where_they_are(browser: Browser, small_page: Path) -> None:
    """On a phone, through an exercise, the big button stays in view and under the thumb.

    Words of one line or five, a quiet moment, another side: nothing moves it.
    """
    with opened(browser, small_page, viewport={"width": 320, "height": 640}) as watched:
        for places_s in ((9, 17, 21, 27.2, 33, 42), (44.5, 49.5, 51, 53.5)):
            tops = set()
            for place_s in places_s:
                watched.seek(place_s)
                box = watched.page.locator("#play").bounding_box()
                assert box
                tops.add(box["y"])
                assert box["y"] + box["height"] <= 640
            assert len(tops) == 1, tops


def _violations(page: Page) -> list[str]:
    results = Axe().run(page, options=AXE).response
    unclear = [one for one in results["incomplete"] if one["id"].startswith(("color", "target"))]
    return [
        f"{one['id']}: {node['html'][:120]} {node.get('failureSummary', '')[:300]}"
        for one in results["violations"] + unclear
        for node in one["nodes"]
        if not node["html"].startswith("<text")  # the picture's contrast has its own test
    ]


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("viewport", [WIDE, PHONE], ids=["wide", "phone"])
def test_axe_finds_nothing(
    browser: Browser, small_page: Path, viewport: dict[str, int], scheme: str
) -> None:
    """axe-core, with its rules for AAA contrast, on the page at rest and in use."""
    with opened(browser, small_page, viewport=viewport, color_scheme=scheme) as watched:
        assert _violations(watched.page) == []
        unfold(watched.page)
        slow_down(watched.page)
        long_words(watched.page)
        watched.page.click("#play")
        assert _violations(watched.page) == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_in_the_messages(browser: Browser, tmp_path: Path, scheme: str) -> None:
    """The message about a missing recording, and the one that offers to begin anew."""
    page = write_page(tmp_path / "player.html")
    script = """for (const key of Object.keys(localStorage)) localStorage.removeItem(key);"""
    with opened(browser, page, wait=False, color_scheme=scheme, script=script) as watched:
        expect(watched.page.locator("#trouble")).to_be_visible()
        watched.page.evaluate("document.getElementById('resumed').hidden = false")
        assert _violations(watched.page) == []


def test_axe_does_find_what_is_wrong(small: Watched) -> None:
    """The judge is awake: faint text and a nameless button are found."""
    small.page.evaluate(
        """() => { document.getElementById('part').style.color = '#999';
        document.getElementById('doing').style.color = '#666';
        document.getElementById('colours').removeAttribute('aria-label');
        document.getElementById('colours').removeAttribute('title'); }"""
    )
    found = {line.split(":")[0] for line in _violations(small.page)}
    assert {"color-contrast", "color-contrast-enhanced", "button-name"} <= found


def test_the_tab_key_reaches_everything_in_order(small: Watched) -> None:
    """Tab goes through every control in the order in which they stand, each ringed and in view."""
    reached: list[str] = []
    small.page.keyboard.press("Tab")
    while (found := small.page.evaluate(FOCUSED)) and len(reached) < 40:
        assert found["ring"] >= 2, found
        assert found["seen"], found
        reached.append(found["name"])
        small.page.keyboard.press("Tab")
    assert reached == IN_ORDER


def test_the_keys_do_what_the_page_says(small: Watched) -> None:
    """Space, arrows, Shift and arrows, with nothing focused."""
    press = small.page.keyboard.press
    press("Space")
    assert not small.paused()
    press("Space")
    assert small.paused()
    small.seek(20)
    press("ArrowLeft")
    assert small.place_s() == pytest.approx(10, abs=0.01)
    press("ArrowRight")
    press("ArrowRight")
    assert small.place_s() == pytest.approx(30, abs=0.01)
    press("Shift+ArrowRight")
    assert small.text("chapter") == "נשימה איטית"
    press("Shift+ArrowLeft")
    assert small.text("chapter") == "Calf & <heel> stretch"
    expect(small.page.locator("#said")).to_have_text("Calf & <heel> stretch")
    press("Control+ArrowRight")  # the browser's own
    assert small.text("chapter") == "Calf & <heel> stretch"


def test_the_whole_page_by_keyboard_alone(small: Watched) -> None:
    """Every control does its work when it is reached with Tab and pressed with Enter or Space."""
    press = small.page.keyboard.press

    def reach(name: str) -> None:
        for _ in range(40):
            found = small.page.evaluate(FOCUSED)
            if found and found["name"] == name:
                return
            press("Tab")
        pytest.fail(f"{name} cannot be reached")

    reach("play")
    press("Enter")
    assert not small.paused()
    press("Space")
    assert small.paused()
    small.seek(30)
    uses: list[tuple[str, str, Callable[[], bool]]] = [
        ("back", "Space", lambda: abs(small.place_s() - 20) < 0.01 and small.paused()),
        ("next", "Enter", lambda: small.text("chapter") == "נשימה איטית"),
        ("previous", "Enter", lambda: small.text("chapter") == "Calf & <heel> stretch"),
        ("slower", "Enter", lambda: small.text("rate") == "90%"),
        ("faster", "Space", lambda: small.text("rate") == "Normal"),
        ("chapter 3", "Enter", lambda: small.text("chapter") == "Closing"),
        ("repeat", "Enter", lambda: small.text("chapter") == "Closing" and not small.paused()),
        ("place", "Home", lambda: small.place_s() < 1),
        ("place", "ArrowRight", lambda: 9.9 < small.place_s() < 12),
        ("place", "Space", small.paused),
        ("larger", "Enter", lambda: _font_px(small.page) == 22.5),
        ("smaller", "Enter", lambda: _font_px(small.page) == 18),
        ("colours", "Enter", lambda: _colours(small.page) == "dark"),
        ("keys", "Enter", lambda: small.page.get_by_text("Space bar").is_visible()),
        ("picture", "Space", lambda: small.page.locator(".bm-plan").is_visible()),
    ]
    for name, key, worked in uses:
        reach(name)
        press(key)
        assert worked(), (name, key)


def _font_px(page: Page) -> float:
    return float(page.evaluate("parseFloat(getComputedStyle(document.documentElement).fontSize)"))


def _colours(page: Page) -> str:
    return str(page.evaluate("document.documentElement.dataset.colours"))


def test_the_picture_moves_sideways_by_keyboard(browser: Browser, small_page: Path) -> None:
    """On a phone the picture scrolls inside its frame, and the arrows are its own there."""
    with opened(browser, small_page, viewport=PHONE) as watched:
        watched.page.locator(".picture summary").press("Enter")
        watched.page.keyboard.press("Tab")
        watched.page.keyboard.press("ArrowRight")
        watched.page.wait_for_timeout(300)
        assert watched.page.evaluate("document.querySelector('.scroll').scrollLeft") > 0
        assert watched.place_s() == 0


def test_names_and_roles_for_a_screen_reader(small: Watched) -> None:
    """Controls are called what is written on them; only what a press did is announced."""
    page = small.page
    for name in ("Play", "Back 10 seconds", "Repeat this exercise", "Next exercise", "Slower"):
        expect(page.get_by_role("button", name=name, exact=True)).to_be_visible()
    expect(page.get_by_role("slider", name="Place in the recording")).to_be_visible()
    chapters = page.get_by_role("navigation", name="Exercises").get_by_role("button")
    expect(chapters).to_have_count(4)
    expect(chapters.nth(1)).to_have_accessible_name("Calf & <heel> stretch , 35 seconds")
    expect(page.get_by_role("timer")).to_have_count(1)
    live = page.locator("[aria-live], [role=status], [role=alert]")
    assert live.evaluate_all("(all) => all.map((one) => one.id)") == ["trouble", "said"]
    assert page.evaluate("[document.documentElement.lang, document.documentElement.dir]") == [
        "en",
        "ltr",
    ]
    page.click("#play")
    small.seek(7.8)
    page.wait_for_timeout(700)
    assert small.text("chapter") == "Calf & <heel> stretch"
    assert small.text("said") == ""  # the recording itself says that an exercise begins


def test_colours_follow_the_system_until_one_chooses(browser: Browser, small_page: Path) -> None:
    """Dark by the system; the button overrides it, and says what it will do."""
    with opened(browser, small_page, color_scheme="dark") as watched:
        button = watched.page.locator("#colours")
        assert _colours(watched.page) == "dark"
        expect(button).to_have_accessible_name("Light colours")
        watched.page.emulate_media(color_scheme="light")
        watched.until("document.documentElement.dataset.colours === 'light'")
        button.click()
        assert _colours(watched.page) == "dark"
        watched.page.emulate_media(color_scheme="dark")
        watched.page.emulate_media(color_scheme="light")
        watched.page.wait_for_timeout(100)
        assert _colours(watched.page) == "dark"


def test_nothing_moves_for_those_who_want_no_movement(browser: Browser, small_page: Path) -> None:
    """Reduced motion: no transition is left."""
    moving = """[...document.querySelectorAll('*')].filter(
        (one) => getComputedStyle(one).transitionDuration !== '0s').length"""
    with opened(browser, small_page, reduced_motion="reduce") as watched:
        assert watched.page.evaluate(moving) == 0
        watched.page.emulate_media(reduced_motion="no-preference")
        assert watched.page.evaluate(moving) > 0
