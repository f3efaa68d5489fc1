"""``breathmark exercises``: the shared exercises, searched through and shown."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from breathmark.problems import UsageProblem, did_you_mean, nearest
from breathmark.routine.avoiding import POSITION_TAGS, avoided
from breathmark.routine.exercise import folded
from breathmark.routine.library import STARTER_FOLDER, Library, read_library
from breathmark.routine.model import Exercise, Position
from breathmark.routine.tags import KnownWords, published, same_word

NOTHING = "nothing"
"""The equipment that everybody has."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Shared:
    """An exercise with the library it stands in, and the regions of the body it is for.

    ``own`` tells the clinician's libraries from the starter library.
    """

    exercise: Exercise
    library: Library
    regions: tuple[str, ...]
    own: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Sought:
    """What an exercise must be like; of several words in one field, any will do.

    ``equipment`` is all that is at hand; ``None`` asks nothing.  What involves anything of
    ``avoid`` is left out.
    """

    regions: tuple[str, ...] = ()
    positions: tuple[str, ...] = ()
    targets: tuple[str, ...] = ()
    equipment: tuple[str, ...] | None = None
    avoid: tuple[str, ...] = ()


def shelf(own: Sequence[Path] = ()) -> tuple[Shared, ...]:
    """The exercises of the clinician's libraries, then those of the starter library.

    As in a routine, the first of a name is the one that counts.  Raises
    :class:`~breathmark.problems.InputProblems` for a library that is wrong.
    """
    found: dict[str, Shared] = {}
    for path in (*own, *sorted(STARTER_FOLDER.glob("*.yaml"))):
        library = read_library(path)
        for exercise in library.exercises:
            shared = Shared(
                exercise=exercise,
                library=library,
                regions=_regions(exercise, library),
                own=path in own,
            )
            found.setdefault(folded(exercise.name), shared)
    return tuple(found.values())


def words_of_shelf(exercises: Iterable[Shared]) -> KnownWords:
    """The published words and those that the libraries declare."""
    known = published()
    for library in {id(one.library): one.library for one in exercises}.values():
        known = known.with_own(library.tags, library.targets)
    return known


def search(exercises: Sequence[Shared], sought: Sought) -> tuple[Shared, ...]:
    """The exercises that are like what is sought.

    Raises :class:`UsageProblem` for a word that means nothing here, naming the nearest.
    """
    wanted = as_listed(exercises, sought)
    return tuple(one for one in exercises if _suits(one, wanted))


def as_listed(exercises: Sequence[Shared], sought: Sought) -> Sought:
    """What is sought, in the words as they are spelled in their lists.

    Raises :class:`UsageProblem` for a word that means nothing here, naming the nearest.
    """
    known = words_of_shelf(exercises)
    pieces = {piece for one in exercises for piece in one.exercise.equipment}
    return Sought(
        regions=_spelled("region", sought.regions, (*known.regions, *_own_regions(exercises))),
        positions=_spelled("position", _positions(sought.positions), list(Position)),
        targets=_spelled("target", sought.targets, known.targets),
        equipment=None
        if sought.equipment is None
        else _spelled("equipment", sought.equipment, (NOTHING, *known.equipment, *sorted(pieces))),
        avoid=_spelled("tag", sought.avoid, known.tags),
    )


def what_lacks(exercises: Sequence[Shared], sought: Sought) -> tuple[tuple[str, ...], int]:
    """The equipment to add so that something is found, and how much is found with it.

    The fewest pieces that help, of these the ones that help most.  Nothing and 0 when no
    equipment would help.
    """
    others = search(exercises, replace(sought, equipment=None))
    have = set(as_listed(exercises, sought).equipment or ())
    lacks = {tuple(piece for piece in one.exercise.equipment if piece not in have)
             for one in others}  # fmt: skip
    if sought.equipment is None or not lacks:
        return (), 0
    found = {more: _with_more(others, have | set(more)) for more in lacks}
    best = min(found, key=lambda more: (len(more), -found[more], more))
    return best, found[best]


def _with_more(exercises: Iterable[Shared], have: set[str]) -> int:
    return sum(set(one.exercise.equipment) <= have for one in exercises)


def find(exercises: Sequence[Shared], name: str) -> Shared:
    """The exercise of that name; :class:`UsageProblem` naming the nearest when there is none."""
    for one in exercises:
        if folded(one.exercise.name) == folded(name):
            return one
    close = nearest(name, (one.exercise.name for one in exercises))
    parts = [one.exercise.name for one in exercises if folded(name) in folded(one.exercise.name)]
    parts = parts or ([close] if close else [])
    remedy = f"Did you mean `{'` or `'.join(parts)}`?"
    remedy = remedy if parts else "`breathmark exercises` lists them all."
    raise UsageProblem(f"there is no exercise `{name}`. {remedy}")


def _regions(exercise: Exercise, library: Library) -> tuple[str, ...]:
    """The library's region first, then those of the targets."""
    targets = published().targets
    regions = [library.region, *(targets[one].region for one in exercise.targets if one in targets)]
    return tuple(dict.fromkeys(region for region in regions if region))


def _own_regions(exercises: Iterable[Shared]) -> Iterator[str]:
    yield from dict.fromkeys(region for one in exercises for region in one.regions)


def _spelled(what: str, words: Iterable[str], valid: Iterable[str]) -> tuple[str, ...]:
    """The words as they are spelled in their list."""
    choices = tuple(dict.fromkeys(valid))
    found = []
    for word in words:
        spelled = next((choice for choice in choices if same_word(choice, word)), None)
        if spelled is None:
            begun = word.strip().lower()
            parts = [one for one in choices if begun in one.split()]
            if len(begun) >= 4:
                parts = parts or [one for one in choices if f" {one}".find(f" {begun}") >= 0]
            remedy = f"Did you mean `{'` or `'.join(parts)}`?" if parts else ""
            remedy = remedy or did_you_mean(word, choices)
            raise UsageProblem(f"there is no {what} `{word}`. {remedy}")
        found.append(spelled)
    return tuple(found)


def _suits(one: Shared, sought: Sought) -> bool:
    exercise = one.exercise
    position = exercise.position.value if exercise.position else ""
    return (
        _any(one.regions, sought.regions)
        and _any((position,), sought.positions)
        and _any(exercise.targets, sought.targets)
        and (sought.equipment is None or set(exercise.equipment) <= set(sought.equipment))
        and not avoided(exercise, sought.avoid)
    )


def _positions(words: Iterable[str]) -> Iterator[str]:
    """The words, and for those that say what a position involves, the position."""
    said = {tag: position.value for position, tag in POSITION_TAGS.items()}
    for word in words:
        known = any(same_word(word, position) for position in Position)
        yield word if known else said.get(folded(word), word)


def _any(has: Iterable[str], wanted: Sequence[str]) -> bool:
    return not wanted or any(same_word(one, other) for one in has for other in wanted)
