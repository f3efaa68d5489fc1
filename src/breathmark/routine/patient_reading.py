"""A patient file, read whole and held against its routine: every problem at once."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from breathmark.problems import InputProblems, Problem, did_you_mean
from breathmark.routine.compose import compose
from breathmark.routine.everyday import choice_meant
from breathmark.routine.exercise import EXERCISE_KEYS
from breathmark.routine.listening_reading import read_listening
from breathmark.routine.model import Coaching, Routine, Side
from breathmark.routine.nodes import Broken, Fields, Node, Text
from breathmark.routine.patient import Patient
from breathmark.routine.reader import MOST_LINE, Reader, Section, Value, short
from breathmark.routine.reading import ROUTINE_KEYS, read_routine
from breathmark.routine.report import Report, Unheard
from breathmark.routine.rules import Rule
from breathmark.routine.settings import CODE, read_accepted, read_code, read_length, read_pain_limit
from breathmark.routine.source import Source, read_source
from breathmark.routine.tags_reading import in_a_list, read_declared, read_tags
from breathmark.routine.tailoring_reading import read_changes, read_weeks
from breathmark.routine.tailoring_wishes import check_all
from breathmark.routine.words import NO_SIDE_IN_ROUTINE, read_line, read_lines

PATIENT_KEYS = (
    "label", "routine", "greeting", "length", "voice", "hearing", "background", "sides", "avoid",
    "cautions", "changes", "conditions", "pain limit", "coaching", "helper", "accept", "weeks",
    "tags",
)  # fmt: skip
"""Every key at the left edge of a patient file."""

MOST_LABEL = 40
"""Characters in a label: it stands in file names."""

_LABEL = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9.-]*[A-Za-z0-9])?")
_NAME_IN_CAPITALS = 4
_PARTS = re.compile(r"[A-Z]?[a-z]+|[A-Z]+(?![a-z])")
_DATE = re.compile(
    r"(?:19|20)\d\d(?:[-.]\d\d?[-.]\d\d?|(?:0\d|1[0-2])(?:[0-2]\d|3[01]))"
    r"|\d\d?[-.]\d\d?[-.](?:\d\d){1,2}"
)
"""A day of birth as people write it, the year first or last."""
_ELSEWHERE = dict.fromkeys(
    set(ROUTINE_KEYS) - set(PATIENT_KEYS), "the routine's own file"
) | dict.fromkeys(
    set(EXERCISE_KEYS) - set(ROUTINE_KEYS), "an exercise, named under `changes`"
)  # fmt: skip


@dataclass(frozen=True, kw_only=True, slots=True)
class Prescription:
    """A patient's particulars with the routine they are for."""

    patient: Patient
    routine: Routine


def read_prescription(path: Path, *, routine: Path | None = None) -> Prescription:
    """Read a patient file and its routine, and hold the one against the other.

    ``routine`` is used instead of the one that the file names.  Raises
    :class:`~breathmark.problems.InputProblems` with the problems of both files at once.
    """
    reading = _Reading(path, None if routine is None else read_routine(routine))
    patient, found = reading.settled()
    return Prescription(patient=patient, routine=found)


def prescription_in(source: Source, node: Node) -> Prescription:
    """A patient's particulars that stand inside another file, with their routine.

    ``node`` is written as a patient file is; its spots, and the routine's path, are those
    of ``source``, whose ``sha256`` should be that of the particulars alone.  Raises
    :class:`~breathmark.problems.InputProblems` as :func:`read_prescription` does.
    """
    patient, found = _Reading(Path(source.name), None, written=(source, node)).settled()
    return Prescription(patient=patient, routine=found)


def read_patient(path: Path, *, routine: Routine | None = None) -> Patient:
    """Read a patient file and check it, against ``routine`` or the one that it names.

    Raises :class:`~breathmark.problems.InputProblems` with all problems at once.
    """
    return _Reading(path, routine).settled()[0]


def is_patient_file(path: Path) -> bool:
    """Whether a file looks like a patient's rather than a routine, for what a person names.

    A file that cannot be read is none; reading it as what it should be says what is wrong.
    """
    report = Unheard()
    source = read_source(path, report)
    root = compose(source, report) if source else None
    keys = set(root.entries) if isinstance(root, Fields) else set()
    return "exercises" not in keys and bool({"label", "routine"} & keys)


