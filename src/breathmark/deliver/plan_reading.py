"""Reading ``plan.json`` back: every field checked, everything wrong said with its place."""

from __future__ import annotations

import enum
import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any, NoReturn, TypeGuard, TypeVar

from breathmark.deliver.plan_places import Path, place_at, place_of, shown_path
from breathmark.problems import InputProblems, Problem, did_you_mean
from breathmark.routine.listening import Background, Hearing
from breathmark.routine.model import Side
from breathmark.script.session import (
    Activity,
    Block,
    Breath,
    Breathed,
    Event,
    Purpose,
    Session,
    Sounded,
    Span,
    Spoken,
    Tone,
)
from breathmark.units import MOST_MS, RATES_HZ, milliseconds

FORMAT = "breathmark-plan"
"""What the ``format`` field of every plan says."""

FORMAT_VERSION = 1
"""The version of the file's shape that is written and read."""

MOST_PROBLEMS = 20
"""Problems shown for one file; past this it is damaged, not mistyped."""

MOST_SAMPLES = MOST_MS * (max(RATES_HZ) // 1000)
"""The highest number a plan may hold: a day of samples at the highest rate."""

RULE = "plan-file"
AGAIN = "Make the plan again from the routine rather than editing it by hand."

_CLOCK = ("start_samples", "length_samples", "start_ms", "length_ms")
_SESSION_KEYS = (
    "format", "format_version", "title", "language", "voice", "rate_hz", "length_samples",
    "length_ms", "chapters", "events", "left_out", "notes",
)  # fmt: skip
_MAY_LACK = ("dose", "hearing", "background")
_CHAPTER_KEYS = ("title", "exercise", *_CLOCK, "spans")
_SPAN_KEYS = ("activity", *_CLOCK, "side", "set", "doing")
_EVENT_KEYS = {
    "spoken": ("kind", *_CLOCK, "purpose", "voice", "text"),
    "tone": ("kind", *_CLOCK, "tone"),
    "breath": ("kind", *_CLOCK, "direction"),
}
_Word = TypeVar("_Word", bound=enum.StrEnum)
_Json = dict[str, Any]


def read_session(text: str, file: str) -> Session:
    """The session in ``text``; raises :class:`InputProblems` naming places in ``file``."""
    reading = _Reading(text=text.removeprefix("\ufeff"), file=file)
    document = reading.fields(reading.parsed(), (), _SESSION_KEYS, may_lack=_MAY_LACK)
    reading.stop_if_wrong()
    reading.check_format(document)
    reading.stop_if_wrong()
    return reading.session(document)


@dataclass(kw_only=True, slots=True)
class _Reading:
    """One pass over one file; collects what is wrong on the way.

    A reader method that finds something wrong notes it and returns a stand-in, which
    nobody sees: :meth:`stop_if_wrong` is called before anything is built from it.
    """

    text: str
    file: str
    rate_hz: int = 0
    problems: list[Problem] = field(default_factory=list)

    def parsed(self) -> Any:
        """The JSON value of the whole file."""
        twice: list[str] = []
        try:
            value = json.loads(
                self.text,
                object_pairs_hook=lambda pairs: _one_of_each(pairs, twice),
                parse_constant=_no_number,
            )
        except json.JSONDecodeError as error:
            place = place_at(self.text, self.file, error.pos)
            message = f"this is not a whole JSON file: {error.msg}"
            raise InputProblems(
                [Problem(rule=RULE, message=message, place=place, remedy=AGAIN)]
            ) from error
        except (ValueError, RecursionError) as error:
            self.wrong((), "this is not a plan: it holds a number or a nesting past all bounds")
            raise InputProblems(self.problems) from error
        for name in twice:
            self.wrong((), f"`{_short(name)}` is written twice in one object")
        return value

    def wrong(self, path: Path, message: str, remedy: str = AGAIN) -> None:
        """Note a problem at ``path``."""
        if len(self.problems) < MOST_PROBLEMS:
            place = place_of(self.text, self.file, path)
            self.problems.append(Problem(rule=RULE, message=message, place=place, remedy=remedy))

    def stop_if_wrong(self) -> None:
        """Raise when anything has been noted."""
        if self.problems:
            raise InputProblems(self.problems)

    def fields(
        self, value: Any, path: Path, keys: tuple[str, ...], *, may_lack: tuple[str, ...] = ()
    ) -> _Json:
        """``value`` as an object with exactly ``keys``, and perhaps those it ``may_lack``."""
        if not isinstance(value, dict):
            self.wrong(path, f"{_named(path)} must be an object in braces, not {_kind(value)}")
            return {}
        for key in value:
            if key not in (*keys, *may_lack):
                message = f"`{_short(key)}` is no field of {_named(path)}"
                self.wrong((*path, key), message, did_you_mean(key, keys))
        for key in keys:
            if key not in value:
                self.wrong(path, f"{_named(path)} lacks the field `{key}`")
        return value

    def items(self, source: _Json, path: Path, key: str) -> list[Any]:
        """A list in an object."""
        value = source.get(key, [])
        if isinstance(value, list):
            return value
        self.wrong((*path, key), f"`{key}` must be a list, not {_kind(value)}")
        return []

    def whole(self, source: _Json, path: Path, key: str, least: int = 0) -> int:
        """A whole number, not below ``least`` and within a day of samples."""
        value = source.get(key, least)
        if _is_whole(value) and least <= value <= MOST_SAMPLES:
            return value
        expected = f"a whole number from {least} to {MOST_SAMPLES}"
        self.wrong((*path, key), f"`{key}` must be {expected}, not {_kind(value)}")
        return least

    def whole_or_none(self, source: _Json, path: Path, key: str, least: int) -> int | None:
        """A whole number, or ``null``."""
        return None if source.get(key) is None else self.whole(source, path, key, least)

    def words(self, value: Any, path: Path) -> str:
        """A text that can be written as UTF-8."""
        if not isinstance(value, str):
            self.wrong(path, f"{_named(path)} must be a text in quotes, not {_kind(value)}")
        elif any("\ud800" <= char <= "\udfff" for char in value):
            self.wrong(path, f"{_named(path)} holds half a character (a lone surrogate)")
        else:
            return value
        return ""

    def word(self, source: _Json, path: Path, key: str) -> str:
        """A text field of an object."""
        return self.words(source.get(key, ""), (*path, key))

    def choice(self, source: _Json, path: Path, key: str, words: type[_Word]) -> _Word:
        """One of the words of an enumeration."""
        valid = {word.value: word for word in words}
        value = source.get(key, next(iter(valid)))
        if isinstance(value, str) and value in valid:
            return valid[value]
        got = f"`{_short(value)}`" if isinstance(value, str) else _kind(value)
        remedy = did_you_mean(str(value)[:40], valid)
        self.wrong((*path, key), f"{got} is not a valid `{key}`", remedy)
        return next(iter(valid.values()))

    def check_format(self, document: _Json) -> None:
        """Refuse files that are something else, or of another version."""
        if document["format"] != FORMAT:
            self.wrong(("format",), f"this is not a Breathmark plan: `format` must be `{FORMAT}`")
        elif not _is_whole(version := document["format_version"]) or version != FORMAT_VERSION:
            message = f"`format_version` is not {FORMAT_VERSION}, the only one that is read here"
            self.wrong(("format_version",), message, "Update Breathmark, or make the plan again.")
        if not _is_whole(document["rate_hz"]) or document["rate_hz"] not in RATES_HZ:
            rates = " or ".join(str(rate) for rate in RATES_HZ)
            self.wrong(("rate_hz",), f"`rate_hz` must be {rates}")

    def session(self, document: _Json) -> Session:
        """The session, once the file is known to be a plan."""
        self.rate_hz = document["rate_hz"]
        length = self.whole(document, (), "length_samples")
        self.same_ms(document, (), "length")
        blocks = tuple(self.block(b, i) for i, b in enumerate(self.items(document, (), "chapters")))
        events = tuple(self.event(e, i) for i, e in enumerate(self.items(document, (), "events")))
        title, language, voice = (self.word(document, (), k) for k in _SESSION_KEYS[2:5])
        left_out, notes = self.lines(document, "left_out"), self.lines(document, "notes")
        hearing = self.choice(document, (), "hearing", Hearing)
        background = self.choice(document, (), "background", Background)
        self.stop_if_wrong()
        self.check_cover(blocks, ("chapters",), 0, length)
        for index, block in enumerate(blocks):
            self.check_cover(block.spans, ("chapters", index, "spans"), block.start, block.end)
        self.check_order(events, length)
        self.stop_if_wrong()
        return Session(
            title=title,
            language=language,
            voice=voice,
            rate_hz=self.rate_hz,
            length=length,
            blocks=blocks,
            events=events,
            left_out=left_out,
            notes=notes,
            hearing=hearing,
            background=background,
        )

    def lines(self, document: _Json, key: str) -> tuple[str, ...]:
        """A list of texts."""
        found = self.items(document, (), key)
        return tuple(self.words(line, (key, index)) for index, line in enumerate(found))

    def clock(self, source: _Json, path: Path) -> dict[str, int]:
        """Start and length in samples, with the milliseconds beside them checked."""
        start = self.whole(source, path, "start_samples")
        length = self.whole(source, path, "length_samples")
        self.same_ms(source, path, "start")
        self.same_ms(source, path, "length")
        return {"start": start, "length": length}

    def same_ms(self, source: _Json, path: Path, name: str) -> None:
        """Milliseconds must say what the samples say."""
        given = self.whole(source, path, f"{name}_ms")
        count = source.get(f"{name}_samples")
        if not _is_whole(count) or not 0 <= count <= MOST_SAMPLES or f"{name}_ms" not in source:
            return
        right = milliseconds(count, self.rate_hz)
        if given != right:
            message = f"`{name}_ms` contradicts `{name}_samples`, which is {right} ms"
            self.wrong((*path, f"{name}_ms"), message)

    def block(self, value: Any, index: int) -> Block:
        """One chapter."""
        path: Path = ("chapters", index)
        source = self.fields(value, path, _CHAPTER_KEYS)
        spans = self.items(source, path, "spans")
        return Block(
            title=self.word(source, path, "title"),
            exercise=self.whole_or_none(source, path, "exercise", 0),
            spans=tuple(self.span(span, (*path, "spans", i)) for i, span in enumerate(spans)),
            **self.clock(source, path),
        )

    def span(self, value: Any, path: Path) -> Span:
        """One span of a chapter."""
        source = self.fields(value, path, _SPAN_KEYS)
        side = source.get("side")
        return Span(
            activity=self.choice(source, path, "activity", Activity),
            doing=self.word(source, path, "doing"),
            side=None if side is None else self.choice(source, path, "side", Side),
            set_number=self.whole_or_none(source, path, "set", 1),
            **self.clock(source, path),
        )

    def event(self, value: Any, index: int) -> Event:
        """One line, tone or breath."""
        path: Path = ("events", index)
        kind = value.get("kind") if isinstance(value, dict) else "tone"
        if not isinstance(kind, str) or kind not in _EVENT_KEYS:
            remedy = did_you_mean(str(kind)[:40], _EVENT_KEYS)
            self.wrong(path, f"{_named(path)} has no valid `kind`", remedy)
            return Sounded(start=0, length=0, tone=Tone.START)
        source = self.fields(value, path, _EVENT_KEYS[kind])
        clock = self.clock(source, path)
        if kind == "tone":
            return Sounded(**clock, tone=self.choice(source, path, "tone", Tone))
        if kind == "breath":
            return Breathed(**clock, direction=self.choice(source, path, "direction", Breath))
        purpose = self.choice(source, path, "purpose", Purpose)
        said, voice = self.word(source, path, "text"), self.word(source, path, "voice")
        return Spoken(**clock, purpose=purpose, voice=voice, text=said)

    def check_cover(self, parts: Sequence[Block | Span], path: Path, start: int, end: int) -> None:
        """Parts must follow one another without a gap from ``start`` to ``end``."""
        at = start
        for index, part in enumerate(parts):
            if part.start != at:
                message = f"{_named((*path, index))} starts at sample {part.start}, not at {at}"
                self.wrong((*path, index, "start_samples"), message)
            at = part.end
        if at != end:
            self.wrong(path, f"{_named(path)} end at sample {at}, not at {end}")

    def check_order(self, events: tuple[Event, ...], length: int) -> None:
        """Events are sorted, inside the session, and never two lines or tones at once."""
        last_start = free_from = 0
        for index, event in enumerate(events):
            path: Path = ("events", index)
            if event.start < last_start:
                self.wrong(path, f"{_named(path)} stands after one that starts later")
            elif event.end > length:
                self.wrong(path, f"{_named(path)} ends after the session")
            elif not isinstance(event, Breathed) and event.start < free_from:
                self.wrong(path, f"{_named(path)} starts before the line or tone before it ends")
            last_start = event.start
            free_from = free_from if isinstance(event, Breathed) else event.end


def _one_of_each(pairs: Iterable[tuple[str, Any]], twice: list[str]) -> _Json:
    found: _Json = {}
    for key, value in pairs:
        if key in found:
            twice.append(key)
        found[key] = value
    return found


def _no_number(name: str) -> NoReturn:
    raise ValueError(name)


def _is_whole(value: Any) -> TypeGuard[int]:
    """Whether a JSON value is a whole number (``true`` is none, nor is ``1.0``)."""
    return isinstance(value, int) and not isinstance(value, bool)


def _named(path: Path) -> str:
    """A path in words: ``events[3].text``; the empty path is the plan itself."""
    return f"`{_short(shown_path(path))}`" if path else "the plan"


def _kind(value: Any) -> str:
    """A JSON value as it is called in an error."""
    match value:
        case None | bool():
            return f"`{json.dumps(value)}`"
        case int() | float():
            return f"`{_short(str(value))}`"
        case str():
            return "a text"
        case list():
            return "a list"
        case _:
            return "an object"


def _short(text: str, most: int = 40) -> str:
    return text if len(text) <= most else text[: most - 1] + "…"
