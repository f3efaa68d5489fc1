"""One exercise, from its mapping to the model."""

from __future__ import annotations

import os

from breathmark.routine.amounts import Limits
from breathmark.routine.doses import ALL_DOSE_KEYS, DOSE_KEYS, PAIRED, read_dose
from breathmark.routine.everyday import NO_EXERCISE_KEY, is_answer
from breathmark.routine.model import (
    Calls,
    ChangeSides,
    Dose,
    Exercise,
    Kind,
    PauseDose,
    Position,
    Rests,
    Side,
    Sides,
    Variation,
)
from breathmark.routine.nodes import Broken, Fields
from breathmark.routine.reader import MOST_NAME, Reader, Section, Value
from breathmark.routine.rules import Rule
from breathmark.routine.source import is_file, near
from breathmark.routine.tags_reading import read_tags, read_targets
from breathmark.routine.words import check_braces, read_cues, read_line, read_lines
from breathmark.units import Ranged

EXERCISE_KEYS = (
    "name", "kind", "position", "targets", "sides", "change sides", "first side",
    *ALL_DOSE_KEYS,
    "setup", "cues", "feel", "easier", "harder", "breathe", "helper", "calls",
    "involves", "instead", "optional", "equipment", "picture", "rests", "quiet",
)  # fmt: skip
"""Every key of an exercise; `use` comes beside them in a routine."""

ELSEWHERE = dict.fromkeys(
    (
        "title", "length", "language", "voice", "about", "frequency", "cautions", "opening",
        "closing", "exercises", "alternatives", "library", "accept", "tags", "weeks",
    ),
    "the routine, at the left edge of the file",
) | {"use": "a routine; a library writes its exercises out", **NO_EXERCISE_KEY}  # fmt: skip
"""Keys that an exercise has not, and where they belong."""

REST = Limits(low=0, high=600_000, or_none=True)
"""What a rest may be."""

NO_SIDES = (Kind.BREATHING, Kind.PAUSE)
"""Kinds that have no sides."""

_CALLS = {
    "out": Kind.REPS, "hold": Kind.REPS, "back": Kind.REPS,
    "contract": Kind.CONTRACT_RELAX, "relax": Kind.CONTRACT_RELAX,
    "stretch": Kind.CONTRACT_RELAX,
}  # fmt: skip
_UNREAD = PauseDose(time_ms=Ranged.fixed(1_000))  # stands in until the problems are raised


def read_exercise(reader: Reader, value: Value) -> Exercise | None:
    """The exercise in a mapping; ``None`` when it is no mapping or has no name.

    Where something is wrong, that is reported and the exercise is a stand-in.
    """
    section = reader.section(value, "an exercise", valid=EXERCISE_KEYS, elsewhere=ELSEWHERE)
    if section is None:
        return None
    kind = _kind(reader, section)
    sides = _sides(reader, section, kind)
    no_side = _why_no_side(kind, sides)
    dose = read_dose(reader, section, kind, sides) if kind else None
    name = _name(reader, section)
    get = section.get
    exercise = Exercise(
        name=name,
        kind=kind or Kind.PAUSE,
        dose=dose or _UNREAD,
        path=value.path,
        position=reader.choice(get("position"), Position),
        targets=read_targets(reader, get("targets")),
        sides=sides or Sides.BOTH,
        change_sides=reader.choice(get("change sides"), ChangeSides) or ChangeSides.EVERY_SET,
        first_side=reader.choice(get("first side"), Side),
        setup=read_lines(reader, get("setup"), no_side=no_side),
        cues=read_cues(reader, get("cues"), no_side=no_side),
        feel=read_lines(reader, get("feel"), no_side=no_side),
        breathe=read_lines(reader, get("breathe"), no_side=no_side),
        helper=_helper(reader, get("helper"), no_side),
        calls=_calls(reader, get("calls"), kind, no_side),
        easier=_variation(reader, section, "easier", kind, sides, no_side),
        harder=_variation(reader, section, "harder", kind, sides, no_side),
        involves=read_tags(reader, get("involves")),
        instead=reader.text(get("instead"), most=MOST_NAME) or None,
        optional=reader.yes(get("optional")),
        equipment=reader.texts(get("equipment")),
        picture=_picture(reader, get("picture")),
        rests=read_rests(reader, get("rests")),
        quiet=reader.yes(get("quiet")),
    )
    return exercise if name else None


def _helper(reader: Reader, value: Value | None, no_side: str) -> tuple[str, ...]:
    lines = read_lines(reader, value, no_side=no_side)
    if value is not None and len(lines) == 1 and is_answer(lines[0]):
        message = "`helper` at an exercise holds what is said to the helper"
        remedy = "Write the words, such as `Stand on the left side.`; `helper: yes` says in a"
        reader.wrong(value, Rule.NOT_A_CHOICE, message, f"{remedy} patient file that one is there.")
        return ()
    return lines


def folded(name: str) -> str:
    """A name as names are compared: blanks tidied, capitals ignored."""
    return " ".join(name.split()).casefold()


def _name(reader: Reader, section: Section) -> str:
    value = section.get("name")
    if value is None:
        remedy = "Write what it is called, such as `name: Heel raises`."
        reader.missing(section, "name", "an exercise", remedy)
        return ""
    check_braces(reader, value, "a name is the same for both sides")
    name = reader.text(value, most=MOST_NAME)
    if name and not any(map(str.isalnum, name)):
        message = f"`{name}` is no name that can be said"
        reader.wrong(value, Rule.NOTHING_SAID, message, "Write it in words.")
    return name


