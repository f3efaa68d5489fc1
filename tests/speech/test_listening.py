"""For whose ears a voice speaks: what a profile and a patient file say, and what comes of it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from breathmark.problems import InputProblems
from breathmark.routine.listening import Background, Hearing
from breathmark.routine.patient import Patient
from breathmark.speech.listening import as_spoken, heard_with
from breathmark.speech.pace import pace_wpm, setting_for
from breathmark.speech.profiles import VoiceProfile, load_profile, read_profile
from breathmark.speech.speaker import Speaker
from breathmark.speech.store import ClipStore

CALM = VoiceProfile(name="calm")
CLEAR = VoiceProfile(name="clear", pace_wpm=130, sentence_pause_ms=900)
RATE_HZ = 24_000


def told(profile: VoiceProfile, hearing: Hearing) -> tuple[int, int]:
    """Words a minute and milliseconds of pause, for these ears."""
    spoken = as_spoken(replace(profile, hearing=hearing))
    return spoken.pace_wpm, spoken.sentence_pause_ms


def test_a_profile_says_for_whom_it_speaks_and_what_sounds_under_it(tmp_path: Path) -> None:
    """In capitals or not; without a word, for usual hearing and with nothing under it."""
    path = tmp_path / "mine.yaml"
    path.write_text("about: x\nengine: piper\nhearing: Hard of hearing\n", encoding="utf-8")
    assert read_profile(path).hearing is Hearing.HARD_OF_HEARING
    path.write_text("about: x\nengine: piper\nbackground: quiet\n", encoding="utf-8")
    assert read_profile(path).background is Background.QUIET
    assert read_profile(path).hearing is Hearing.USUAL


@pytest.mark.parametrize(
    ("key", "wrong", "meant"),
    [
        ("hearing", "oldr", "older"),
        ("hearing", "hard-of-hearing", "hard of hearing"),
        ("background", "quite", "quiet"),
    ],
)
def test_a_slip_is_answered_with_the_word_that_was_meant(
    key: str, wrong: str, meant: str, tmp_path: Path
) -> None:
    path = tmp_path / "mine.yaml"
    path.write_text(f"about: x\nengine: piper\n{key}: {wrong}\n", encoding="utf-8")
    with pytest.raises(InputProblems, match=f"Did you mean `{meant}`"):
        read_profile(path)


def test_older_ears_get_slower_words_and_longer_pauses() -> None:
    """By the steps in :mod:`breathmark.speech.listening`, reckoned by hand."""
    assert told(CALM, Hearing.USUAL) == (150, 600)
    assert told(CALM, Hearing.OLDER) == (146, 750)
    assert told(CALM, Hearing.HARD_OF_HEARING) == (142, 900)


def test_a_slow_voice_is_not_slowed_and_a_long_pause_stays() -> None:
    """No slower than 130 words a minute in English; pauses stay medium ones, up to 1 s.

    Campione and Veronis 2002: a medium pause lasts 200 to 1000 ms.
    """
    assert told(CLEAR, Hearing.OLDER) == (130, 1_000)
    assert told(CLEAR, Hearing.HARD_OF_HEARING) == (130, 1_000)
    slow = replace(CLEAR, pace_wpm=100, sentence_pause_ms=1_200)
    assert told(slow, Hearing.HARD_OF_HEARING) == (100, 1_200)
    german = VoiceProfile(name="de", language="de", pace_wpm=120)
    assert told(german, Hearing.HARD_OF_HEARING) == (114, 900)
    assert told(replace(german, engine="system"), Hearing.HARD_OF_HEARING) == (114, 900)


def test_a_background_goes_with_the_usual_hearing_only() -> None:
    """It would hide words."""
    quiet = replace(CALM, background=Background.QUIET)
    assert as_spoken(quiet).background is Background.QUIET
    assert as_spoken(replace(quiet, hearing=Hearing.OLDER)).background is Background.NONE


def patient(hearing: Hearing | None = None, background: Background | None = None) -> Patient:
    """A patient file that says this much."""
    return Patient(
        label="R-204", file="r-204.yaml", sha256="", hearing=hearing, background=background
    )


def test_a_patient_file_has_the_last_word() -> None:
    """Where it says something; else the profile stands."""
    aged = replace(CALM, hearing=Hearing.OLDER)
    quiet = replace(CALM, background=Background.QUIET)
    assert heard_with(aged, None) == aged
    assert heard_with(aged, patient()) == aged
    assert heard_with(aged, patient(Hearing.USUAL)).hearing is Hearing.USUAL
    assert heard_with(CALM, patient(Hearing.HARD_OF_HEARING)).hearing is Hearing.HARD_OF_HEARING
    assert heard_with(CALM, patient(None, Background.QUIET)) == quiet
    assert heard_with(quiet, patient(None, Background.NONE)) == CALM
    assert heard_with(aged, patient(Hearing.USUAL, Background.QUIET)) == quiet


def test_a_background_that_the_voice_cannot_have_is_the_patient_files_problem() -> None:
    aged = replace(CALM, hearing=Hearing.OLDER)
    with pytest.raises(InputProblems, match=r"`older` has no background.*the voice `calm`"):
        heard_with(aged, patient(None, Background.QUIET))


@pytest.mark.slow
@pytest.mark.parametrize("voice", ["system", "system-de", "system-es", "system-fr"])
def test_every_system_voice_can_be_slowed_that_far(voice: str) -> None:
    """The pace for the hardest hearing is one that it reaches."""
    slow = as_spoken(replace(load_profile(voice), hearing=Hearing.HARD_OF_HEARING))
    setting, _ = setting_for(slow, None)
    assert pace_wpm(slow, setting) == pytest.approx(slow.pace_wpm, rel=0.02)


def test_a_slower_clip_is_a_clip_of_its_own(tmp_path: Path) -> None:
    """In one store, each hearing gets its own: longer for harder hearing, the same again."""
    line = "Sit tall near the front of your chair. Keep both feet flat on the floor."

    def length(hearing: Hearing) -> int:
        system = VoiceProfile(name="system", engine="system", hearing=hearing)
        speaker = Speaker(system, rate_hz=RATE_HZ, store=ClipStore(tmp_path))
        return speaker.measure([line])[line]

    lengths = [length(hearing) for hearing in Hearing]
    assert lengths[0] < lengths[1] < lengths[2]
    assert [length(hearing) for hearing in Hearing] == lengths


def test_the_hearing_is_part_of_what_decides_a_recording() -> None:
    """Speech of one pace is shaped differently for other ears: no result is taken for another."""
    told = set()
    for hearing in Hearing:
        speaker = Speaker(replace(CALM, hearing=hearing), rate_hz=RATE_HZ, store=None)
        told.add(str(sorted(speaker.fingerprint().items())))
        assert speaker.hearing is hearing
    assert len(told) == len(Hearing)
