"""What a check is, what it looks at and what it says."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace

from breathmark.dose.checks.lines import Line
from breathmark.dose.totals import DoseTotals, dose_totals
from breathmark.problems import Place, Severity
from breathmark.routine.model import Exercise, Routine


@dataclass(frozen=True, kw_only=True, slots=True)
class Subject:
    """A routine with everything that checks want to know about it.

    ``avoid`` is what the patient must not do, ``conditions`` what the patient has, both
    in lower case; ``session_length_ms`` is the planned length, ``None`` when unknown;
    ``sides_decided`` says that the patient's file asks for one side only.
    """

    routine: Routine
    totals: DoseTotals
    avoid: frozenset[str] = frozenset()
    conditions: tuple[str, ...] = ()
    session_length_ms: int | None = None
    sides_decided: bool = False

    @classmethod
    def of(
        cls,
        routine: Routine,
        *,
        avoid: Iterable[str] = (),
        conditions: Iterable[str] = (),
        session_length_ms: int | None = None,
        sides_decided: bool = False,
    ) -> Subject:
        """The subject for a routine; without a planned length the routine's own counts."""
        length_ms = routine.length_ms if session_length_ms is None else session_length_ms
        return cls(
            routine=routine,
            totals=dose_totals(routine),
            avoid=frozenset(word.casefold() for word in avoid),
            conditions=tuple(dict.fromkeys(word.casefold() for word in conditions)),
            session_length_ms=length_ms,
            sides_decided=sides_decided,
        )

    @property
    def english(self) -> bool:
        """Whether the words are English, so that checks of single words apply."""
        return self.routine.language.split("-")[0] == "en"

    @property
    def every_exercise(self) -> tuple[Exercise, ...]:
        """The exercises and the alternatives: all that may be said to a patient."""
        return (*self.routine.exercises, *self.routine.alternatives)


@dataclass(frozen=True, kw_only=True, slots=True)
class Finding:
    """One thing a check has to say: about the field at ``path``, or a ``word`` in it.

    ``exercise`` is the one it is about, ``None`` for the routine as a whole.
    """

    path: str
    message: str
    remedy: str
    exercise: Exercise | None = None
    word: str = ""

    @classmethod
    def in_line(cls, line: Line, message: str, remedy: str, word: str = "") -> Finding:
        """A finding about a spoken line, or about a word in it."""
        return cls(
            path=line.path, message=message, remedy=remedy, exercise=line.exercise, word=word
        )

    def place(self, routine: Routine) -> Place:
        """Where it stands: the word when it is on the field's own line, else the field."""
        place = routine.place(self.path)
        start = place.column - 1
        at = place.text.find(self.word, start) if self.word else -1
        if at < start:
            return place
        return replace(place, column=at + 1, width=len(self.word))


@dataclass(frozen=True, kw_only=True, slots=True)
class Check:
    """A rule: its id, how much it weighs, what it says in one line, and how it finds.

    ``english`` marks a check of English words, left out for other languages;
    ``acceptable`` says whether `accept` in the routine may silence it; ``of_session``
    marks a check whose findings come and go with the patient and the planned length.
    """

    id: str
    severity: Severity
    says: str
    find: Callable[[Subject], Iterator[Finding]]
    english: bool = False
    acceptable: bool = True
    of_session: bool = False