class _Reading:
    def __init__(
        self, path: Path, routine: Routine | None, *, written: tuple[Source, Node] | None = None
    ) -> None:
        self._path = path
        self._written = written
        self._report = Report()
        self._routine = routine
        self._of_routine: tuple[Problem, ...] = ()

    def settled(self) -> tuple[Patient, Routine]:
        """The patient and the routine, or everything that is wrong with either."""
        problems: tuple[Problem, ...] = ()
        try:
            patient = self._report.settle(self._patient)
        except InputProblems as found:
            problems = found.problems
        if problems or self._of_routine or self._routine is None:
            raise InputProblems((*problems, *self._of_routine))
        return patient, self._routine

    def _patient(self) -> Patient:
        report = self._report
        nobody = Patient(label="", file=str(self._path), sha256="")
        source, root = self._written or self._opened()
        if source is None or _nothing(root, source, report) or root is None:
            return nobody
        reader = Reader(report, source.folder)
        section = reader.section(
            Value(node=root, path=""),
            "a patient file",
            valid=PATIENT_KEYS,
            required=("label",),
            elsewhere=_ELSEWHERE,
        )
        if section is None:
            return nobody
        routine_path = self._find_routine(reader, section)
        patient = self._particulars(reader, section, source, routine_path)
        if self._routine is not None:
            check_all(report, self._routine, patient)
        return patient

    def _opened(self) -> tuple[Source | None, Node | None]:
        source = read_source(self._path, self._report)
        return source, compose(source, self._report) if source else None

    def _find_routine(self, reader: Reader, section: Section) -> Path | None:
        """The routine's path; the routine is read unless one was given."""
        value = section.get("routine")
        name = reader.text(value)
        if value is None and self._routine is None:
            remedy = "Write the routine's file, as in `routine: routine.yaml`."
            reader.missing(section, "routine", "a patient file", remedy)
        if value is None or not name:
            return None
        path = reader.home / name
        if self._routine is None:
            try:
                self._routine = read_routine(path, named_at=value.place)
            except InputProblems as found:
                self._of_routine = found.problems
        return path

    def _particulars(
        self, reader: Reader, section: Section, source: Source, routine_path: Path | None
    ) -> Patient:
        get, routine = section.get, self._routine
        if routine is not None:
            reader.known = reader.known.with_own(routine.tags, routine.targets)
        tags = read_declared(reader, get("tags"), "tags")
        reader.known = reader.known.with_own(tags)
        exercises = (*routine.exercises, *routine.alternatives) if routine else None
        first, only, extra = _sides(reader, get("sides"))
        hearing, background = read_listening(reader, section)
        return Patient(
            label=_label(reader, get("label")),
            file=source.name,
            sha256=source.sha256,
            routine=routine_path,
            greeting=read_line(reader, get("greeting"), no_side=NO_SIDE_IN_ROUTINE),
            length_ms=read_length(reader, get("length")),
            voice=read_code(reader, get("voice"), CODE, "", "`calm`") or None,
            hearing=hearing,
            background=background,
            first_side=first,
            only_side=only,
            extra_set=extra,
            avoid=_avoid(reader, get("avoid"), strict=routine is not None),
            conditions=_conditions(reader, get("conditions")),
            pain_limit=_pain_limit(reader, get("pain limit"), routine),
            cautions=read_lines(reader, get("cautions"), no_side=NO_SIDE_IN_ROUTINE),
            changes=read_changes(reader, get("changes")),
            coaching=reader.choice(get("coaching"), Coaching),
            helper=reader.yes(get("helper")),
            accepted=read_accepted(reader, get("accept"), exercises),
            weeks=read_weeks(reader, get("weeks")),
            tags=tags,
            places=reader.places,
        )


def _nothing(root: object, source: Source, report: Report) -> bool:
    """Whether the file holds nothing, which is reported."""
    empty = isinstance(root, Text) and root.empty
    if empty or (root is None and not len(report)):
        remedy = "Begin it with `label:` and `routine:`."
        report.add(Rule.EMPTY_FILE, "there is nothing in the file", source.place(1, 1), remedy)
    return empty


