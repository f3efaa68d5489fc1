"""The routine as it was written, read and checked: frozen, and valid once built.

Times are whole milliseconds, and the name of the field says so.  Words are kept
as written: making them speakable is the speech room's business.
"""

from __future__ import annotations

import enum
from collections.abc import Mapping
from dataclasses import dataclass, field

from breathmark.problems import Place
from breathmark.routine.tags import Pairs
from breathmark.units import Ranged


class Kind(enum.StrEnum):
    """The timing shapes of an exercise, named as the trade names them."""

    HOLD = "hold"
    REPS = "reps"
    FREE = "free"
    BREATHING = "breathing"
    CONTRACT_RELAX = "contract-relax"
    PAUSE = "pause"


class Sides(enum.StrEnum):
    """Which side works: both at once, each in its turn, one only, or by turns in the set."""

    BOTH = "both"
    EACH = "each"
    LEFT = "left"
    RIGHT = "right"
    ALTERNATING = "alternating"


class Side(enum.StrEnum):
    """A side of the body."""

    LEFT = "left"
    RIGHT = "right"

    @property
    def other(self) -> Side:
        """The opposite side."""
        return Side.RIGHT if self is Side.LEFT else Side.LEFT


class ChangeSides(enum.StrEnum):
    """When ``sides: each`` changes over: after every set, or after all sets of a side."""

    EVERY_SET = "after every set"
    ALL_SETS = "after all sets"


class Position(enum.StrEnum):
    """Body positions, which decide how long getting to the next exercise takes."""

    STANDING = "standing"
    SEATED = "seated"
    SUPINE = "supine"
    PRONE = "prone"
    SIDE_LYING = "side-lying"
    KNEELING = "kneeling"
    HANDS_AND_KNEES = "hands and knees"


class When(enum.StrEnum):
    """In which sets a cue is said; ``FADING`` leaves it to the coaching level."""

    FADING = "fading"
    FIRST_SET = "first set"
    LAST_SET = "last set"
    EVERY_SET = "every set"


class Coaching(enum.StrEnum):
    """How much is said: everything every time, fading, or the first time's essentials."""

    FULL = "full"
    FADING = "fading"
    LIGHT = "light"


@dataclass(frozen=True, kw_only=True, slots=True)
class Cue:
    """A coaching line: what is said, and in which sets."""

    say: str
    when: When = When.FADING


@dataclass(frozen=True, kw_only=True, slots=True)
class HoldDose:
    """Hold the position ``hold_ms``, ``sets`` times (on each side that works)."""

    hold_ms: Ranged
    sets: Ranged


@dataclass(frozen=True, kw_only=True, slots=True)
class Tempo:
    """The four parts of one repetition, in milliseconds; ``out_ms`` is the effort."""

    out_ms: int
    hold_ms: int
    back_ms: int
    pause_ms: int

    @property
    def repetition_ms(self) -> int:
        """How long one repetition takes."""
        return self.out_ms + self.hold_ms + self.back_ms + self.pause_ms


@dataclass(frozen=True, kw_only=True, slots=True)
class RepsDose:
    """``reps`` repetitions at a ``tempo``, ``sets`` times.

    With ``sides: alternating`` the repetitions of both sides are counted together
    and their number is even; with ``sides: each`` they are counted for each side.
    """

    reps: Ranged
    tempo: Tempo
    sets: Ranged


@dataclass(frozen=True, kw_only=True, slots=True)
class FreeDose:
    """Movement at the patient's own pace for ``time_ms`` (on each side that works)."""

    time_ms: Ranged


@dataclass(frozen=True, kw_only=True, slots=True)
class BreathPattern:
    """One breath in milliseconds; the holds are zero unless the author wrote them."""

    in_ms: int
    hold_in_ms: int
    out_ms: int
    hold_out_ms: int

    @property
    def breath_ms(self) -> int:
        """How long one whole breath takes."""
        return self.in_ms + self.hold_in_ms + self.out_ms + self.hold_out_ms


@dataclass(frozen=True, kw_only=True, slots=True)
class BreathingDose:
    """``breaths`` paced breaths of one ``pattern``.

    ``in_time`` says that the author wrote a time; it holds a whole number of breaths.
    """

    breaths: Ranged
    pattern: BreathPattern
    in_time: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class ContractRelaxDose:
    """Contract, relax, stretch (PNF), ``sets`` times."""

    contract_ms: Ranged
    relax_ms: Ranged
    stretch_ms: Ranged
    sets: Ranged


@dataclass(frozen=True, kw_only=True, slots=True)
class PauseDose:
    """Nothing to do for ``time_ms``: water, changing position, walking about."""

    time_ms: Ranged


Dose = HoldDose | RepsDose | FreeDose | BreathingDose | ContractRelaxDose | PauseDose


