"""Piper models that a clinician put into a voices folder: each becomes a voice.

A model is two files, ``NAME.onnx`` and ``NAME.onnx.json``.  What the second says is
checked here; the first is looked at but not loaded until it speaks.
"""

from __future__ import annotations

import importlib.util
import json
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from breathmark.problems import InputProblems, Place, Problem
from breathmark.routine.settings import LANGUAGE
from breathmark.speech.profiles import VoiceProfile, usual_pace_wpm

MODEL_ENDING, DESCRIPTION_ENDING = ".onnx", ".onnx.json"

_RULE = "voice-model"
_BOTH = f"Put both files of the model there: NAME{MODEL_ENDING} and NAME{DESCRIPTION_ENDING}."
_ANOTHER = "Take another model, or move this one out of the folder."
_AGAIN = "Fetch the file again: it is not whole, or it is another file."
_NEEDED_SIGNS = ("_", "^", "$", " ")  # padding, beginning, end, and the space between words
_LOWEST_RATE_HZ, _HIGHEST_RATE_HZ = 8_000, 48_000
_MOST_BYTES = 5_000_000
_PROTOBUF = b"\x08"
"""The first byte of an ONNX file: its first field, the format's version (onnx.proto)."""


def dropped_models(folder: Path) -> dict[str, Path]:
    """The models of a folder, by the names of their voices; a half of a model counts too."""
    halves = sorted({*folder.glob(f"*{MODEL_ENDING}"), *folder.glob(f"*{DESCRIPTION_ENDING}")})
    found: dict[str, Path] = {}
    for half in halves:
        name = half.name.split(MODEL_ENDING)[0]
        found.setdefault(voice_name(name), half.with_name(name + MODEL_ENDING))
    return found


def voice_name(file_name: str) -> str:
    """The voice of a model's file: in small letters, as a routine names voices.

    >>> voice_name("de_DE-thorsten-medium"), voice_name("Meine Stimme")
    ('de_de-thorsten-medium', 'meine-stimme')
    """
    return re.sub(r"[^a-z0-9_-]+", "-", file_name.lower()).strip("-_") or "model"


def dropped_voice(model: Path) -> VoiceProfile:
    """The voice of a model, at the usual pace of its language.

    Raises :class:`~breathmark.problems.InputProblems` with everything that is wrong in
    the model's two files.
    """
    config, problems = _description(model)
    problems += [*_of_the_model(model)]
    problems += [] if config is None else [*_of_the_description(model, config)]
    if problems or config is None:
        raise InputProblems(problems)
    language = _language(config)
    return VoiceProfile(
        name=voice_name(model.stem),
        about="A neural voice of your own: a Piper model in your voices folder.",
        engine="piper",
        language=language,
        model=str(model),
        pace_wpm=usual_pace_wpm(language),
        file=model,
    )


def _description(model: Path) -> tuple[Mapping[str, Any] | None, list[Problem]]:
    path = model.with_name(model.stem + DESCRIPTION_ENDING)
    if not path.is_file():
        return None, [
            _problem(model, f"the model {model.name} has no {path.name} beside it", _BOTH)
        ]
    try:
        if path.stat().st_size > _MOST_BYTES:
            return None, [_problem(path, "this is no description of a voice model", _AGAIN)]
        text = path.read_text(encoding="utf-8")
        config = json.loads(text)
    except json.JSONDecodeError as error:
        line = text.split("\n")[error.lineno - 1].rstrip("\r")
        place = Place(file=str(path), line=error.lineno, column=error.colno, text=line)
        return None, [Problem(rule=_RULE, place=place, message=f"this is no JSON: {error.msg}",
                              remedy=_AGAIN)]  # fmt: skip
    except (OSError, UnicodeDecodeError, RecursionError) as error:
        return None, [_problem(path, f"this cannot be read: {type(error).__name__}", _AGAIN)]
    if not isinstance(config, dict):
        return None, [_problem(path, "this is no description of a voice model", _AGAIN)]
    return config, []


