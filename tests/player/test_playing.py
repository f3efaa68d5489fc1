"""The page plays, skips, repeats, remembers, and asks nobody for anything."""

from __future__ import annotations

import dataclasses
import shutil
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from breathmark.deliver.audio import Chapter, Recording, Tags, open_writer
from breathmark.deliver.player import player_html
from tests.deliver.paper_cases import coloured
from tests.plan_sessions import RATE_HZ
from tests.player.browser import Watched, opened, wait_open
from tests.player.pages import (
    AUDIO,
    FIRST_HZ,
    HEBREW_TITLE,
    HZ_A_SECOND,
    LENGTH_S,
    red_picture,
    rising_tone,
    small_prescription,
    small_session,
    write_page,
    write_tone,
)

STARTS_S = [block.start / RATE_HZ for block in small_session().blocks]
NEAR_S = 3.0
"""A recording that plays has moved on by the time a test looks, further on a busy machine."""

HEARD = """async () => {
    const sound = document.getElementById('sound');
    const context = new AudioContext();
    await context.resume();
    const source = context.createMediaElementSource(sound);
    const analyser = context.createAnalyser();
    analyser.fftSize = 16384;
    source.connect(analyser);
    analyser.connect(context.destination);
    const wave = new Float32Array(analyser.fftSize);
    const pitch = () => {
        analyser.getFloatTimeDomainData(wave);
        const rising = [];
        for (let at = 1; at < wave.length; at += 1) {
            const [one, two] = [wave[at - 1], wave[at]];
            if (one < 0 && two >= 0) rising.push(at - 1 + one / (one - two));
        }
        return (context.sampleRate * (rising.length - 1)) / (rising.at(-1) - rising[0]);
    };
    const half = analyser.fftSize / context.sampleRate / 2;
    const found = [];
    for (const to of [3, 47.25, 20.5, 33.1, 58.75]) {
        sound.currentTime = to;
        await sound.play();
        await new Promise((done) => setTimeout(done, 700));
        found.push([sound.currentTime - half, pitch()]);
    }
    return found;
}"""
"""Play from several places and measure the pitch by counting waves over a third of a second."""


def near(watched: Watched, place_s: float) -> bool:
    """Whether the recording is at a place, or has just played on from it."""
    return place_s - 0.05 <= watched.place_s() <= place_s + NEAR_S


def test_play_and_pause(small: Watched) -> None:
    """One big button: it plays, says Pause, and stops where it is."""
    expect(small.page.locator("#play")).to_have_accessible_name("Play")
    assert small.paused()
    small.page.click("#play")
    small.until("document.getElementById('sound').currentTime > 0.3")
    expect(small.page.locator("#play")).to_have_accessible_name("Pause")
    small.page.click("#play")
    stopped = small.place_s()
    assert small.paused()
    small.page.wait_for_timeout(150)
    assert small.place_s() == stopped
    assert small.text("play-word") == "Play"


def test_skipping_and_repeating(small: Watched) -> None:
    """Back 10 s, next, before, repeat, and any exercise of the list, each lands where it says."""
    current = small.page.locator('[aria-current="true"]')
    small.seek(25)
    small.page.click("#back")
    assert small.place_s() == pytest.approx(15, abs=0.01)
    small.page.click("#next")
    assert small.place_s() == pytest.approx(STARTS_S[2], abs=0.01)
    expect(current).to_have_text(f"3{HEBREW_TITLE}0:16, 16 seconds")
    small.page.click("#previous")
    assert small.place_s() == pytest.approx(STARTS_S[1], abs=0.01)
    small.seek(30)
    small.page.click("#repeat")
    assert near(small, STARTS_S[1])
    assert not small.paused()
    small.page.locator(".chapter").last.click()
    assert near(small, STARTS_S[3])
    assert small.text("chapter") == "Closing"
    expect(small.page.locator("#next")).to_have_attribute("aria-disabled", "true")
    small.page.click("#next", force=True)
    assert near(small, STARTS_S[3])
    small.page.locator(".chapter").first.click()
    small.page.click("#back")
    assert near(small, 0)


