"""Debian's Chromium, driven as a person would, and watched for anything it should not do."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, Page, sync_playwright

from tests.outside import outside_tool

FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--autoplay-policy=no-user-gesture-required",
)


@dataclass(kw_only=True, slots=True)
class Watched:
    """A page with everything it asked for and everything it complained about."""

    page: Page
    requests: list[str] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)

    def place_s(self) -> float:
        """Where the recording is, in seconds."""
        return float(self.page.evaluate("document.getElementById('sound').currentTime"))

    def paused(self) -> bool:
        """Whether the recording stands still."""
        return bool(self.page.evaluate("document.getElementById('sound').paused"))

    def text(self, name: str) -> str:
        """The text of the element with this id."""
        return self.page.locator(f"#{name}").inner_text()

    def until(self, condition: str, most_s: float = 10) -> None:
        """Wait until an expression is true; asked from outside, as the page's policy wants."""
        last = time.monotonic() + most_s
        while not self.page.evaluate(condition):
            assert time.monotonic() < last, f"never came about: {condition}"
            self.page.wait_for_timeout(20)

    def seek(self, place_s: float) -> None:
        """Move the recording, and wait until it is there and the page has followed."""
        self.page.evaluate(
            """(to) => new Promise((done) => {
                const sound = document.getElementById('sound');
                sound.addEventListener('seeked', () => setTimeout(done, 0), { once: true });
                sound.currentTime = to;
            })""",
            place_s,
        )


@contextmanager
def chromium() -> Iterator[Browser]:
    """A browser; the test is skipped without it, or fails where CI is set."""
    program = outside_tool("chromium")
    with sync_playwright() as player:
        browser = player.chromium.launch(executable_path=program, args=list(FLAGS))
        yield browser
        browser.close()


@contextmanager
def opened(
    browser: Browser, path: Path, *, wait: bool = True, script: str = "", **settings: Any
) -> Iterator[Watched]:
    """``path`` opened from its folder, as by a double click, in a browser that knows nothing.

    ``settings`` are those of a browser context; ``script`` runs before the page's own.
    """
    context = browser.new_context(**{"viewport": {"width": 1280, "height": 800}, **settings})
    if script:
        context.add_init_script(script)
    watched = Watched(page=context.new_page())
    watched.page.on("request", lambda request: watched.requests.append(request.url))
    watched.page.on("console", lambda line: watched.complaints.append(line.text))
    watched.page.on("pageerror", lambda error: watched.complaints.append(str(error)))
    watched.page.goto(path.as_uri())
    if wait:
        wait_open(watched)
    yield watched
    context.close()


def wait_open(watched: Watched) -> None:
    """Wait until the recording can be played."""
    watched.until("document.getElementById('sound').readyState >= 2")
