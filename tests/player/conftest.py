"""The browser and the small page, made once for all tests of a file."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.player.browser import Watched, chromium, opened
from tests.player.pages import AUDIO, write_page, write_tone


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """A running Chromium."""
    with chromium() as running:
        yield running


@pytest.fixture(scope="module")
def small_page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The page of the small session, its recording beside it."""
    folder = tmp_path_factory.mktemp("page of one session")
    write_tone(folder / AUDIO)
    return write_page(folder / "player.html")


@pytest.fixture
def small(browser: Browser, small_page: Path) -> Iterator[Watched]:
    """The small page, opened afresh."""
    with opened(browser, small_page) as watched:
        yield watched
        assert watched.complaints == []