def _kind(reader: Reader, section: Section) -> Kind | None:
    value = section.get("kind")
    if value is not None:
        return reader.choice(value, Kind)
    doses = {key for key in section.values if key in ALL_DOSE_KEYS}
    fitting = [kind for kind, keys in DOSE_KEYS.items() if doses and doses <= set(keys)]
    remedy = f"Write one of: {', '.join(Kind)}."
    if fitting:
        remedy = f"With this dose it is {' or '.join(f'`kind: {kind}`' for kind in fitting)}."
    reader.missing(section, "kind", "an exercise", remedy)
    return None


def _sides(reader: Reader, section: Section, kind: Kind | None) -> Sides | None:
    """The sides, ``None`` when they cannot be known; what depends on them is checked."""
    value = section.get("sides")
    if kind in NO_SIDES:
        for key in ("sides", "change sides", "first side"):
            if key in section.values and reader.text(section.values[key]).lower() != Sides.BOTH:
                message = f"`{key}` says nothing here: kind `{kind}` has no sides"
                reader.wrong(section.values[key], Rule.NO_SIDES, message, "Take it out.")
        return Sides.BOTH
    if value is None and kind is None:
        return None
    sides = reader.choice(value, Sides) if value else Sides.BOTH
    if sides is Sides.ALTERNATING and kind not in (Kind.REPS, Kind.FREE, None) and value:
        message = f"only the kinds `reps` and `free` alternate sides, not `{kind}`"
        reader.wrong(value, Rule.OTHER_KIND, message, "Write `sides: each`.")
    meaning = {"change sides": (Sides.EACH,), "first side": (Sides.EACH, Sides.ALTERNATING)}
    for key, fitting in meaning.items():
        if key in section.values and sides is not None and sides not in fitting:
            words = " or ".join(f"`sides: {one}`" for one in fitting)
            message = f"`{key}` says something only with {words}, and here they are `{sides}`"
            reader.wrong(section.values[key], Rule.NO_SIDES, message)
    return sides


def _why_no_side(kind: Kind | None, sides: Sides | None) -> str:
    if kind in NO_SIDES:
        return f"kind `{kind}` has no sides"
    if sides is Sides.BOTH:
        return "both sides work at once unless the exercise says `sides: each`, `left` or `right`"
    if sides is Sides.ALTERNATING:
        return "the sides take turns while the patient moves"
    return ""


def _calls(reader: Reader, value: Value | None, kind: Kind | None, no_side: str) -> Calls:
    if value is None or isinstance(value.node, Broken):
        return Calls()
    section = reader.section(value, "the calls", valid=_CALLS)
    if section is None:
        return Calls()
    calls: dict[str, str] = {}
    for key, call in section.values.items():
        if kind is not None and kind is not _CALLS[key]:
            message = f"the call `{key}` belongs to kind `{_CALLS[key]}`, not to `{kind}`"
            reader.wrong(call, Rule.OTHER_KIND, message)
        calls[key] = read_line(reader, call, no_side=no_side)
    return Calls(**calls)


def _variation(
    reader: Reader,
    section: Section,
    key: str,
    kind: Kind | None,
    sides: Sides | None,
    no_side: str,
) -> Variation | None:
    value = section.get(key)
    if value is None or isinstance(value.node, Broken):
        return None
    if not isinstance(value.node, Fields):
        return Variation(say=read_lines(reader, value, no_side=no_side))
    own = reader.section(value, f"`{key}`", valid=("say", "involves", *ALL_DOSE_KEYS))
    if own is None:
        return None
    if not value.node.entries:
        reader.wrong(value, Rule.EMPTY_VALUE, f"`{key}` has no value")
    changed = {name: one for name, one in own.values.items() if name in ALL_DOSE_KEYS}
    return Variation(
        say=read_lines(reader, own.get("say"), no_side=no_side),
        dose=_changed_dose(reader, section, changed, kind, sides),
        involves=read_tags(reader, own.get("involves")),
        own=tuple(changed),
    )


def _changed_dose(
    reader: Reader,
    section: Section,
    changed: dict[str, Value],
    kind: Kind | None,
    sides: Sides | None,
) -> Dose | None:
    if not changed or kind is None:
        return None
    dropped = {name for pair in PAIRED if pair & changed.keys() for name in pair}
    kept = {name: one for name, one in section.values.items() if name not in dropped}
    whole = Section(path=section.path, place=section.place, values=kept | changed)
    return read_dose(reader, whole, kind, sides)


def _picture(reader: Reader, value: Value | None) -> str | None:
    """The picture's path relative to the reader's home folder."""
    text = reader.text(value)
    if value is None or not text:
        return None
    path = value.node.spot.source.folder / text
    if not is_file(path):
        message = f"there is no picture `{text[:MOST_NAME]}`"
        reader.wrong(value, Rule.MISSING_FILE, message, near(path))
        return None
    if value.node.spot.source.folder == reader.home:
        return text
    try:
        return os.path.relpath(path, reader.home)
    except ValueError:  # on another drive, on Windows
        return str(path.absolute())


def read_rests(reader: Reader, value: Value | None) -> Rests:
    """The rests of an exercise; those that are not written are the routine's."""
    if value is None or isinstance(value.node, Broken):
        return Rests()
    section = reader.section(value, "`rests`", valid=("sets", "sides", "before", "after"))
    if section is None:
        return Rests()
    return Rests(
        sets_ms=reader.amount(section.get("sets"), REST),
        sides_ms=reader.amount(section.get("sides"), REST),
        before_ms=reader.amount(section.get("before"), REST),
        after_ms=reader.amount(section.get("after"), REST),
    )
