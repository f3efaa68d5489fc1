"""Voice profiles: what is shipped, and what is said about a wrong one."""

from __future__ import annotations

from pathlib import Path

import pytest

from breathmark.problems import InputProblems, UsageProblem
from breathmark.speech.profiles import (
    list_profiles,
    load_profile,
    read_profile,
    voice_folders,
)

WRONG = {
    "engine: piper\n": [("missing-key", 1, 1)],
    "about: x\nengine: pipr\n": [("not-a-choice", 2, 9)],
    "about: x\nengine: piper\npaice: 150\n": [("unknown-key", 3, 1)],
    "about: x\nengine: piper\npace: fast\n": [("not-an-amount", 3, 7)],
    "about: x\nengine: piper\npace: 1500\n": [("impossible-amount", 3, 7)],
    "about: x\nengine: piper\nsentence pause: 1\n": [("not-an-amount", 3, 17)],
    "about: x\nengine: piper\nsentence pause: 9 s\n": [("impossible-amount", 3, 17)],
    "about: x\nengine: piper\nsentence pause: 1.3 s\n": [("impossible-amount", 3, 17)],
    "about: x\nengine: piper\nhearing: oldr\n": [("not-a-choice", 3, 10)],
    "about: x\nengine: piper\nhearing:\n": [("empty-value", 3, 1)],
    "about: x\nengine: piper\nbackground: loud\n": [("not-a-choice", 3, 13)],
    "about: x\nengine: piper\nhearing: older\nbackground: quiet\n": [("contradiction", 4, 13)],
    "about: x\nengine: piper\nlexicon: none.yaml\n": [("missing-file", 3, 10)],
    "about: x\nengine: piper\ncalibrated: {pace: 150, setting: x, model: m}\n": [
        ("not-an-amount", 3, 34)
    ],
    f"about: x\nengine: piper\nlexicon: {'long' * 75}\n": [("missing-file", 3, 10)],
    "about: x\nengine: piper\ncalibrated: 1.5\n": [("wrong-type", 3, 13)],
    "- about\n": [("wrong-type", 1, 1)],
    "": [("empty-file", 1, 1)],
    "about: [x\n": [("unclosed", 1, 8)],
    "abuot: x\nengine: sytem\npace: 7\n": [
        ("unknown-key", 1, 1),
        ("not-a-choice", 2, 9),
        ("impossible-amount", 3, 7),
    ],
}


@pytest.mark.parametrize(("text", "expected"), WRONG.items(), ids=repr)
def test_every_problem_of_a_profile_is_placed(
    text: str, expected: list[tuple[str, int, int]], tmp_path: Path
) -> None:
    """All of them at once, each with its rule, line and column."""
    path = tmp_path / "mine.yaml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputProblems) as raised:
        read_profile(path)
    found = [(p.rule, p.place.line, p.place.column) for p in raised.value.problems]
    assert found == expected


def test_a_copied_voice_keeps_the_lexicon_that_it_names(tmp_path: Path) -> None:
    """The way to a voice of one's own is to copy one; the shipped words lay elsewhere then."""
    (tmp_path / "words.yaml").write_text("wrap: {spelling: rap}\n", encoding="utf-8")
    path = tmp_path / "mine.yaml"
    path.write_text("about: x\nengine: piper\nlexicon: [lexicon-en.yaml, words.yaml]\n")
    (shipped,) = voice_folders()
    assert read_profile(path).lexicon == (shipped / "lexicon-en.yaml", tmp_path / "words.yaml")
    (tmp_path / "lexicon-en.yaml").write_text("wrap: {spelling: rap}\n", encoding="utf-8")
    assert read_profile(path).lexicon[0] == tmp_path / "lexicon-en.yaml"


def test_the_shipped_voices_can_be_read() -> None:
    """Those that every routine may name, each calibrated for its pace."""
    shipped = {profile.name: profile for profile in list_profiles()}
    others = {"system-de", "system-es", "system-fr"}
    assert set(shipped) == {"calm", "clear", "system"} | others
    assert {shipped[name].language for name in others} == {"de", "es", "fr"}
    for profile in shipped.values():
        assert profile.calibrated is not None
        assert profile.calibrated.pace_wpm == profile.pace_wpm
    assert shipped["calm"].pace_wpm == 150
    assert shipped["clear"].pace_wpm < shipped["calm"].pace_wpm
    assert shipped["clear"].sentence_pause_ms > shipped["calm"].sentence_pause_ms


def test_an_unknown_voice_names_the_nearest() -> None:
    """A slip of the pen is answered with the word that was meant."""
    with pytest.raises(UsageProblem, match=r"`cleer`.*Did you mean `clear`"):
        load_profile("cleer")


def test_an_own_folder_comes_before_the_shipped_one(tmp_path: Path) -> None:
    """A clinician's `calm` replaces ours; our other voices stay."""
    (tmp_path / "calm.yaml").write_text("about: Mine.\nengine: system\n", encoding="utf-8")
    folders = voice_folders(tmp_path)
    assert load_profile("calm", folders).about == "Mine."
    assert load_profile("clear", folders).engine == "piper"
    assert len(list_profiles(folders)) == len(list_profiles())


def test_a_model_may_have_a_name_that_no_file_can_have(tmp_path: Path) -> None:
    """It is then no file beside the profile; a voice of the system may be called like that."""
    path = tmp_path / "mine.yaml"
    path.write_text(f"about: x\nengine: system\nmodel: {'long' * 75}\n", encoding="utf-8")
    assert read_profile(path).model == "long" * 75


def test_a_folder_that_is_not_there_holds_no_voices(tmp_path: Path) -> None:
    """It is no error of its own: the voice that is missing is."""
    assert list_profiles([tmp_path / "nowhere"]) == ()