def _of_the_model(model: Path) -> Iterator[Problem]:
    if not model.is_file():
        name = model.stem + DESCRIPTION_ENDING
        yield _problem(model.with_name(name), f"{name} has no {model.name} beside it", _BOTH)
        return
    try:
        with model.open("rb") as file:
            begins = file.read(64)
    except OSError as error:
        yield _problem(model, f"this cannot be read: {error.strerror or error}", _AGAIN)
        return
    if not begins.startswith(_PROTOBUF):
        yield _problem(model, "this is no ONNX model", _AGAIN)


def _of_the_description(model: Path, config: Mapping[str, Any]) -> Iterator[Problem]:
    path = model.with_name(model.stem + DESCRIPTION_ENDING)
    for message in _faults(config):
        yield _problem(path, message, _ANOTHER)


def _faults(config: Mapping[str, Any]) -> Iterator[str]:
    rate_hz = _inside(config, "audio", "sample_rate")
    if not _is_whole(rate_hz) or not _LOWEST_RATE_HZ <= rate_hz <= _HIGHEST_RATE_HZ:
        yield f"`audio.sample_rate` is no rate from {_LOWEST_RATE_HZ} to {_HIGHEST_RATE_HZ}"
    kind = config.get("phoneme_type", "espeak")
    if kind != "espeak":
        yield f"its phonemes are of the kind `{str(kind)[:20]}`; only `espeak` can be spoken"
    voice = _inside(config, "espeak", "voice")
    if not isinstance(voice, str) or voice.lower() not in espeak_voices():
        yield f"eSpeak NG, which reads the text for it, has no voice `{str(voice)[:20]}`"
    if config.get("num_speakers") != 1:
        yield "it holds several speakers; only a model of one speaker can be used"
    if config.get("vowel_clusters"):
        yield "it joins vowels into clusters, which cannot be spoken"
    yield from _faults_of_signs(config)


def _faults_of_signs(config: Mapping[str, Any]) -> Iterator[str]:
    signs, number = config.get("phoneme_id_map"), config.get("num_symbols")
    if not isinstance(signs, dict) or not signs:
        yield "`phoneme_id_map` is missing"
        return
    missing = [sign for sign in _NEEDED_SIGNS if sign not in signs]
    if missing:
        yield f"`phoneme_id_map` lacks {', '.join(f'`{sign}`' for sign in missing)}"
    if not isinstance(number, int) or number < 1:
        yield "`num_symbols` is no number"
        return
    wrong = [sign for sign, ids in signs.items() if len(sign) != 1 or not _are_ids(ids, number)]
    if wrong:
        yield f"`phoneme_id_map` is wrong at `{wrong[0][:20]}`"


def _are_ids(ids: object, number: int) -> bool:
    return isinstance(ids, list) and bool(ids) and all(
        _is_whole(one) and 0 <= one < number for one in ids
    )  # fmt: skip


def _is_whole(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


def _inside(config: Mapping[str, Any], outer: str, inner: str) -> Any:
    values = config.get(outer)
    return values.get(inner) if isinstance(values, dict) else None


def _language(config: Mapping[str, Any]) -> str:
    """The model's language as a BCP 47 tag, from its description or from eSpeak NG's voice."""
    for code in (_inside(config, "language", "code"), _inside(config, "language", "family"),
                 _inside(config, "espeak", "voice")):  # fmt: skip
        if isinstance(code, str) and LANGUAGE.fullmatch(code.replace("_", "-")):
            return code.replace("_", "-")
    return "und"


def espeak_voices() -> frozenset[str]:
    """The names of the voices in the eSpeak NG that comes with Piper, in small letters."""
    spec = importlib.util.find_spec("piper")
    names: set[str] = set()
    for package in (spec.submodule_search_locations or ()) if spec else ():
        for path in Path(package).glob("espeak-ng-data/lang/**/*"):
            if path.is_file():
                text = path.read_text(encoding="utf-8", errors="replace")
                names |= {path.name.lower(), *re.findall(r"^language\s+(\S+)", text, re.MULTILINE)}
    return frozenset(name.lower() for name in names)


def _problem(path: Path, message: str, remedy: str) -> Problem:
    place = Place(file=str(path), line=1, column=1)
    return Problem(rule=_RULE, message=message, place=place, remedy=remedy)