def test_the_handle_moves_the_place(small: Watched) -> None:
    """Dragged or pressed, the handle on the strip goes where it is put, and says where."""
    place = small.page.locator("#place")
    place.fill("31")
    assert small.place_s() == pytest.approx(31, abs=0.01)
    said = "31 seconds of 1 minute and 6 seconds, Calf & <heel> stretch"
    expect(place).to_have_attribute("aria-valuetext", said)
    place.click(position={"x": 3, "y": 20})
    assert small.place_s() == pytest.approx(0, abs=1)


def test_what_is_on_now(small: Watched) -> None:
    """The moment in words with the time left in it: what to do, which side."""
    small.seek(STARTS_S[1] + 8 + 3.5)
    assert small.text("doing") == "Hold · left side"
    assert small.text("left") == "0:07"
    small.seek(STARTS_S[1] + 19)
    assert small.text("doing") == "Change to your right side"
    small.seek(STARTS_S[2] + 8)
    assert small.text("doing") == "1 slow breath"


def test_speed_without_a_change_of_pitch(small: Watched) -> None:
    """Slower and faster keep the pitch, say what that does to a hold, and end at their limits."""
    small.page.click("#slower")
    small.page.click("#play")
    assert small.text("rate") == "90%"
    assert "30 seconds take 33 seconds" in small.text("rate-note")
    kept = "((one) => [one.playbackRate, one.preservesPitch])(document.getElementById('sound'))"
    assert small.page.evaluate(kept) == [0.9, True]
    small.page.click("#faster")
    assert small.text("rate") == "Normal"
    assert small.page.locator("#rate-note").is_hidden()
    for _ in range(4):
        small.page.click("#faster", force=True)
    assert small.page.evaluate(kept) == [1.2, True]
    small.page.locator(".chapter").nth(1).click()
    assert small.page.evaluate(kept) == [1.2, True]


def test_place_speed_and_look_are_remembered(browser: Browser, small_page: Path) -> None:
    """After closing and opening, everything is as it was left, and one can begin anew."""
    with opened(browser, small_page) as watched:
        page = watched.page
        page.click("#slower")
        page.click("#larger")
        page.click("#colours")
        watched.seek(STARTS_S[2] + 2)
        page.click("#play")
        page.wait_for_timeout(400)
        page.reload()
        wait_open(watched)
        assert near(watched, STARTS_S[2] + 2)
        assert watched.paused()
        assert watched.text("rate") == "90%"
        assert page.evaluate("document.documentElement.dataset.colours") == "dark"
        assert page.evaluate("getComputedStyle(document.documentElement).fontSize") == "22.5px"
        resumed = f"You stopped at 0:45, in {HEBREW_TITLE}. Press Play to go on."
        assert watched.text("resumed-words") == resumed
        expect(page.locator("#said")).to_have_text(resumed)
        page.click("#restart")
        assert near(watched, 0)
        assert not watched.paused()
        assert page.locator("#resumed").is_hidden()


def test_the_end_is_no_place_to_remember(browser: Browser, small_page: Path) -> None:
    """Who heard it to the end begins at the beginning next time."""
    with opened(browser, small_page) as watched:
        watched.seek(LENGTH_S - 0.4)
        watched.page.click("#play")
        watched.until("document.getElementById('sound').ended")
        assert watched.text("play-word") == "Play"
        watched.page.reload()
        wait_open(watched)
        assert watched.place_s() == 0
        assert watched.page.locator("#resumed").is_hidden()


def test_a_browser_that_remembers_nothing(browser: Browser, small_page: Path) -> None:
    """Where storage is refused, everything but the memory works."""
    refuse = """Object.defineProperty(window, 'localStorage', {
        get() { throw new DOMException('refused', 'SecurityError'); } });"""
    with opened(browser, small_page, script=refuse) as watched:
        watched.page.click("#larger")
        watched.page.click("#larger")
        watched.page.click("#colours")
        watched.page.click("#play")
        watched.until("document.getElementById('sound').currentTime > 0.2")
        assert watched.page.evaluate("document.documentElement.dataset.colours") == "dark"
        assert (
            watched.page.evaluate("getComputedStyle(document.documentElement).fontSize") == "27px"
        )
        assert watched.complaints == []


