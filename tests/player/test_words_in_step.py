"""The words stand on the page while they are said, and a browser reads our captions as we do."""

from __future__ import annotations

from bisect import bisect_right
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from breathmark.deliver.captions import caption_cues, captions_vtt
from tests.player.browser import Watched, opened
from tests.player.pages import GREETING, HEBREW, HOSTILE, small_session

CUES = caption_cues(small_session())
TEXTS = [" ".join(cue.rows) for cue in CUES]
CLOSE_MS = 100

RECORDER = """(lasting) => new Promise((done) => {
    const [sound, caption] = ['sound', 'caption'].map((id) => document.getElementById(id));
    const seen = [];
    const until = performance.now() + lasting;
    const look = () => {
        seen.push([Math.round(sound.currentTime * 1000), caption.textContent]);
        if (performance.now() < until) requestAnimationFrame(look);
        else done(seen);
    };
    look();
})"""
"""What the page shows at every frame, and where the recording is then."""

TRACK = """(text) => new Promise((done, failed) => {
    const track = document.createElement('track');
    track.kind = 'captions';
    track.addEventListener('load', () => done([...track.track.cues].map((cue) => [
        Math.round(cue.startTime * 1000), Math.round(cue.endTime * 1000),
        cue.getCueAsHTML().textContent])));
    track.addEventListener('error', () => failed('refused'));
    track.src = URL.createObjectURL(new Blob([text], { type: 'text/vtt' }));
    const video = document.createElement('video');
    video.append(track);
    document.body.append(video);
    track.track.mode = 'showing';
})"""
"""The cues as Chromium's own parser reads them (HTML, the track element)."""


def shown_at(place_ms: int) -> str:
    """What should stand on the page at a place."""
    index = bisect_right([cue.start_ms for cue in CUES], place_ms) - 1
    return TEXTS[index] if index >= 0 and place_ms < CUES[index].end_ms else ""


def test_the_words_follow_every_jump(small: Watched) -> None:
    """At the first and the last tenth of a second of every cue, its words are there."""
    for cue, text in zip(CUES, TEXTS, strict=True):
        for place_ms in (cue.start_ms + 20, cue.end_ms - 20):
            small.seek(place_ms / 1000)
            shown = small.page.evaluate("document.getElementById('caption').textContent")
            assert shown == text, place_ms


@pytest.mark.parametrize("from_s", [2.0, 24.8, 48.6])
def test_the_words_are_in_step_while_it_plays(small: Watched, from_s: float) -> None:
    """At every frame the page shows what is said there, or was within a tenth of a second."""
    small.seek(from_s)
    small.page.click("#play")
    seen = small.page.evaluate(RECORDER, 1800)
    late = [
        (place_ms, text)
        for place_ms, text in seen
        if text not in {shown_at(place_ms + off) for off in range(-CLOSE_MS, CLOSE_MS + 1, 10)}
    ]
    assert late == []
    assert seen[-1][0] - seen[0][0] > 1400
    assert len({text for _, text in seen}) >= 3


def test_signs_and_other_scripts_are_shown_as_written(small: Watched) -> None:
    """Ampersands, brackets, arrows and Hebrew arrive whole, and run nothing."""
    hostile = next(index for index, text in enumerate(TEXTS) if "</script>" in text)
    small.seek(CUES[hostile].start_ms / 1000 + 0.05)
    assert small.text("caption") == TEXTS[hostile]
    assert TEXTS[hostile] in " ".join(HOSTILE.split())
    hebrew = TEXTS.index(HEBREW)
    small.seek(CUES[hebrew].start_ms / 1000 + 0.05)
    caption = small.page.locator("#caption")
    expect(caption).to_have_text(HEBREW)
    assert caption.evaluate("(one) => getComputedStyle(one).direction") == "rtl"
    right = caption.evaluate(
        """(one) => { const range = document.createRange(); range.selectNodeContents(one);
        return one.getBoundingClientRect().right - range.getBoundingClientRect().right }"""
    )
    assert right < 2
    assert small.page.title() == "Steady & <calm> </title>"


def test_the_greeting_is_a_caption_and_nothing_else(small: Watched) -> None:
    """What may hold a name is shown while it is said."""
    small.seek(CUES[TEXTS.index(GREETING)].start_ms / 1000 + 0.05)
    assert small.text("caption") == GREETING


def test_the_browsers_own_parser_reads_the_same_captions(browser: Browser, tmp_path: Path) -> None:
    """``captions.vtt`` in Chromium: the same cues, times and words, with every hard sign."""
    blank = tmp_path / "blank.html"
    blank.write_text("<!DOCTYPE html><title>Captions</title>")
    with opened(browser, blank, wait=False) as watched:
        read = watched.page.evaluate(TRACK, captions_vtt(small_session()))
    expected = [[cue.start_ms, cue.end_ms, "\n".join(cue.rows)] for cue in CUES]
    assert read == expected
    said = " ".join(text for _, _, text in read)
    for part in ("&", "-->", "</script>", "&amp;", "העקב"):
        assert part in said
