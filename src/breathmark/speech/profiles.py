"""Voice profiles: which engine speaks, how fast, with which pauses and which lexicon.

A profile is a small YAML file in a ``voices`` folder; its file name is its name.  A Piper
model that lies in such a folder is a voice as well (:mod:`breathmark.speech.models`).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from breathmark.problems import UsageProblem, did_you_mean
from breathmark.routine.amounts import Limits
from breathmark.routine.compose import compose
from breathmark.routine.listening import Background, Hearing
from breathmark.routine.listening_reading import read_listening
from breathmark.routine.reader import Reader, Section, Value
from breathmark.routine.report import Report
from breathmark.routine.rules import Rule
from breathmark.routine.source import is_file, near, read_source

ENGINES = ("piper", "system")
"""The engines that speak what is written."""

RECORDED = "recorded"
"""What a profile names for clips of a person's own voice (:mod:`breathmark.speech.recorded`)."""

SLOWEST_WPM, FASTEST_WPM = 90, 200
"""Paces that both engines reach without harm to their speech (measured)."""

SENTENCE_PAUSE_MS = 600
"""Judged most natural at punctuation (Front Psychol 2022;13:778018)."""

COMMA_PAUSE_MS = 350
"""Inside a sentence: a medium pause (200 to 1000 ms: Campione and Veronis 2002), and plainly
shorter than between two sentences (our own choice)."""

USUAL_VOICES = {"en": "calm", "de": "system-de", "es": "system-es", "fr": "system-fr"}
"""The shipped voice of each language that has one: what a routine gets that names none."""

_USUAL_PACE_WPM = {"en": 150, "de": 120, "es": 140, "fr": 130}
"""Words of a language take as long as those of English times the speeds at which the same
texts are read aloud (228, 179, 218 and 195 words a minute: Invest Ophthalmol Vis Sci
2012;53:5452; the figures from memory)."""

_PAUSE = Limits(low=100, high=1_200)
"""In milliseconds.  A longer one sounds as if the line were over (our own), and the proof of
the finished files takes it for a hole."""

_KEYS = (
    "about", "engine", "language", "model", "pace", "sentence pause", "comma pause", "lexicon",
    "calibrated", "hearing", "background",
)  # fmt: skip
_RECORDED_KEYS = ("clips", "otherwise")
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
    """A voice as a profile describes it, before it is slowed down for ``hearing``.

    ``pace_wpm`` is words a minute over the finished clips of single sentences of four
    words or more; pauses between sentences are not counted.  ``model`` is the name of
    a packaged model or the path of a file (Piper), or a voice of the system's (empty:
    its default).

    For the engine ``recorded``, ``clips`` is the folder of the clips beside the profile and
    ``otherwise`` the voice that says the lines that are not recorded; empty for others.

    ``hearing`` is the ears it speaks to, and ``background`` what sounds under its sessions;
    see :mod:`breathmark.speech.listening` for what becomes of both.
    """

    name: str
    about: str = ""
    engine: str = "piper"
    language: str = "en"
    model: str = ""
    pace_wpm: int = 150
    sentence_pause_ms: int = SENTENCE_PAUSE_MS
    comma_pause_ms: int = COMMA_PAUSE_MS
    lexicon: tuple[Path, ...] = ()
    calibrated: Calibration | None = None
    clips: str = ""
    otherwise: str = ""
    hearing: Hearing = Hearing.USUAL
    background: Background = Background.NONE
    file: Path | None = None


def primary(language: str) -> str:
    """The language of a tag (BCP 47) without its region.

    >>> primary("de-AT")
    'de'
    """
    return language.split("-", maxsplit=1)[0]


def usual_pace_wpm(language: str) -> int:
    """The pace of a voice that says none, in words a minute: as calm in every language."""
    return _USUAL_PACE_WPM.get(primary(language), 130)


OWN_FOLDER: Final = Path("voices")
"""Where a person's own voice lies unless a folder is named, as seen from where one works."""


def voice_folders(own: Path | None = None) -> tuple[Path, ...]:
    """The folders searched for profiles: ``own`` first, then the one that is shipped."""
    package = Path(__file__).resolve().parents[1]
    beside = package / "voices"
    shipped = beside if beside.is_dir() else package.parents[1] / "voices"
    return (own, shipped) if own is not None else (shipped,)


def list_profiles(folders: Sequence[Path] | None = None) -> tuple[VoiceProfile, ...]:
    """Every profile of the folders, by name; of two with one name the first folder's.

    Raises :class:`~breathmark.problems.InputProblems` for a profile or a model that is wrong.
    """
    return tuple(_read(path) for _, path in sorted(_files(folders).items()))


def profile_names(folders: Sequence[Path] | None = None) -> tuple[str, ...]:
    """The names of the voices there are, whether or not their files are right."""
    return tuple(sorted(_files(folders)))


def load_profile(name: str, folders: Sequence[Path] | None = None) -> VoiceProfile:
    """The profile called ``name``.

    Raises :class:`~breathmark.problems.UsageProblem` when there is none of that name,
    naming the nearest, and :class:`~breathmark.problems.InputProblems` when its file
    is wrong.
    """
    files = _files(folders)
    if name not in files:
        remedy = did_you_mean(name, sorted(files))
        if (OWN_FOLDER / f"{name}.yaml").is_file():
            remedy = f"It lies in {OWN_FOLDER}: add `--voices {OWN_FOLDER}`."
        raise UsageProblem(f"there is no voice `{name}`. {remedy}")
    return _read(files[name])


