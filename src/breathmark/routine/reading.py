"""A routine file, read whole: every problem of it at once, or the routine."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from breathmark.problems import Place, nearest
from breathmark.routine.compose import compose
from breathmark.routine.exercise import EXERCISE_KEYS, REST, folded, read_exercise
from breathmark.routine.frequency import (
    MOST_TIMES_A_DAY,
    Frequency,
    frequency_of,
    in_plain_words,
)
from breathmark.routine.library import (
    Shelves,
    exercise_values,
    point_to_uses,
    report_same_names,
    with_shared,
)
from breathmark.routine.model import USUAL_RESTS, Exercise, Rests, Routine, Side
from breathmark.routine.nodes import Broken, Text
from breathmark.routine.reader import MOST_NAME, Reader, Section, Value, short
from breathmark.routine.report import Report
from breathmark.routine.rules import Rule
from breathmark.routine.settings import (
    CODE,
    LANGUAGE,
    read_accepted,
    read_code,
    read_length,
    read_pain_limit,
)
from breathmark.routine.source import Source, read_source
from breathmark.routine.tags_reading import know_declared
from breathmark.routine.tailoring_reading import read_weeks
from breathmark.routine.tailoring_wishes import check_all
from breathmark.routine.words import (
    NO_SIDE_IN_ROUTINE,
    check_braces,
    check_sound,
    read_line,
    read_lines,
)

ROUTINE_KEYS = (
    "title", "length", "language", "voice", "about", "frequency", "equipment", "cautions",
    "opening", "closing", "rests", "first side", "exercises", "alternatives", "library", "accept",
    "tags", "targets", "weeks", "pain limit",
)  # fmt: skip
"""Every key at the left edge of a routine file."""

MOST_EXERCISES = 100
"""Exercises in one routine, and alternatives beside them."""

PATIENT_ONLY = (
    "label", "routine", "greeting", "hearing", "background", "avoid", "changes", "conditions",
    "coaching",
)  # fmt: skip
"""Keys of a patient file that neither a routine nor an exercise has."""

_BELONGS_ELSEWHERE = {
    **dict.fromkeys(
        set(EXERCISE_KEYS) - set(ROUTINE_KEYS) | {"use"}, "an exercise, indented under `exercises`"
    ),
    **dict.fromkeys(PATIENT_ONLY, "a patient file, beside `label`"),
    "helper": "a patient file, as `helper: yes`. An exercise holds what is said to the helper",
    "sides": "an exercise, indented under `exercises`; a first side is `first side`",
}


def read_routine(path: Path, *, named_at: Place | None = None) -> Routine:
    """Read and check a routine file, and the library files it names.

    ``named_at`` is where another file names this one; where it cannot be read at all,
    the problem is placed there.

    Raises :class:`~breathmark.problems.InputProblems` with all problems at once; what
    is returned is valid.  Nothing but the files named is opened.
    """
    report = Report()
    return report.settle(lambda: _routine(path, report, named_at))


def _routine(path: Path, report: Report, named_at: Place | None) -> Routine:
    source = read_source(path, report, named_at=named_at)
    root = compose(source, report) if source else None
    if source is None or _nothing(root, source, report) or root is None:
        return Routine(title="", file=str(path), sha256="", exercises=())
    reader = Reader(report, source.folder)
    section = reader.section(
        Value(node=root, path=""),
        "a routine",
        valid=ROUTINE_KEYS,
        required=("title", "exercises"),
        elsewhere=_BELONGS_ELSEWHERE,
    )
    if section is None:
        return Routine(title="", file=str(path), sha256="", exercises=())
    shelves = _libraries(reader, section.get("library"))
    reader.known = reader.known.with_own(shelves.tags, shelves.targets)
    tags, targets = know_declared(reader, section.get("tags"), section.get("targets"))
    exercises, alternatives = _exercises(reader, section, shelves)
    point_to_uses(reader.places)
    get = section.get
    frequency = reader.text(get("frequency"))
    often = _often(reader, get("frequency"), frequency)
    routine = Routine(
        title=_title(reader, get("title")),
        file=source.name,
        sha256=source.sha256,
        exercises=exercises,
        language=read_code(reader, get("language"), LANGUAGE, "en", "`en` or `pt-BR`"),
        length_ms=read_length(reader, get("length")),
        pain_limit=read_pain_limit(reader, get("pain limit")),
        voice=read_code(reader, get("voice"), CODE, "calm", "`calm`"),
        about=read_line(reader, get("about"), no_side=NO_SIDE_IN_ROUTINE, printed=True),
        frequency=frequency,
        days_a_week=often.days_a_week,
        times_a_day=often.times_a_day,
        equipment=reader.texts(get("equipment")),
        cautions=read_lines(reader, get("cautions"), no_side=NO_SIDE_IN_ROUTINE),
        opening=read_lines(reader, get("opening"), no_side=NO_SIDE_IN_ROUTINE),
        closing=read_lines(reader, get("closing"), no_side=NO_SIDE_IN_ROUTINE),
        rests=_rests(reader, get("rests")),
        first_side=reader.choice(get("first side"), Side) or Side.LEFT,
        alternatives=alternatives,
        accepted=read_accepted(reader, get("accept"), (*exercises, *alternatives)),
        tags=(*shelves.tags, *tags),
        targets=(*shelves.targets, *targets),
        places=reader.places,
    )
    whole = not len(report)
    routine = replace(routine, weeks=read_weeks(reader, get("weeks")))
    check_all(report, routine, None, names_only=not whole)
    return routine


def _nothing(root: object, source: Source, report: Report) -> bool:
    """Whether the file holds nothing, which is reported."""
    empty = isinstance(root, Text) and root.empty
    if empty or (root is None and not len(report)):
        remedy = "Begin it with `title:` and `exercises:`."
        report.add(Rule.EMPTY_FILE, "there is nothing in the file", source.place(1, 1), remedy)
    return empty


def _title(reader: Reader, value: Value | None) -> str:
    if value is not None:
        check_braces(reader, value, NO_SIDE_IN_ROUTINE)
    title = reader.text(value, most=MOST_NAME)
    if value is not None and title:
        check_sound(reader, value, title)
    return title


def _often(reader: Reader, value: Value | None, text: str) -> Frequency:
    often = frequency_of(text)
    plain = in_plain_words(text)
    if value is not None and plain != text:
        message = f"`{short(text)}` is printed for the patient as it stands"
        reader.wrong(value, Rule.NOT_IN_WORDS, message, f"Write it in words, such as `{plain}`.")
    days = often.days_a_week
    if value is not None and days is not None and not 1 <= days <= 7:
        message = f"a week has no {days} days"
        reader.wrong(value, Rule.IMPOSSIBLE_AMOUNT, message, "Write `7 days a week` or `daily`.")
    if value is not None and often.times_a_day > MOST_TIMES_A_DAY:
        message = f"nobody does a session {often.times_a_day} times a day"
        reader.wrong(value, Rule.IMPOSSIBLE_AMOUNT, message, "Write `3 times a day`, or fewer.")
    return often


def _rests(reader: Reader, value: Value | None) -> Rests:
    if value is None or isinstance(value.node, Broken):
        return USUAL_RESTS
    section = reader.section(value, "`rests` of a routine", valid=("sets", "sides", "exercises"))
    if section is None:
        return USUAL_RESTS
    return replace(
        USUAL_RESTS,
        sets_ms=reader.amount(section.get("sets"), REST) or USUAL_RESTS.sets_ms,
        sides_ms=reader.amount(section.get("sides"), REST) or USUAL_RESTS.sides_ms,
        before_ms=reader.amount(section.get("exercises"), REST) or USUAL_RESTS.before_ms,
    )


def _libraries(reader: Reader, value: Value | None) -> Shelves:
    shelves = Shelves(reader.report)
    for item in reader.items(value):
        name = reader.text(item)
        if name:
            shelves.add(reader.home / name, item.place)
    return shelves


def _exercises(
    reader: Reader, section: Section, shelves: Shelves
) -> tuple[tuple[Exercise, ...], tuple[Exercise, ...]]:
    """The exercises and the alternatives, with every `use` and `instead` resolved."""
    groups = [
        tuple(
            with_shared(reader, value, shelves)
            for value in exercise_values(reader, section.get(key), MOST_EXERCISES)
        )
        for key in ("exercises", "alternatives")
    ]
    report_same_names(reader, (*groups[0], *groups[1]))
    exercises, alternatives = (
        [one for one in (_read(reader, value) for value in group) if one] for group in groups
    )
    named = {folded(one.name): one.name for one in (*exercises, *alternatives)}
    done = [_resolved(reader, one, named, shelves, alternatives) for one in exercises]
    at = 0
    while at < len(alternatives):  # grows while shared replacements are taken in
        alternatives[at] = _resolved(reader, alternatives[at], named, shelves, alternatives)
        at += 1
    return tuple(done), tuple(alternatives)


def _read(reader: Reader, value: Value) -> Exercise | None:
    if isinstance(value.node, Text):
        name = value.node.value.strip()
        remedy = f"Write `- use: {short(name)}` or `- name: {short(name)}`."
        reader.wrong(value, Rule.WRONG_TYPE, "this is a text; an exercise belongs here", remedy)
        return None
    return read_exercise(reader, value)


def _resolved(
    reader: Reader,
    exercise: Exercise,
    named: dict[str, str],
    shelves: Shelves,
    alternatives: list[Exercise],
) -> Exercise:
    """The exercise with its `instead` as the other's own name; a shared one is taken in."""
    if exercise.instead is None:
        return exercise
    wanted = folded(exercise.instead)
    place = reader.places[f"{exercise.path}.instead"]
    if wanted not in named:
        node = shelves.find(exercise.instead)
        path = f"alternatives[{len(alternatives)}]"
        shared = read_exercise(reader, Value(node=node, path=path)) if node else None
        if shared is not None:
            alternatives.append(shared)
            named[wanted] = shared.name
            reader.places[f"{path}.use"] = reader.places.get(f"{exercise.path}.use", place)
    if wanted == folded(exercise.name):
        message = "an exercise cannot stand in for itself"
        reader.report.add(Rule.INSTEAD_ITSELF, message, place)
    elif wanted not in named:
        message = f"there is no exercise `{short(exercise.instead)}`"
        others = [name for key, name in named.items() if key != folded(exercise.name)]
        close = nearest(exercise.instead, others)
        remedy = f"Did you mean `{close}`?" if close else shelves.near(exercise.instead)
        reader.report.add(Rule.UNKNOWN_EXERCISE, message, place, remedy)
    return replace(exercise, instead=named.get(wanted))
