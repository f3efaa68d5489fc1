"""A patient's particulars, as the clinician wrote them: frozen, and valid once built."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from breathmark.problems import Place
from breathmark.routine.listening import Background, Hearing
from breathmark.routine.model import (
    Accepted,
    Coaching,
    ExerciseChange,
    Side,
    Week,
    nearest_place,
)
from breathmark.routine.tags import Pairs


@dataclass(frozen=True, kw_only=True, slots=True)
class Patient:
    """A patient file.

    ``label`` is a code, never a name: it stands in file names and tags.  ``greeting`` may
    hold a first name: it is spoken and printed, and kept nowhere else.  ``routine`` is the
    routine's path as it can be opened.  What is ``None`` is left to the routine.
    """

    label: str
    file: str
    sha256: str
    routine: Path | None = None
    greeting: str = ""
    length_ms: int | None = None
    voice: str | None = None
    hearing: Hearing | None = None
    background: Background | None = None
    first_side: Side | None = None
    only_side: Side | None = None
    extra_set: Side | None = None
    avoid: tuple[str, ...] = ()
    conditions: tuple[str, ...] = ()
    pain_limit: int | None = None
    cautions: tuple[str, ...] = ()
    changes: tuple[ExerciseChange, ...] = ()
    coaching: Coaching | None = None
    helper: bool = False
    accepted: tuple[Accepted, ...] = ()
    weeks: tuple[Week, ...] = ()
    tags: Pairs = ()
    places: Mapping[str, Place] = field(default_factory=dict, compare=False, repr=False)

    def place(self, path: str) -> Place:
        """Where ``path`` stands in the file, or its nearest enclosing field."""
        return nearest_place(self.places, path, self.file)
