"""Voice profiles: which engine speaks, how fast, with which pauses and which lexicon.

A profile is a small YAML file in a ``voices`` folder; its file name is its name.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from breathmark.problems import UsageProblem, did_you_mean
from breathmark.speech.fields import Fields, read_fields
from breathmark.units import AmountError, parse_duration_ms

ENGINES = ("piper", "system")
"""The engines a profile may name."""

SLOWEST_WPM, FASTEST_WPM = 90, 220
"""Paces that both engines reach without harm to their speech (measured)."""

LONGEST_PAUSE_MS = 3_000

_KEYS = ("about", "engine", "language", "model", "pace", "sentence pause", "lexicon", "calibrated")


@dataclass(frozen=True, kw_only=True, slots=True)
class Calibration:
    """The engine's setting that gives a pace: measured once, on one model.

    ``setting`` is Piper's length scale, or the words a minute asked of a system voice;
    ``model`` names what it was measured on.
    """

    pace_wpm: int
    setting: float
    model: str


@dataclass(frozen=True, kw_only=True, slots=True)
class VoiceProfile:
    """A voice as a profile describes it.

    ``pace_wpm`` is words a minute over the finished clips of single sentences of four
    words or more; pauses between sentences are not counted.  ``model`` is the name of
    a packaged model or the path of a file (Piper), or a voice of the system's (empty:
    its default).
    """

    name: str
    about: str = ""
    engine: str = "piper"
    language: str = "en"
    model: str = ""
    pace_wpm: int = 150
    sentence_pause_ms: int = 600
    lexicon: tuple[Path, ...] = ()
    calibrated: Calibration | None = None
    file: Path | None = None


def voice_folders(own: Path | None = None) -> tuple[Path, ...]:
    """The folders searched for profiles: ``own`` first, then the one that is shipped."""
    package = Path(__file__).resolve().parents[1]
    beside = package / "voices"
    shipped = beside if beside.is_dir() else package.parents[1] / "voices"
    return (own, shipped) if own is not None else (shipped,)


def list_profiles(folders: Sequence[Path] | None = None) -> tuple[VoiceProfile, ...]:
    """Every profile of the folders, by name; of two with one name the first folder's.

    Raises :class:`~breathmark.problems.InputProblems` for a profile that is wrong.
    """
    return tuple(_read(path) for _, path in sorted(_files(folders).items()))


def load_profile(name: str, folders: Sequence[Path] | None = None) -> VoiceProfile:
    """The profile called ``name``.

    Raises :class:`~breathmark.problems.UsageProblem` when there is none of that name,
    naming the nearest, and :class:`~breathmark.problems.InputProblems` when its file
    is wrong.
    """
    files = _files(folders)
    if name not in files:
        raise UsageProblem(f"there is no voice `{name}`. {did_you_mean(name, sorted(files))}")
    return _read(files[name])


def _files(folders: Sequence[Path] | None) -> dict[str, Path]:
    found: dict[str, Path] = {}
    for folder in voice_folders() if folders is None else folders:
        for path in sorted(folder.glob("*.yaml")):
            if not path.name.startswith("lexicon"):
                found.setdefault(path.stem, path)
    return found


def _read(path: Path) -> VoiceProfile:
    fields = read_fields(path)
    fields.only(_KEYS)
    profile = VoiceProfile(
        name=path.stem,
        about=fields.text("about"),
        engine=_choice(fields, "engine", ENGINES),
        language=fields.text("language", default="en"),
        model=fields.text("model", default=""),
        pace_wpm=_pace(fields),
        sentence_pause_ms=_pause_ms(fields),
        lexicon=_lexicon(fields, path.parent),
        calibrated=_calibration(fields.mapping("calibrated")),
        file=path,
    )
    fields.settle()
    return profile


def _choice(fields: Fields, key: str, valid: tuple[str, ...]) -> str:
    text = fields.text(key)
    if text and text not in valid:
        fields.report("not-a-choice", f"`{text}` is no {key}", key=key,
                      remedy=did_you_mean(text, valid))  # fmt: skip
    return text


def _pace(fields: Fields) -> int:
    text = fields.text("pace")
    match = re.fullmatch(r"(\d{1,4})(?:\s*(?:wpm|words (?:a|per) minute))?", text)
    pace = int(match[1]) if match else 0
    if text and not SLOWEST_WPM <= pace <= FASTEST_WPM:
        fields.report(
            "not-an-amount", f"`{text}` is no pace from {SLOWEST_WPM} to {FASTEST_WPM}",
            key="pace", remedy="Write words a minute, such as `pace: 150`.",
        )  # fmt: skip
    return pace


def _pause_ms(fields: Fields) -> int:
    if not fields.has("sentence pause"):
        return 600  # judged most natural at punctuation (Front Psychol 2022;13:778018)
    text = fields.text("sentence pause")
    try:
        pause_ms = parse_duration_ms(text)
    except AmountError as error:
        fields.report("not-an-amount", str(error), key="sentence pause")
        return 0
    if not 100 <= pause_ms <= LONGEST_PAUSE_MS:
        fields.report("impossible-amount", f"`{text}` is no pause from 0.1 s to 3 s",
                      key="sentence pause")  # fmt: skip
    return pause_ms


def _lexicon(fields: Fields, folder: Path) -> tuple[Path, ...]:
    paths = tuple(folder / name for name in fields.texts("lexicon") if name)
    for path in paths:
        if not path.is_file():
            fields.report("missing-file", f"there is no file `{path.name}` beside the profile",
                          key="lexicon")  # fmt: skip
    return paths


def _calibration(fields: Fields | None) -> Calibration | None:
    if fields is None:
        return None
    fields.only(("pace", "setting", "model"))
    setting = fields.text("setting")
    if setting and not re.fullmatch(r"\d+(\.\d+)?", setting):
        fields.report("not-an-amount", f"`{setting}` is no number", key="setting")
        setting = ""
    return Calibration(pace_wpm=_pace(fields), setting=float(setting or 0),
                       model=fields.text("model"))  # fmt: skip
