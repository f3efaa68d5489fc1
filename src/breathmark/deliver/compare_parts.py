"""The parts of a record compared, each in the words of its trade.

Every function here takes what the record before and the record now say, which differ, and
gives sentences.  A part that is missing, or not of its kind, counts as empty.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from typing import Any, Final

from breathmark.deliver.compare_words import (
    as_list,
    as_map,
    changed,
    clock,
    gained,
    maps,
    quoted,
    shown,
    was,
)
from breathmark.deliver.record import PICTURE_KEY

Part = Callable[[Any, Any], Iterator[str]]
_Key = tuple[str, ...]

_TOTALS: Final = {
    "work": "Work",
    "work_left": "Work on the left",
    "work_right": "Work on the right",
    "rest": "Rest",
    "lead_in": "Getting ready",
    "around": "Opening and closing",
    "talking": "Talking",
}


def single(what: str) -> Part:
    """One value of the record."""
    return lambda before, now: iter([was(what, quoted(before), quoted(now))])


def lines(what: str) -> Part:
    """A list of lines: which are gone, which are new."""
    return lambda before, now: gained(what, _texts(before), _texts(now))


def left_out(before: Any, now: Any) -> Iterator[str]:
    """What there is no room to say, and what there is room for now."""
    one, other = _texts(before), _texts(now)
    yield from (f"No longer: {text}" for text in dict.fromkeys(one) if text not in other)
    yield from (f"Now: {text}" for text in dict.fromkeys(other) if text not in one)


def routine(before: Any, now: Any) -> Iterator[str]:
    """The routine's file."""
    return _file("The routine's file", as_map(before), as_map(now))


def patient(before: Any, now: Any) -> Iterator[str]:
    """The patient's label and file."""
    if not as_map(before) or not as_map(now):
        old, new = ("for a patient" if one else "for everybody" for one in (before, now))
        yield f"Made {old} before, {new} now."
        return
    one, other = as_map(before), as_map(now)
    yield from changed("Label", one.get("label"), other.get("label"))
    yield from _file("The patient's file", one, other)