def _label(reader: Reader, value: Value | None) -> str:
    text = reader.text(value, most=MOST_LINE)
    if value is None or not text:
        return text
    code = "Write a code that only you can tell apart, such as `R-204`."
    alike = "a name" if " " in text or _looks_like_name(text) else ""
    if alike or _DATE.fullmatch(text):
        message = f"this label looks like {alike or 'a date'}, and it would stand in file names"
        reader.wrong(value, Rule.LABEL_NAME, message, code)
    elif len(text) > MOST_LABEL:
        message = f"this label has {len(text)} characters; at most {MOST_LABEL} fit a file name"
        reader.wrong(value, Rule.TOO_LONG, message, code)
    elif not _LABEL.fullmatch(text):
        message = "a label has letters (A to Z), digits, hyphens and dots, and begins and ends"
        reader.wrong(value, Rule.LABEL, f"{message} with a letter or a digit", code)
    return text


def _looks_like_name(label: str) -> bool:
    """Whether a label is a word like a first name, or two words like a first and a last name.

    Two words with the capitals of names are one even with digits behind; two words of any
    sort are one without digits.  In capitals throughout a word is like a name from four
    letters on: fewer are initials or a code.
    """
    digits = any(char.isdigit() for char in label)
    words = [word for word in _PARTS.findall(label) if len(word) > 1]
    titles = [
        word
        for word in words
        if word[0].isupper() and (word[1:].islower() or len(word) >= _NAME_IN_CAPITALS)
    ]
    if len(titles) >= 2:
        return True
    return not digits and (len(words) >= 2 or bool(titles))


def _sides(reader: Reader, value: Value | None) -> tuple[Side | None, Side | None, Side | None]:
    """The side that comes first, the only side, and the side with a set more."""
    if value is None or isinstance(value.node, Broken):
        return None, None, None
    section = reader.section(value, "`sides`", valid=("first", "only", "extra set"))
    if section is None:
        return None, None, None
    if isinstance(value.node, Fields) and not value.node.entries:
        reader.wrong(value, Rule.EMPTY_VALUE, "`sides` says nothing")
    for key in ("first", "extra set"):
        if "only" in section.values and key in section.values:
            message = f"`{key}` says nothing beside `only`: one side alone works"
            reader.wrong(section.values[key], Rule.CONTRADICTION, message, "Take one of them out.")
    first, only, extra = (
        reader.choice(section.get(key), Side) for key in ("first", "only", "extra set")
    )
    return first, only, extra


def _pain_limit(reader: Reader, value: Value | None, routine: Routine | None) -> int | None:
    """The patient's own limit, which may be lower than the routine's and never higher."""
    own = read_pain_limit(reader, value)
    if value is None or own is None or routine is None or own <= (routine.pain_limit or 0):
        return own
    if routine.pain_limit:
        message = f"the routine's pain limit is {routine.pain_limit}"
        remedy = f"Write {routine.pain_limit} or less."
    else:
        message = "without a pain limit in the routine no pain is acceptable"
        remedy = f"Leave it out; or write `pain limit: {own}` in the routine, for all who get it."
    message = f"{message}; a patient file may only lower it"
    reader.wrong(value, Rule.CONTRADICTION, message, remedy)
    return own


def _conditions(reader: Reader, value: Value | None) -> tuple[str, ...]:
    """The patient's conditions, of those there are words of caution for."""
    valid = reader.known.conditions
    found: list[str] = []
    for item in reader.items(value):
        for text in reader.texts(item):
            name = text.casefold().strip()
            if name in valid:
                found.append(name)
            else:
                message = f"`{short(text)}` is no condition there are words of caution for"
                meant = choice_meant(text, valid)
                remedy = f"Did you mean `{meant}`?" if meant else did_you_mean(text, valid)
                remedy = in_a_list(text, valid, item.place.file) or remedy
                reader.wrong(item, Rule.UNKNOWN_TAG, message, remedy)
    return tuple(dict.fromkeys(found))


def _avoid(reader: Reader, value: Value | None, *, strict: bool) -> tuple[str, ...]:
    """The tags to avoid, each once, with their places by its index.

    Unless ``strict``, the routine's own tags are not known, and any word will do.
    """
    tags: list[str] = []
    for item in reader.items(value):
        for tag in read_tags(reader, item) if strict else reader.texts(item):
            if tag not in tags:
                reader.places[f"avoid[{len(tags)}]"] = item.place
                tags.append(tag)
    return tuple(tags)