def read_profile(path: Path) -> VoiceProfile:
    """Read one profile.

    Raises :class:`~breathmark.problems.InputProblems` with every problem in it.
    """
    report = Report()
    return report.settle(lambda: _profile(path, report))


def _read(path: Path) -> VoiceProfile:
    if path.suffix == ".yaml":
        return read_profile(path)
    from breathmark.speech.models import dropped_voice

    return dropped_voice(path)


def _files(folders: Sequence[Path] | None) -> dict[str, Path]:
    """Profiles and dropped-in models by name; in one folder a profile goes first."""
    from breathmark.speech.models import dropped_models

    found: dict[str, Path] = {}
    for folder in voice_folders() if folders is None else folders:
        for path in sorted(folder.glob("*.yaml")):
            if not path.name.startswith(_LEXICON):
                found.setdefault(path.stem, path)
        found = {**dropped_models(folder), **found}
    return found


def _profile(path: Path, report: Report) -> VoiceProfile:
    section = open_section(
        path, report, "a voice", valid=_KEYS + _RECORDED_KEYS, required=_KEYS[:2]
    )
    if section is None:
        return VoiceProfile(name=path.stem)
    reader, get = Reader(report, path.parent), section.get
    language = reader.text(get("language")) or "en"
    engine = _engine(reader, get("engine"))
    clips, otherwise = _recorded(reader, section, engine, path.stem, language)
    hearing, background = read_listening(reader, section)
    return VoiceProfile(
        name=path.stem,
        about=reader.text(get("about")),
        engine=engine,
        language=language,
        model=_model(reader, get("model")),
        pace_wpm=_pace(reader, get("pace"), usual_pace_wpm(language)),
        sentence_pause_ms=_pause_ms(reader, get("sentence pause"), SENTENCE_PAUSE_MS),
        comma_pause_ms=_pause_ms(reader, get("comma pause"), COMMA_PAUSE_MS),
        lexicon=_lexicon(reader, get(_LEXICON)),
        calibrated=_calibration(reader, get("calibrated")),
        clips=clips,
        otherwise=otherwise,
        hearing=hearing or Hearing.USUAL,
        background=background or Background.NONE,
        file=path,
    )


def _recorded(
    reader: Reader, section: Section, engine: str, name: str, language: str
) -> tuple[str, str]:
    """The folder of the clips and the voice for what lacks; empty for other engines."""
    values = [section.get(key) for key in _RECORDED_KEYS]
    texts = [reader.text(value) for value in values]
    if engine == RECORDED:
        if values[0] is not None and Path(texts[0]).name != texts[0]:
            message = f"`{texts[0][:40]}` is not the name of a folder beside this file"
            reader.wrong(values[0], Rule.MISSING_FILE, message)
        return texts[0] or name, texts[1] or USUAL_VOICES.get(primary(language), "calm")
    for key, value in zip(_RECORDED_KEYS, values, strict=True):
        if value is not None:
            message = f"`{key}` belongs to the engine `{RECORDED}`, not to `{engine[:40]}`"
            reader.wrong(value, Rule.UNKNOWN_KEY, message)
    return "", ""


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
    if value is not None and text and text not in (*ENGINES, RECORDED):
        message = f"`{text[:40]}` is not one of the words for this"
        reader.wrong(
            value, Rule.NOT_A_CHOICE, message, did_you_mean(text[:40], (*ENGINES, RECORDED))
        )
    return text


def _model(reader: Reader, value: Value | None) -> str:
    """A model's name, or the path of its file when that lies beside the profile."""
    text = reader.text(value)
    beside = reader.home / text
    return str(beside) if text and is_file(beside) else text


def _pace(reader: Reader, value: Value | None, usual: int) -> int:
    text = reader.text(value)
    if value is None or not text:
        return usual
    match = re.fullmatch(r"(\d{1,4})(?:\s*(?:wpm|words (?:a|per) minute))?", text)
    pace = int(match[1]) if match else 0
    if not SLOWEST_WPM <= pace <= FASTEST_WPM:
        message = f"`{text[:40]}` is no pace from {SLOWEST_WPM} to {FASTEST_WPM} words a minute"
        rule = Rule.IMPOSSIBLE_AMOUNT if match else Rule.NOT_AN_AMOUNT
        reader.wrong(value, rule, message, "Write a number, such as `pace: 150`.")
    return pace


def _pause_ms(reader: Reader, value: Value | None, usual_ms: int) -> int:
    amount = reader.amount(value, _PAUSE, exact=True)
    return usual_ms if amount is None else amount.usual


def _lexicon(reader: Reader, value: Value | None) -> tuple[Path, ...]:
    """The files beside the profile; the shipped one of that name where none lies there."""
    paths = []
    for item in reader.items(value):
        name = reader.text(item)
        if not name:
            continue
        (shipped,) = voice_folders()
        found = [folder / name for folder in (reader.home, shipped) if is_file(folder / name)]
        if not found:
            message = f"there is no file `{name[:60]}` beside this one"
            remedy = near(reader.home / name) or "Put it there, or take it out."
            reader.wrong(item, Rule.MISSING_FILE, message, remedy)
        paths += found[:1]
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
        pace_wpm=_pace(reader, section.get("pace"), 0),
        setting=float(number[0]) if number else 1.0,
        model=reader.text(section.get("model")),
    )
