"""``plan.json``: written the same every time, read back exactly, refused clearly."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import jsonschema
import pytest

from breathmark.deliver.plan_json import plan_from_json, plan_schema_text, plan_to_json
from breathmark.problems import InputProblems
from breathmark.routine.model import Side
from breathmark.script.session import Activity, Breath, Purpose, Session, Tone
from breathmark.units import MOST_MS, RATES_HZ
from tests.plan_sessions import many_exercises, one_exercise, twelve_minutes

SESSIONS = [twelve_minutes(), one_exercise(), many_exercises()]


def validator() -> jsonschema.Draft202012Validator:
    return jsonschema.Draft202012Validator(json.loads(plan_schema_text()))


def edited(change: Callable[[dict[str, Any]], object]) -> str:
    """A good plan with one change made by hand, indented as an editor would."""
    document = json.loads(plan_to_json(twelve_minutes()))
    change(document)
    return json.dumps(document, indent=1)


@pytest.mark.parametrize("session", SESSIONS, ids=lambda s: s.title)
def test_round_trip_is_exact(session: Session) -> None:
    text = plan_to_json(session)
    assert plan_from_json(text) == session
    assert plan_to_json(plan_from_json(text)) == text


def test_text_is_stable_readable_and_ends_in_a_newline() -> None:
    text = plan_to_json(twelve_minutes())
    assert text == plan_to_json(twelve_minutes())
    assert text.endswith("}\n")
    assert "“Toes point at the cupboard.”" in text  # UTF-8, not escapes
    event = '{"kind": "tone", "start_samples": 1992000, "length_samples": 2400, "start_ms": 83000,'
    assert f'    {event} "length_ms": 100, "tone": "start"}},\n' in text


def test_times_in_milliseconds_are_the_samples_rounded() -> None:
    document = json.loads(plan_to_json(twelve_minutes()))
    assert document["length_samples"] == 720 * 24_000
    assert document["length_ms"] == 720_000
    assert [c["start_ms"] for c in document["chapters"]][:3] == [0, 45_000, 248_000]


def test_words_of_any_alphabet_survive() -> None:
    text = plan_to_json(one_exercise('Füße hoch "ganz" ruhig\\ \u2028 かかと 🦶'))
    assert plan_from_json(text).blocks[1].title == 'Füße hoch "ganz" ruhig\\ \u2028 かかと 🦶'


def test_byte_order_mark_is_forgiven() -> None:
    assert plan_from_json("\ufeff" + plan_to_json(one_exercise())) == one_exercise()


@pytest.mark.parametrize("session", SESSIONS, ids=lambda s: s.title)
def test_written_plans_satisfy_the_schema(session: Session) -> None:
    validator().validate(json.loads(plan_to_json(session)))


def test_schema_is_valid_and_describes_every_field() -> None:
    schema = json.loads(plan_schema_text())
    jsonschema.Draft202012Validator.check_schema(schema)
    assert ":" not in schema["$id"]
    lacking = [name for name, part in _fields(schema) if not part.get("description")]
    assert not lacking
    untimed = [name for name, part in _fields(schema) if _says_no_unit(name, part["description"])]
    assert not untimed


def _fields(schema: dict[str, Any]) -> list[tuple[str, dict[str, Any]]]:
    parts = [schema, *schema["$defs"].values()]
    return [item for part in parts for item in part.get("properties", {}).items()]


def _says_no_unit(name: str, description: str) -> bool:
    units = {"_samples": "in samples", "_ms": "in milliseconds", "_hz": "hertz"}
    return any(name.endswith(end) and unit not in description for end, unit in units.items())


def test_schema_names_the_same_words_as_the_model() -> None:
    parts = json.loads(plan_schema_text())["$defs"]
    assert parts["span"]["properties"]["activity"]["enum"] == [a.value for a in Activity]
    assert parts["span"]["properties"]["side"]["enum"] == [*(s.value for s in Side), None]
    assert parts["spoken"]["properties"]["purpose"]["enum"] == [p.value for p in Purpose]
    assert parts["tone"]["properties"]["tone"]["enum"] == [t.value for t in Tone]
    assert parts["breath"]["properties"]["direction"]["enum"] == [b.value for b in Breath]
    rates = json.loads(plan_schema_text())["properties"]["rate_hz"]["enum"]
    assert rates == list(RATES_HZ)
    assert parts["samples"]["maximum"] == MOST_MS * 48


def _delete(document: dict[str, Any], key: str) -> None:
    del document[key]


BROKEN: list[tuple[str, Callable[[dict[str, Any]], object], str]] = [
    ("missing", lambda d: _delete(d, "events"), "the plan lacks the field `events`"),
    ("missing deep", lambda d: _delete(d["events"][4], "start_ms"), "`events[4]` lacks"),
    ("misspelt", lambda d: d.update(tilte="x"), "`tilte` is no field"),
    ("other file", lambda d: d.update(format="x"), "not a Breathmark plan"),
    ("newer", lambda d: d.update(format_version=2), "`format_version` is not 1"),
    ("rate", lambda d: d.update(rate_hz=44_100), "`rate_hz` must be 24000 or 48000"),
    ("true", lambda d: d.update(length_samples=True), "whole number from 0 to"),
    ("text", lambda d: d.update(length_ms="12 min"), "whole number from 0 to"),
    ("half", lambda d: d["events"][0].update(start_ms=0.5), "not `0.5`"),
    ("below 0", lambda d: d["events"][0].update(start_samples=-1), "not `-1`"),
    ("vast", lambda d: d["events"][0].update(start_samples=10**30), "whole number from 0 to"),
    ("title", lambda d: d.update(title=None), "`title` must be a text in quotes, not `null`"),
    ("chapters", lambda d: d.update(chapters={}), "`chapters` must be a list, not an object"),
    ("chapter", lambda d: d.update(chapters=[3]), "`chapters[0]` must be an object in braces"),
    ("note", lambda d: d.update(notes=["a", 2]), "`notes[1]` must be a text"),
    ("side", lambda d: d["chapters"][1]["spans"][1].update(side="lefft"), "`lefft` is not a valid"),
    ("activity", lambda d: d["chapters"][1]["spans"][1].update(activity=7), "`7` is not a valid"),
    ("set", lambda d: d["chapters"][1]["spans"][1].update(set=0), "from 1 to"),
    ("kind", lambda d: d["events"][2].update(kind="sound"), "`events[2]` has no valid `kind`"),
    ("kind list", lambda d: d["events"][2].update(kind=[]), "`events[2]` has no valid `kind`"),
    ("event", lambda d: d["events"].insert(0, None), "`events[0]` must be an object"),
    ("tone", lambda d: d["events"][4].update(tone="end"), "`events[4]`"),
    ("purpose", lambda d: d["events"][0].update(purpose="cues"), "`cues` is not a valid `purpose`"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("change", "said"), [(c, s) for _, c, s in BROKEN], ids=[b[0] for b in BROKEN]
)
def test_hand_edited_plans_are_refused_by_reader_and_schema(
    change: Callable[[dict[str, Any]], object], said: str
) -> None:
    text = edited(change)
    with pytest.raises(InputProblems) as refused:
        plan_from_json(text, file="kept.json")
    assert said in str(refused.value)
    assert str(refused.value).startswith("kept.json:")
    assert not validator().is_valid(json.loads(text))


def _stretch(document: dict[str, Any]) -> None:
    document["chapters"][1]["spans"][2].update(length_samples=24_000, length_ms=1_000)


def _swap(document: dict[str, Any]) -> None:
    document["events"][0], document["events"][9] = document["events"][9], document["events"][0]


def _overrun(document: dict[str, Any]) -> None:
    document["events"][-1].update(length_samples=24_000_000, length_ms=1_000_000)


def _overlap(document: dict[str, Any]) -> None:
    document["events"][0].update(length_samples=240_000, length_ms=10_000)


CONTRADICTIONS: list[tuple[Callable[[dict[str, Any]], object], str]] = [
    (lambda d: d["events"][0].update(start_ms=7), "`start_ms` contradicts `start_samples`, which"),
    (lambda d: d["chapters"].pop(2), "`chapters[2]` starts at sample"),
    (lambda d: d["chapters"].pop(), "`chapters` end at sample"),
    (_stretch, "`chapters[1].spans[3]` starts at sample"),
    (_swap, "stands after one that starts later"),
    (_overrun, "ends after the session"),
    (_overlap, "`events[1]` starts before the line or tone before it ends"),
]


@pytest.mark.parametrize(
    ("change", "said"), CONTRADICTIONS, ids=lambda v: v if isinstance(v, str) else ""
)
def test_plans_that_contradict_themselves_are_refused(
    change: Callable[[dict[str, Any]], object], said: str
) -> None:
    with pytest.raises(InputProblems) as refused:
        plan_from_json(edited(change))
    assert said in str(refused.value)


def test_a_problem_shows_its_line_with_a_caret_and_the_nearest_word() -> None:
    text = plan_to_json(twelve_minutes()).replace('"tone": "halfway"', '"tone": "halfwy"', 1)
    with pytest.raises(InputProblems) as refused:
        plan_from_json(text)
    (problem,) = refused.value.problems
    line = text.splitlines()[problem.place.line - 1]
    assert line[problem.place.column - 1 :].startswith('"halfwy"')
    assert problem.place.width == len('"halfwy"')
    assert problem.place.path.startswith("events[")
    assert problem.remedy == "Did you mean `halfway`?"


def test_all_problems_are_shown_at_once_but_not_thousands() -> None:
    def two(document: dict[str, Any]) -> None:
        document["events"][0]["purpose"] = "cues"
        document["chapters"][1]["spans"][1]["side"] = "top"

    def all_events(document: dict[str, Any]) -> None:
        for event in document["events"]:
            del event["start_ms"]

    for change, count in ((two, 2), (all_events, 20)):
        with pytest.raises(InputProblems) as refused:
            plan_from_json(edited(change))
        assert len(refused.value.problems) == count


@pytest.mark.parametrize(
    "text",
    [
        "", " ", "{", "[]", "null", "3", '"plan"', "{}", "NaN", '{"a": Infinity}', "[" * 100_000,
        '{"a": ' + "9" * 5000 + "}", "\x00", "PK\x03\x04", '{"format": "breathmark-plan"} x',
    ],
)  # fmt: skip
def test_what_is_no_plan_is_refused_without_a_traceback(text: str) -> None:
    with pytest.raises(InputProblems):
        plan_from_json(text)


def test_every_cut_of_a_plan_is_refused() -> None:
    text = plan_to_json(one_exercise())
    for end in range(0, len(text) - 2, 97):
        with pytest.raises(InputProblems):
            plan_from_json(text[:end])


def test_half_characters_and_doubled_keys_are_refused() -> None:
    text = plan_to_json(one_exercise())
    for bad in (
        text.replace("Stronger", r"\ud83e", 1),
        text.replace('"set":', '"side": null, "set":', 1),
    ):
        with pytest.raises(InputProblems):
            plan_from_json(bad)
