"""What tailoring did to a routine: each change as data, with a sentence a clinician reads."""

from __future__ import annotations

import enum
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from breathmark.problems import Place
from breathmark.routine.model import ExerciseChange


class ChangeKind(enum.StrEnum):
    """The sorts of changes, in the order in which they are made."""

    SKIPPED = "skipped"
    REPLACED = "replaced"
    LEFT_OUT = "left out"
    EQUIPMENT = "equipment"
    VERSION = "version"
    OFFER_DROPPED = "offer dropped"
    DOSE = "dose"
    REST = "rest"
    SIDE = "side"
    EXTRA_SET = "extra set"
    LENGTH = "length"
    VOICE = "voice"
    HEARING = "hearing"
    BACKGROUND = "background"
    COACHING = "coaching"
    CAUTION = "caution"
    PAIN_LIMIT = "pain limit"
    NOT_APPLIED = "not applied"
    NOT_KNOWN = "not known"


@dataclass(frozen=True, kw_only=True, slots=True)
class Change:
    """One thing that differs from the routine as written.

    ``exercise`` is empty for what concerns the whole session; ``before`` and ``after``
    are what was written and what stands now, in words; ``place`` is where it was asked for.
    """

    kind: ChangeKind
    sentence: str
    place: Place
    exercise: str = ""
    before: str = ""
    after: str = ""
    because: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Origin:
    """Who asks for a change, in words, and where its fields stand.

    ``patient`` tells the patient's file from the routine's own weeks; ``from_week`` is the
    week that it counts from.
    """

    asker: str
    place: Callable[[str], Place]
    patient: bool
    from_week: int = 1

    @property
    def words(self) -> str:
        """For the end of a sentence: ``as the patient file asks``."""
        return f"as {self.asker} asks"


@dataclass(frozen=True, kw_only=True, slots=True)
class Wish:
    """A change of an exercise with its origin."""

    change: ExerciseChange
    origin: Origin

    @property
    def place(self) -> Place:
        """Where the exercise is named."""
        return self.origin.place(self.change.path)

    def place_of(self, key: str) -> Place:
        """Where one key of the change stands."""
        return self.origin.place(f"{self.change.path}.{key}")


def listed(words: Iterable[str]) -> str:
    """Words as a person lists them.

    >>> listed(["standing", "kneeling", "gripping"])
    'standing, kneeling and gripping'
    """
    *first, last = words
    return f"{', '.join(first)} and {last}" if first else last