def test_nothing_leaves_and_nothing_is_asked_for(small: Watched) -> None:
    """The page asks for itself and its recording, and its own policy stops anything else."""
    small.page.click("#play")
    small.page.wait_for_timeout(300)
    assert {url.split(":")[0] for url in small.requests} == {"file"}
    assert {url.rsplit("/", 1)[1] for url in small.requests} == {
        "player.html",
        "steady%20%231%2050%25.mp3",
    }
    stopped = small.page.evaluate(
        """() => new Promise((done) => {
            document.addEventListener('securitypolicyviolation', (event) => {
                done(event.effectiveDirective);
            });
            fetch('https://example.invalid/').catch(() => {});
        })"""
    )
    assert stopped == "connect-src"
    small.complaints.clear()  # the browser reports the attempt that this test made


def test_the_lock_screen_knows_what_is_on(small: Watched) -> None:
    """The system's media controls show the exercise and the session (W3C, Media Session)."""
    shown = "[navigator.mediaSession.metadata.title, navigator.mediaSession.metadata.album]"
    small.page.locator(".chapter").nth(1).click()
    assert small.page.evaluate(shown) == ["Calf & <heel> stretch", "Steady & <calm> </title>"]
    small.until("navigator.mediaSession.playbackState === 'playing'")


@pytest.mark.slow
def test_a_recording_carried_inside(browser: Browser, small_page: Path, tmp_path: Path) -> None:
    """Alone in its folder the page plays, and what is heard is what it says.

    The pitch of the recording rises with time: heard in the browser, after jumps to five
    places, it tells where the sound really is. A tenth of a second is 3.5 Hz.
    """
    sound = (small_page.parent / AUDIO).read_bytes()
    page = write_page(tmp_path / "alone.html", embed=sound)
    with opened(browser, page) as watched:
        found = watched.page.evaluate(HEARD)
        assert {url.split(":")[0] for url in watched.requests} == {"file", "blob"}
        assert watched.complaints == []
    for place_s, heard_hz in found:
        assert (heard_hz - FIRST_HZ) / HZ_A_SECOND == pytest.approx(place_s, abs=0.1)


def test_a_missing_recording_is_told_with_what_to_do(browser: Browser, tmp_path: Path) -> None:
    """The page names the file; it plays once the file is there, or was chosen by hand."""
    page = write_page(tmp_path / "player.html")
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    right = write_tone(elsewhere / "x.mp3")
    wrong = write_tone(elsewhere / "wrong.mp3", 12)
    with opened(browser, page, wait=False) as watched:
        trouble = watched.page.locator("#trouble")
        expect(trouble).to_be_visible()
        expect(trouble).to_contain_text("The recording did not open.")
        expect(trouble).to_contain_text(f"Keep this page and the file {AUDIO} together")
        assert watched.text("play-word") == "Play"
        watched.page.click("#next")
        watched.page.set_input_files("#choose", wrong)
        expect(trouble).to_contain_text(
            "takes 12 seconds, but this page belongs to one of 1 minute"
        )
        watched.page.set_input_files("#choose", right)
        expect(trouble).to_be_hidden()
        watched.until(f"document.getElementById('sound').currentTime === {STARTS_S[1]}")
        watched.page.click("#play")
        watched.until("document.getElementById('sound').currentTime > 8.2")
    with opened(browser, page, wait=False) as watched:
        expect(watched.page.locator("#trouble")).to_be_visible()
        shutil.copy(right, tmp_path / AUDIO)
        watched.page.click("#again")
        wait_open(watched)
        expect(watched.page.locator("#trouble")).to_be_hidden()
    (tmp_path / AUDIO).unlink()
    with opened(browser, page, wait=False) as watched:
        expect(watched.page.locator("#trouble")).to_be_visible()
        shutil.copy(right, tmp_path / AUDIO)
        watched.page.click("#play")
        watched.until("document.getElementById('sound').currentTime > 0.1")
        expect(watched.page.locator("#trouble")).to_be_hidden()


