"""Pace: each shipped voice speaks as fast as its profile says, and a changed pace is found."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from breathmark.problems import Fault
from breathmark.speech import pace
from breathmark.speech.pace import PASSAGE, calibrate, pace_wpm, setting_for
from breathmark.speech.profiles import VoiceProfile, load_profile
from breathmark.speech.store import ClipStore
from tests.speech.lines import TYPICAL

NEAR = 0.05


@pytest.mark.slow
@pytest.mark.parametrize("voice", ["calm", "clear", "system"])
def test_a_voice_keeps_the_pace_of_its_profile(voice: str) -> None:
    """Within 5 % on lines that it was not calibrated on."""
    profile = load_profile(voice)
    assert profile.calibrated is not None
    measured = pace_wpm(profile, profile.calibrated.setting, TYPICAL)
    assert measured == pytest.approx(profile.pace_wpm, rel=NEAR)


@pytest.mark.slow
@pytest.mark.parametrize("wished_wpm", [120, 180])
def test_a_changed_pace_is_found_and_remembered(
    wished_wpm: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By measuring, once; the second time it costs nothing."""
    profile = replace(load_profile("system"), pace_wpm=wished_wpm)
    store = ClipStore(tmp_path)
    setting, told = setting_for(profile, store)
    assert pace_wpm(profile, setting, TYPICAL) == pytest.approx(wished_wpm, rel=NEAR)
    assert told
    monkeypatch.setattr(pace, "calibrate", lambda _: pytest.fail("measured again"))
    assert setting_for(profile, store) == (setting, ())


def test_a_shipped_voice_costs_no_measuring(monkeypatch: pytest.MonkeyPatch) -> None:
    """Its setting stands in its profile."""
    monkeypatch.setattr(pace, "calibrate", lambda _: pytest.fail("measured"))
    for voice in ("calm", "clear", "system"):
        assert setting_for(load_profile(voice), None)[1] == ()


def test_a_calibration_on_another_model_does_not_count(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nor one for another pace."""
    monkeypatch.setattr(pace, "calibrate", lambda _: 1.234)
    calm = load_profile("calm")
    assert calm.calibrated is not None
    elsewhere = replace(calm, calibrated=replace(calm.calibrated, model="another"))
    assert setting_for(elsewhere, None)[0] == 1.234
    assert setting_for(replace(calm, pace_wpm=140), None)[0] == 1.234


def speech_of(seconds_at_1: float, fixed_s: float) -> object:
    """A voice whose passage lasts so long: a part that scales and a part that does not."""

    def pace_of(_profile: VoiceProfile, setting: float, _lines: object = PASSAGE) -> float:
        return 100 * 60 / (seconds_at_1 * setting + fixed_s)

    return pace_of


@pytest.mark.parametrize("wished_wpm", [95, 130, 150, 200])
def test_calibration_finds_a_setting_that_exists(
    wished_wpm: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In a few steps, whatever part of speech does not scale."""
    voice = speech_of(20.0, 6.0)
    monkeypatch.setattr(pace, "pace_wpm", voice)
    setting = calibrate(VoiceProfile(name="t", pace_wpm=wished_wpm))
    assert callable(voice)
    assert voice(None, setting) == pytest.approx(wished_wpm, rel=0.006)


def test_a_pace_out_of_reach_is_a_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    """Rather than a wrong pace."""
    monkeypatch.setattr(pace, "pace_wpm", speech_of(1.0, 60.0))
    with pytest.raises(Fault, match="cannot be brought"):
        calibrate(VoiceProfile(name="t", pace_wpm=150))


def test_pace_needs_sentences() -> None:
    """Calls such as "Up." have none."""
    with pytest.raises(ValueError, match="4 words"):
        pace_wpm(load_profile("calm"), 1.6, ["Up.", "And back."])