def _file(what: str, before: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[str]:
    yield from changed(f"{what}, name", before.get("file"), now.get("file"))
    if before.get("sha256") != now.get("sha256"):
        yield f"{what} says something else now: its check sum differs."
    known = {"file", "sha256", "label"}
    for key in {**before, **now}:
        if key not in known:
            yield from changed(f"{what}, {shown(key)}", before.get(key), now.get(key))


def length(before: Any, now: Any) -> Iterator[str]:
    """How long the recording is; sample counts where the clock does not tell them apart."""
    one, other = as_map(before), as_map(now)
    if clock(one.get("ms")) != clock(other.get("ms")):
        yield was("Length", clock(one.get("ms")), clock(other.get("ms")))
    else:
        yield from changed("Length", one, other)


def voices(before: Any, now: Any) -> Iterator[str]:
    """The voices, then versions and settings of those that are in both."""
    one, other = _by(before, ("voice",)), _by(now, ("voice",))
    yield from gained("Voice", [" ".join(key) for key in one], [" ".join(key) for key in other])
    for key in [key for key in one if key in other]:
        yield from changed(f"Voice {key[0]}", one[key], other[key])


def exercises(before: Any, now: Any) -> Iterator[str]:
    """Exercises gone and new with their dose, their order, then each that changed."""
    one, other = _by(before, ("name",)), _by(now, ("name",))
    yield from (f"Exercise gone: {_named(one[key])}." for key in one if key not in other)
    yield from (f"Exercise new: {_named(other[key])}." for key in other if key not in one)
    both = [key for key in one if key in other]
    order = [key for key in other if key in one]
    if both != order:
        listed = ", ".join(_name(other[key]) for key in order)
        yield f"The order changed; it is now: {listed}."
    for key in order:
        yield from _exercise(_name(other[key]), one[key], other[key])
    yield from _lasting([(_name(other[key]), one[key], other[key]) for key in order])


def _exercise(name: str, before: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[str]:
    apart = {"name", "start_ms", "length_ms"}
    for key in {**before, **now}:
        told = key == "sets" and before.get("dose") != now.get("dose")  # the dose tells it
        if key == PICTURE_KEY:
            yield from _picture(name, before.get(key), now.get(key))
        elif key not in apart and not told:
            yield from changed(f"{name}, {shown(key)}", before.get(key), now.get(key))


def _picture(name: str, before: Any, now: Any) -> Iterator[str]:
    if before != now:
        news = "another picture" if before and now else "a picture" if now else "no picture"
        yield f"{name} has {news} now."


def _lasting(pairs: list[tuple[str, Mapping[str, Any], Mapping[str, Any]]]) -> Iterator[str]:
    """One sentence on the chapters that take another time, rests and set-ups included."""
    told = [
        f"{name} {times[0]} before, {times[1]} now"
        for name, before, now in pairs
        if (times := (clock(before.get("length_ms")), clock(now.get("length_ms"))))
        and times[0] != times[1]
    ]
    if told:
        yield f"Time with everything around it: {'; '.join(told)}."


def changes(before: Any, now: Any) -> Iterator[str]:
    """What was changed for the patient, by its sentence."""
    return gained("Change", _sentences(before), _sentences(now))


def _sentences(value: Any) -> list[str]:
    return [shown(one.get("sentence")) for one in maps(value)]


def dose(before: Any, now: Any) -> Iterator[str]:
    """The dose of each target and side in a session, then the guidance it moved against."""
    one, other = as_map(before), as_map(now)
    yield from changed("Days a week", one.get("days_a_week"), other.get("days_a_week"))
    yield from changed("Times a day", one.get("times_a_day"), other.get("times_a_day"))
    old, new = _by(one.get("targets"), ("target",)), _by(other.get("targets"), ("target",))
    for key in {**old, **new}:
        yield from _target(" ".join(key), old.get(key, {}), new.get(key, {}))
    keys = ("guide", "of", "side")
    verdicts, now_verdicts = _by(one.get("guidance"), keys), _by(other.get("guidance"), keys)
    for guide, said in now_verdicts.items():
        if said.get("verdict") != verdicts.get(guide, {}).get("verdict"):
            yield f"Beside the guidance now: {shown(said.get('words'))}"


def _target(name: str, before: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[str]:
    """Each amount that differs; one sentence where it does so alike on both sides.

    A target that is gone or new has one sentence for all its amounts.
    """
    sides = {side: list(_amounts(before.get(side), now.get(side))) for side in ("left", "right")}
    if sides["left"] == sides["right"]:
        sides = {"each side": sides["left"]}
    for side, told in sides.items():
        if told and not (before and now):
            listed = ", ".join(f"{amount} {new if now else old}" for amount, old, new in told)
            yield f"{name}, {side}, {'new' if now else 'gone'}: {listed} in a session."
            continue
        for amount, old, new in told:
            yield was(f"{name}, {side}, {amount} in a session", old, new)


def _amounts(before: Any, now: Any) -> Iterator[tuple[str, str, str]]:
    old, new = as_map(as_map(before).get("session")), as_map(as_map(now).get("session"))
    for amount in {**old, **new}:
        words = clock if amount.endswith("_ms") else shown
        one, other = old.get(amount, 0), new.get(amount, 0)
        if one != other:
            yield shown(amount).removesuffix("_ms"), words(one), words(other)


def totals(before: Any, now: Any) -> Iterator[str]:
    """How the session's time is spent."""
    one, other = as_map(before), as_map(now)
    for key in {**one, **other}:
        times = clock(one.get(key)), clock(other.get(key))
        if times[0] != times[1]:
            yield was(f"{_TOTALS.get(key, shown(key))} in all", *times)


def findings(before: Any, now: Any) -> Iterator[str]:
    """What a colleague would remark, and what was accepted with which reason."""
    return gained("Remark", _remarks(before), _remarks(now))


def _remarks(value: Any) -> list[str]:
    said = []
    for one in maps(value):
        text = f"{shown(one.get('message'))} [{shown(one.get('check'))}]"
        because = one.get("accepted_because")
        said.append(f"{text}, accepted: {shown(because)}" if because else text)
    return said


def checks(before: Any, now: Any) -> Iterator[str]:
    """Checks of the finished files that turned out otherwise; how many came and went."""
    one, other = _by(before, ("check", "file")), _by(now, ("check", "file"))
    for key in {**one, **other}:
        old, new = _verdict(one.get(key)), _verdict(other.get(key))
        if old != new and "failed" in (old, new):
            yield was(f"Check {' of '.join(key[:2])}", old, new)
    passed = [_passed(one, other), _passed(other, one)]
    for told, files_of in zip(("gone", "new, all passed"), passed, strict=True):
        if files_of:
            listed = ", ".join(f"{number} of {file}" for file, number in files_of.items())
            yield f"Checks {told}: {listed}."


def _passed(checks: Mapping[_Key, Mapping[str, Any]], others: Mapping[_Key, Any]) -> Counter[str]:
    """How many checks passed, file by file, that the other record does not have."""
    return Counter(
        key[1] for key, check in checks.items() if key not in others and _verdict(check) == "passed"
    )


def _verdict(check: Mapping[str, Any] | None) -> str:
    if check is None:
        return "not made"
    return "passed" if check.get("passed") is True else "failed"


def files(before: Any, now: Any) -> Iterator[str]:
    """Files gone and new, files with other bytes, and files that are the same."""
    one, other = as_map(before), as_map(now)
    both = [name for name in one if name in other]
    same = [name for name in both if _sum(one[name]) == _sum(other[name])]
    groups = {
        "Files gone": [name for name in one if name not in other],
        "Files new": [name for name in other if name not in one],
        "Files that differ": [name for name in both if name not in same],
        "Files that are the same, byte for byte": same,
    }
    for told, names in groups.items():
        if names:
            yield f"{told}: {', '.join(map(shown, names))}."


def _sum(described: Any) -> str:
    return shown(as_map(described).get("sha256"))


def _by(value: Any, keys: tuple[str, ...]) -> dict[_Key, Mapping[str, Any]]:
    """The mappings of a list by what tells them apart; the second alike is numbered."""
    found: dict[_Key, Mapping[str, Any]] = {}
    count: Counter[_Key] = Counter()
    for one in maps(value):
        key = tuple(shown(one.get(name)) for name in keys)
        count[key] += 1
        found[(*key, str(count[key])) if count[key] > 1 else key] = one
    return found


def _texts(value: Any) -> list[str]:
    return [shown(one) for one in as_list(value)]


def _name(exercise: Mapping[str, Any]) -> str:
    return shown(exercise.get("name"))


def _named(exercise: Mapping[str, Any]) -> str:
    return f"{_name(exercise)} ({shown(exercise.get('dose'))})"
