"""The page on paper, in colours that the system chooses, and without scripts."""

from __future__ import annotations

from pathlib import Path

from playwright.sync_api import Browser, expect

from tests.player.browser import opened
from tests.player.pages import LENGTH_S, write_page


def test_it_is_printed_dark_on_white(browser: Browser, small_page: Path) -> None:
    """Whatever the colours on the screen, by the system or by choice, ink is ink on paper."""
    colours = """[...document.querySelectorAll('h1, .facts, .safety h2, .safety li, .name')]
        .map((one) => getComputedStyle(one).color.match(/[0-9]+/g).map(Number))"""
    with opened(browser, small_page, color_scheme="dark") as watched:
        pale = watched.page.evaluate(colours)
        watched.page.emulate_media(media="print")
        printed = watched.page.evaluate(colours)
        assert min(max(one) for one in pale) > 190
        # The reddest, #8c2f1b, has 8.3:1 on white; nothing else is above 95.
        assert max(max(one) for one in printed) <= 0x8C


def test_forced_colours_mark_one_exercise_alone(browser: Browser, small_page: Path) -> None:
    """Where the system chooses the colours, only the chapter that is on has a mark."""
    edges = """[...document.querySelectorAll('.chapter')].map((one) => {
        const look = getComputedStyle(one);
        return [look.borderInlineStartColor, getComputedStyle(document.body).backgroundColor];
    })"""
    with opened(browser, small_page, forced_colors="active") as watched:
        shown = [edge != ground for edge, ground in watched.page.evaluate(edges)]
        assert shown == [True, False, False, False]


def test_without_scripts_the_page_says_so_and_plays(browser: Browser, small_page: Path) -> None:
    """Where scripts are switched off, the browser's own player stands in for the dead buttons."""
    with opened(browser, small_page, wait=False, java_script_enabled=False) as watched:
        page = watched.page
        expect(page.get_by_text("Scripts are switched off")).to_be_visible()
        expect(page.locator("#no-script-play")).to_have_text("Or play the recording here.")
        expect(page.locator("noscript audio")).to_be_visible()
        watched.until("document.querySelector('noscript audio').readyState >= 1")
        heard_s = page.evaluate("document.querySelector('noscript audio').duration")
        assert abs(heard_s - LENGTH_S) < 0.1
        for dead in ("#play", "#place", "#larger"):
            expect(page.locator(dead)).to_be_hidden()
        expect(page.get_by_text("Stop at once if you feel")).to_be_visible()


def test_a_page_that_carries_its_recording_needs_scripts(browser: Browser, tmp_path: Path) -> None:
    """Without them nothing can unpack it, and nothing is offered that could not play."""
    page = write_page(tmp_path / "player.html", embed=b"ID3")
    with opened(browser, page, wait=False, java_script_enabled=False) as watched:
        expect(watched.page.get_by_text("Scripts are switched off")).to_be_visible()
        expect(watched.page.locator("noscript")).to_have_count(0)
