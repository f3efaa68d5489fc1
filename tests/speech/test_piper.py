"""What is particular to the neural voice."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from breathmark.problems import Fault
from breathmark.speech.engines import engine_for
from breathmark.speech.engines.piper import PiperEngine, _pieces
from breathmark.speech.profiles import load_profile


@pytest.mark.parametrize("model", ["~nobody-of-that-name/a.onnx", "long" * 75])
def test_a_model_that_cannot_be_there_is_a_fault(model: str) -> None:
    """Whatever a profile names as its model."""
    with pytest.raises(Fault, match="is not there"):
        PiperEngine(model, length_scale=1.0)


def test_a_model_that_is_not_there_is_a_fault(tmp_path: Path) -> None:
    """With the models that are."""
    with pytest.raises(Fault, match="is not there") as raised:
        PiperEngine(str(tmp_path / "none.onnx"), length_scale=1.0)
    assert "en_US-joe-medium" in raised.value.remedy


def test_a_model_that_is_none_is_a_fault(tmp_path: Path) -> None:
    """No traceback from the library underneath."""
    model = tmp_path / "voice.onnx"
    model.write_bytes(b"this is no model")
    config = {"phoneme_id_map": {"a": [1]}}
    model.with_name("voice.onnx.json").write_text(json.dumps(config), encoding="utf-8")
    with pytest.raises(Fault, match="cannot be read"):
        list(PiperEngine(str(model), length_scale=1.0).speak(["Sit tall."]))
    model.with_name("voice.onnx.json").write_text("{", encoding="utf-8")
    with pytest.raises(Fault, match="cannot be read"):
        PiperEngine(str(model), length_scale=1.0).known_sounds()


def test_a_model_for_which_memory_is_short_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """Installing it again would not help."""
    import onnxruntime
    from onnxruntime.capi.onnxruntime_pybind11_state import RuntimeException

    def greedy(*_args: object, **_more: object) -> None:
        raise RuntimeException("Exception during initialization: std::bad_alloc")

    monkeypatch.setattr(onnxruntime, "InferenceSession", greedy)
    with pytest.raises(Fault, match="Close other programs"):
        list(PiperEngine("", length_scale=1.0).speak(["Sit tall."]))


def test_a_sound_the_model_lacks_is_never_dropped() -> None:
    """Given past the lexicon's own check, it is an error still."""
    engine = PiperEngine("", length_scale=1.0)
    with pytest.raises(Fault, match="no sound for"):
        engine.phonemes("Say [[kЖt]] now.")


def test_an_article_sounds_right_before_given_phonemes() -> None:
    """eSpeak would stress an "a" or a "to" that ends a text."""
    engine = PiperEngine("", length_scale=1.0)
    assert "".join(engine.phonemes("Add a [[fˈæʃə]] to [[ˈæŋkəl]].")) == ("ˈæd ɐ fˈæʃə tʊ ˈæŋkəl.")


@pytest.mark.parametrize("text", ["Sit tall.", "Stop.", "Slide your foot back.", "Shoulders down."])
def test_an_opening_s_rises_out_of_silence(text: str) -> None:
    """Without the opening the model starts half-way through it ("It's tall")."""
    ((_, raw),) = PiperEngine("", length_scale=1.7).speak([text])
    first_5_ms = np.sqrt(np.mean(raw.samples[: raw.rate_hz // 200] ** 2))
    assert 20 * np.log10(first_5_ms + 1e-9) < -58


def test_a_call_is_stretched_less_than_a_sentence() -> None:
    """Where a voice is slower than usual: a count as at the usual pace, a sentence as it asks."""
    texts = ["Rest.", "Keep your back long and tall."]
    usual = dict(PiperEngine("", length_scale=1.5).speak(texts))
    both = dict(PiperEngine("", length_scale=2.1, call_scale=1.5).speak(texts))
    assert np.array_equal(both[0].samples, usual[0].samples)
    assert len(both[1].samples) > 1.2 * len(usual[1].samples)


@pytest.mark.parametrize(("pace", "scale"), [(130, "1.8268"), (150, "2.1078"), (180, "2.1078")])
def test_calls_are_no_slower_than_at_the_usual_pace(pace: int, scale: str) -> None:
    """2.1078 * 130 / 150; a quick voice's calls stay as quick as it is."""
    profile = replace(load_profile("clear"), pace_wpm=pace)
    assert engine_for(profile, 2.1078).fingerprint()["length scale of calls"] == scale


@pytest.mark.parametrize(
    ("text", "phonemes"),
    [
        ("Two.", "tˈuː"),
        ("Set two.", "sˈɛt tˈuː"),
        ("Rest as long as you do.", "ɹˈɛst æz lˈɔŋ æz juː dˈuː."),
        ("Three.", "θɹˈiː."),
        ("Next: Bridge.", "nˈɛkst. bɹˈɪdʒ."),
    ],
)
def test_what_stands_after_a_sound_does_not_change_it(text: str, phonemes: str) -> None:
    """The model hums an /n/ into a closing /uː/ before a stop, and runs over a colon."""
    assert "".join(PiperEngine("", length_scale=1.0).phonemes(text)) == phonemes


def test_a_short_sentence_stays_whole() -> None:
    """However many commas it has."""
    text = list("ab, cd, ef.")
    assert _pieces(text, usual=20, most=40) == [text]


def test_a_long_sentence_is_cut_after_a_comma() -> None:
    """The last one that still fits."""
    pieces = _pieces(list("aaaa, bbbb, cccc, dddd."), usual=14, most=30)
    assert ["".join(piece) for piece in pieces] == ["aaaa, bbbb,", " cccc, dddd."]


def test_a_very_long_sentence_without_commas_is_cut_after_a_word() -> None:
    """Only then, and nothing is lost."""
    text = list("word " * 30)
    assert _pieces(text[:30], usual=14, most=40) == [text[:30]]
    pieces = _pieces(text, usual=14, most=40)
    assert [char for piece in pieces for char in piece] == text
    assert all(len(piece) <= 40 for piece in pieces)
    assert all(piece[-1] == " " for piece in pieces[:-1])


def test_a_text_without_any_break_is_cut_all_the_same() -> None:
    """Memory is bounded whatever is written."""
    pieces = _pieces(list("a" * 100), usual=14, most=40)
    assert [len(piece) for piece in pieces] == [40, 40, 20]