def test_a_kind_of_sound_that_the_browser_lacks_is_told_as_that(
    browser: Browser, tmp_path: Path
) -> None:
    """To keep the file beside the page would be a remedy for nothing."""
    (tmp_path / AUDIO).write_bytes(bytes(4_000))
    text = player_html(small_prescription(), audio_name=AUDIO, mime="audio/unheard-of")
    page = tmp_path / "player.html"
    page.write_text(text, encoding="utf-8")
    with opened(browser, page, wait=False) as watched:
        trouble = watched.page.locator("#trouble")
        expect(trouble).to_contain_text("Please open the page in another browser")
        expect(trouble).not_to_contain_text("Keep this page and the file")


def test_a_picture_is_shown_while_its_exercise_is_on(browser: Browser, small_page: Path) -> None:
    """The clinician's picture comes and goes with its exercise, and is described."""
    pictures = {"calf.png": red_picture()}
    page = write_page(small_page.parent / "pictures.html", pictures=pictures)
    with opened(browser, page) as watched:
        picture = watched.page.get_by_alt_text("Picture of Calf & <heel> stretch")
        expect(picture).to_be_hidden()
        watched.page.click("#next")
        expect(picture).to_be_visible()
        assert picture.evaluate("(image) => image.naturalWidth") == 120
        watched.page.click("#next")
        expect(picture).to_be_hidden()
        assert watched.complaints == []


@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("en", ("0 seconds", "1 second", "1 minute")),
        ("fr", ("0 seconde", "1 seconde", "1 minute")),
        ("es", ("0 segundos", "1 segundo", "1 minuto")),
        ("de-AT", ("0 Sekunden", "1 Sekunde", "1 Minute")),
    ],
)
def test_numbers_take_the_plural_of_the_language(
    browser: Browser, tmp_path: Path, language: str, said: tuple[str, ...]
) -> None:
    """By Unicode CLDR, as Chromium knows it: none is one in French, and several elsewhere."""
    told = small_prescription()
    session = dataclasses.replace(told.session, language=language)
    page = player_html(dataclasses.replace(told, session=session), audio_name=AUDIO)
    path = tmp_path / "player.html"
    path.write_text(page, encoding="utf-8")
    write_tone(tmp_path / AUDIO)
    with opened(browser, path) as watched:
        place = watched.page.locator("#place")
        for at_s, words in zip((0, 1), said, strict=False):
            watched.seek(at_s)
            told_place = place.get_attribute("aria-valuetext") or ""
            assert told_place.startswith(f"{words} ")
            assert said[2] in told_place
        assert watched.complaints == []


def test_a_browser_plays_an_m4a_with_pictures_in_its_chapters(
    browser: Browser, tmp_path: Path
) -> None:
    """A track of pictures beside the sound: Chromium plays the sound, at its whole length."""
    path, length = tmp_path / "a.m4a", 3 * RATE_HZ
    chapter = Chapter(title="Calf", start=0, length=length, picture=coloured("red"))
    recording = Recording(
        rate_hz=RATE_HZ, length=length, chapters=(chapter,), tags=Tags(title="Calf")
    )
    with open_writer("m4a", path, recording) as writer:
        writer.add(rising_tone(3))
    (tmp_path / "a.html").write_text(
        '<!DOCTYPE html><title>A</title><audio id="sound" src="a.m4a">'
    )
    with opened(browser, tmp_path / "a.html") as watched:
        assert watched.page.evaluate("document.getElementById('sound').duration") == 3
        watched.page.evaluate("document.getElementById('sound').play()")
        watched.until("document.getElementById('sound').currentTime > 0.5")
        assert watched.complaints == []


@pytest.mark.parametrize("viewport", [(320, 740), (390, 760), (1280, 800)])
def test_play_is_in_sight_beside_a_picture(
    browser: Browser, tmp_path: Path, viewport: tuple[int, int]
) -> None:
    """Nobody has to look for the largest button, on a small phone either; nor does it move."""
    write_tone(tmp_path / AUDIO)
    path = write_page(tmp_path / "player.html", pictures={"calf.png": red_picture()})
    size = {"width": viewport[0], "height": viewport[1]}
    with opened(browser, path, viewport=size) as watched:
        watched.seek(STARTS_S[1] + 1)
        expect(watched.page.locator("img.shown")).to_be_visible()
        box = watched.page.locator("#play").bounding_box()
        assert box is not None
        assert box["y"] + box["height"] <= viewport[1]
