"""The plan as data: ``plan.json``, written the same every time and read back exactly.

Every time is given twice: in whole samples, which are the truth, and in whole
milliseconds for people and for tools that think in clock time.  ``plan.schema.json``
beside this module describes the file (JSON Schema, draft 2020-12).
"""

from __future__ import annotations

import importlib.resources
import json
from collections.abc import Mapping
from typing import Any

from breathmark.deliver.plan_reading import FORMAT, FORMAT_VERSION, read_session
from breathmark.routine.listening import Background, Hearing
from breathmark.script.session import Block, Breathed, Event, Session, Sounded, Span, Spoken
from breathmark.units import milliseconds


def plan_to_json(session: Session, *, dose: Mapping[str, Any] | None = None) -> str:
    """The session as JSON text: fixed key order, one span or event a line, final newline.

    ``dose`` adds the dose totals, as :func:`breathmark.dose.table.as_data` gives them.
    """
    rate_hz = session.rate_hz
    document: dict[str, Any] = {
        "format": FORMAT,
        "format_version": FORMAT_VERSION,
        "title": session.title,
        "language": session.language,
        "voice": session.voice,
        "rate_hz": rate_hz,
        "length_samples": session.length,
        "length_ms": milliseconds(session.length, rate_hz),
        "chapters": [_chapter(block, rate_hz) for block in session.blocks],
        "events": [_event(event, rate_hz) for event in session.events],
        "left_out": list(session.left_out),
        "notes": list(session.notes),
    }
    if session.hearing is not Hearing.USUAL:
        document["hearing"] = session.hearing.value
    if session.background is not Background.NONE:
        document["background"] = session.background.value
    if dose is not None:
        document["dose"] = dict(dose)
    return _written(document, 0) + "\n"


def plan_from_json(text: str, *, file: str = "plan.json") -> Session:
    """The session that :func:`plan_to_json` wrote.

    ``file`` is the name shown in errors.  Raises :class:`~breathmark.problems.InputProblems`
    with the line and column of everything that is wrong: broken JSON, missing, unknown or
    misspelt fields, values out of range, milliseconds that contradict the samples, chapters
    or spans that leave a gap, events out of order or over one another.
    """
    return read_session(text, file)


def plan_schema_text() -> str:
    """The published JSON Schema of ``plan.json``, as text."""
    folder = importlib.resources.files("breathmark.deliver")
    return folder.joinpath("plan.schema.json").read_text(encoding="utf-8")


def _clock(start: int, length: int, rate_hz: int) -> dict[str, int]:
    return {
        "start_samples": start,
        "length_samples": length,
        "start_ms": milliseconds(start, rate_hz),
        "length_ms": milliseconds(length, rate_hz),
    }


def _chapter(block: Block, rate_hz: int) -> dict[str, Any]:
    return {
        "title": block.title,
        "exercise": block.exercise,
        **_clock(block.start, block.length, rate_hz),
        "spans": [_span(span, rate_hz) for span in block.spans],
    }


def _span(span: Span, rate_hz: int) -> dict[str, Any]:
    return {
        "activity": span.activity.value,
        **_clock(span.start, span.length, rate_hz),
        "side": span.side.value if span.side else None,
        "set": span.set_number,
        "doing": span.doing,
    }


def _event(event: Event, rate_hz: int) -> dict[str, Any]:
    clock = _clock(event.start, event.length, rate_hz)
    match event:
        case Spoken():
            words = {"purpose": event.purpose.value, "voice": event.voice, "text": event.text}
            return {"kind": "spoken", **clock, **words}
        case Sounded():
            return {"kind": "tone", **clock, "tone": event.tone.value}
        case Breathed():
            return {"kind": "breath", **clock, "direction": event.direction.value}


def _written(value: Any, depth: int) -> str:
    """JSON with the small things (a span, an event) on one line each."""
    inner, outer = "  " * (depth + 1), "  " * depth
    if isinstance(value, dict) and any(isinstance(v, list) for v in value.values()):
        items = [f"{_line(key)}: {_written(v, depth + 1)}" for key, v in value.items()]
        return "{\n" + ",\n".join(inner + item for item in items) + f"\n{outer}}}"
    if isinstance(value, list) and value:
        items = [_written(item, depth + 1) for item in value]
        return "[\n" + ",\n".join(inner + item for item in items) + f"\n{outer}]"
    return _line(value)


def _line(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)
