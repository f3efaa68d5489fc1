"""The page on paper, and where the system chooses its colours."""

from __future__ import annotations

from pathlib import Path

from playwright.sync_api import Browser

from tests.player.browser import opened


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
