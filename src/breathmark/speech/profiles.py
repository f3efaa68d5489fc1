"""Voice profiles: which engine speaks, how fast, with which pauses and which lexicon.

A profile is a small YAML file in a ``voices`` folder; its file name is its name.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from breathmark.problems import UsageProblem, did_you_mean
from breathmark.routine.amounts import Limits
from breathmark.routine.compose import compose
from breathmark.routine.reader import Reader, Section, Value
from breathmark.routine.report import Report
from breathmark.routine.rules import Rule
from breathmark.routine.source import read_source

ENGINES = ("piper", "system")
"""The engines a profile may name."""

SLOWEST_WPM, FASTEST_WPM = 90, 200
"""Paces that both engines reach without harm to their speech (measured)."""

SENTENCE_PAUSE_MS = 600
"""Judged most natural at punctuation (Front Psychol 2022;13:778018)."""

_PAUSE = Limits(low=100, high=3_000)
_KEYS = ("about", "engine", "language", "model", "pace", "sentence pause", "lexicon", "calibrated")
_LEXICON = "lexicon"


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
    sentence_pause_ms: int = SENTENCE_PAUSE_MS
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
    return tuple(read_profile(path) for _, path in sorted(_files(folders).items()))


def load_profile(name: str, folders: Sequence[Path] | None = None) -> VoiceProfile:
    """The profile called ``name``.

    Raises :class:`~breathmark.problems.UsageProblem` when there is none of that name,
    naming the nearest, and :class:`~breathmark.problems.InputProblems` when its file
    is wrong.
    """
    files = _files(folders)
    if name not in files:
        raise UsageProblem(f"there is no voice `{name}`. {did_you_mean(name, sorted(files))}")
    return read_profile(files[name])


def read_profile(path: Path) -> VoiceProfile:
    """Read one profile.

    Raises :class:`~breathmark.problems.InputProblems` with every problem in it.
    """
    report = Report()
    return report.settle(lambda: _profile(path, report))


def _files(folders: Sequence[Path] | None) -> dict[str, Path]:
    found: dict[str, Path] = {}
    for folder in voice_folders() if folders is None else folders:
        for path in sorted(folder.glob("*.yaml")):
            if not path.name.startswith(_LEXICON):
                found.setdefault(path.stem, path)
    return found


def _profile(path: Path, report: Report) -> VoiceProfile:
    section = open_section(path, report, "a voice", valid=_KEYS, required=_KEYS[:2])
    if section is None:
        return VoiceProfile(name=path.stem)
    reader, get = Reader(report, path.parent), section.get
    return VoiceProfile(
        name=path.stem,
        about=reader.text(get("about")),
        engine=_engine(reader, get("engine")),
        language=reader.text(get("language")) or "en",
        model=reader.text(get("model")),
        pace_wpm=_pace(reader, get("pace")),
        sentence_pause_ms=_pause_ms(reader, get("sentence pause")),
        lexicon=_lexicon(reader, get(_LEXICON)),
        calibrated=_calibration(reader, get("calibrated")),
        file=path,
    )


def open_section(
    path: Path,
    report: Report,
    what: str,
    *,
    valid: tuple[str, ...] | None,
    required: tuple[str, ...] = (),
) -> Section | None:
    """The one mapping a file holds, its problems reported; ``None`` when there is none.

    ``valid`` of ``None`` allows any key.
    """
    source = read_source(path, report)
    node = compose(source, report) if source else None
    if source is None or node is None:
        if source is not None and not len(report):
            report.add(Rule.EMPTY_FILE, "there is nothing in this file", source.place(1, 1))
        return None
    keys = tuple(getattr(node, "entries", ())) if valid is None else valid
    reader = Reader(report, path.parent)
    return reader.section(Value(node=node, path=""), what, valid=keys, required=required)


def _engine(reader: Reader, value: Value | None) -> str:
    text = reader.text(value)
    if value is not None and text and text not in ENGINES:
        message = f"`{text[:40]}` is not one of the words for this"
        reader.wrong(value, Rule.NOT_A_CHOICE, message, did_you_mean(text[:40], ENGINES))
    return text


def _pace(reader: Reader, value: Value | None) -> int:
    text = reader.text(value)
    if value is None or not text:
        return 150
    match = re.fullmatch(r"(\d{1,4})(?:\s*(?:wpm|words (?:a|per) minute))?", text)
    pace = int(match[1]) if match else 0
    if not SLOWEST_WPM <= pace <= FASTEST_WPM:
        message = f"`{text[:40]}` is no pace from {SLOWEST_WPM} to {FASTEST_WPM} words a minute"
        rule = Rule.IMPOSSIBLE_AMOUNT if match else Rule.NOT_AN_AMOUNT
        reader.wrong(value, rule, message, "Write a number, such as `pace: 150`.")
    return pace


def _pause_ms(reader: Reader, value: Value | None) -> int:
    amount = reader.amount(value, _PAUSE, exact=True)
    return SENTENCE_PAUSE_MS if amount is None else amount.usual


def _lexicon(reader: Reader, value: Value | None) -> tuple[Path, ...]:
    paths = []
    for item in reader.items(value):
        name = reader.text(item)
        if name and not (reader.home / name).is_file():
            message = f"there is no file `{name[:60]}` beside this one"
            reader.wrong(item, Rule.MISSING_FILE, message)
        paths += [reader.home / name] if name else []
    return tuple(paths)


def _calibration(reader: Reader, value: Value | None) -> Calibration | None:
    if value is None:
        return None
    keys = ("pace", "setting", "model")
    section = reader.section(value, "a calibration", valid=keys, required=keys)
    if section is None:
        return None
    setting = section.get("setting")
    text = reader.text(setting)
    number = re.fullmatch(r"\d{1,4}(\.\d{1,8})?", text)
    if setting is not None and text and not number:
        reader.wrong(setting, Rule.NOT_AN_AMOUNT, f"`{text[:40]}` is no number",
                     "Take `calibrated` out: it is then measured.")  # fmt: skip
    return Calibration(
        pace_wpm=_pace(reader, section.get("pace")),
        setting=float(number[0]) if number else 1.0,
        model=reader.text(section.get("model")),
    )