@dataclass(frozen=True, kw_only=True, slots=True)
class Variation:
    """An easier or harder way: what to say about it, and the dose if it differs.

    ``involves`` is what it involves beside what the exercise does, ``own`` are the keys of
    the dose that its author wrote.
    """

    say: tuple[str, ...] = ()
    dose: Dose | None = None
    involves: tuple[str, ...] = ()
    own: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Calls:
    """The author's own words for the phases of a repetition or of contract-relax.

    An empty text means the built-in word of the language.
    """

    out: str = ""
    hold: str = ""
    back: str = ""
    contract: str = ""
    relax: str = ""
    stretch: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Rests:
    """Rest times in milliseconds; ``None`` on an exercise means the routine's.

    ``before_ms`` is the lead-in: from the end of the exercise before to the start
    tone, with the next name and set-up spoken in it (``exercises`` in the routine's
    own ``rests``, ``before`` in an exercise's).  ``after_ms`` is quiet rest that
    closes an exercise's own chapter.
    """

    sets_ms: Ranged | None = None
    sides_ms: Ranged | None = None
    before_ms: Ranged | None = None
    after_ms: Ranged | None = None


USUAL_RESTS = Rests(
    sets_ms=Ranged(low=5_000, usual=10_000, high=30_000),
    sides_ms=Ranged(low=5_000, usual=12_000, high=30_000),
    before_ms=Ranged(low=8_000, usual=20_000, high=90_000),
    after_ms=Ranged.fixed(0),
)
"""Rests where a routine says nothing (common practice)."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Exercise:
    """One exercise of a routine or of a library.

    ``path`` is its field path in the file (``exercises[2]``), for pointing at it.
    ``first_side`` of ``None`` leaves the first side to the routine or the patient.
    ``extra_set`` is a side that gets one set more than the other (``sides: each`` only).
    ``by_turns`` marks one that alternates as written and is done on one side only here.
    """

    name: str
    kind: Kind
    dose: Dose
    path: str
    position: Position | None = None
    targets: tuple[str, ...] = ()
    sides: Sides = Sides.BOTH
    change_sides: ChangeSides = ChangeSides.EVERY_SET
    first_side: Side | None = None
    extra_set: Side | None = None
    by_turns: bool = False
    setup: tuple[str, ...] = ()
    cues: tuple[Cue, ...] = ()
    feel: tuple[str, ...] = ()
    breathe: tuple[str, ...] = ()
    helper: tuple[str, ...] = ()
    calls: Calls = Calls()
    easier: Variation | None = None
    harder: Variation | None = None
    involves: tuple[str, ...] = ()
    instead: str | None = None
    optional: bool = False
    equipment: tuple[str, ...] = ()
    picture: str | None = None
    rests: Rests = Rests()
    quiet: bool = False
    """The author asked for silence: no filling words where nothing else is said."""


class Version(enum.StrEnum):
    """The other ways of doing an exercise that its author describes."""

    EASIER = "easier"
    HARDER = "harder"


@dataclass(frozen=True, kw_only=True, slots=True)
class AmountChange:
    """One amount of a dose changed: ``key`` as it is written (``hold``, ``sets``).

    Either the new amount, or ``None`` and ``step``, which moves the amount in force and
    its range; milliseconds for times, else a count.
    """

    key: str
    amount: Ranged | None = None
    step: int = 0


@dataclass(frozen=True, kw_only=True, slots=True)
class ExerciseChange:
    """What a patient file or a later week changes at one exercise; ``path`` is its field."""

    exercise: str
    path: str
    skip: bool = False
    version: Version | None = None
    amounts: tuple[AmountChange, ...] = ()
    tempo: Tempo | None = None
    pattern: BreathPattern | None = None
    rests: Rests = Rests()


@dataclass(frozen=True, kw_only=True, slots=True)
class Week:
    """What changes from a week on; weeks count from 1, which is the file without them."""

    from_week: int
    path: str
    changes: tuple[ExerciseChange, ...] = ()
    coaching: Coaching | None = None
    length_ms: int | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Accepted:
    """A check that the author accepted on purpose: its id, why, and for which exercise."""

    check: str
    because: str
    exercise: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Routine:
    """A whole routine, as written.

    ``places`` maps field paths (``exercises[0].cues[1]``) to where they stand in
    the file, for errors and checks that come later than reading.  ``tags`` and
    ``targets`` are the words that its files declare beside the published ones.
    """

    title: str
    file: str
    sha256: str
    exercises: tuple[Exercise, ...]
    language: str = "en"
    length_ms: int | None = None
    voice: str = "calm"
    about: str = ""
    frequency: str = ""
    days_a_week: int | None = None
    times_a_day: int = 1
    equipment: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    pain_limit: int | None = None
    """The most pain, of 10, that is still acceptable; ``None``: a pull is, pain is not."""
    opening: tuple[str, ...] = ()
    closing: tuple[str, ...] = ()
    rests: Rests = USUAL_RESTS
    first_side: Side = Side.LEFT
    alternatives: tuple[Exercise, ...] = ()
    dropped: tuple[Exercise, ...] = ()
    """Exercises taken out for the length or the patient; their cautions are said all the same."""
    accepted: tuple[Accepted, ...] = ()
    weeks: tuple[Week, ...] = ()
    tags: Pairs = ()
    targets: Pairs = ()
    places: Mapping[str, Place] = field(default_factory=dict, compare=False, repr=False)

    def place(self, path: str) -> Place:
        """Where ``path`` stands in the file, or its nearest enclosing field."""
        return nearest_place(self.places, path, self.file)


def nearest_place(places: Mapping[str, Place], path: str, file: str) -> Place:
    """The place of ``path``, else of the nearest field around it, else the file's top."""
    at = path
    while at:
        if at in places:
            return places[at]
        at = at[: max(at.rfind("."), at.rfind("["), 0)]
    return places.get("", Place(file=file, line=1, column=1))
