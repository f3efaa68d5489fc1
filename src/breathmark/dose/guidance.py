"""The published values that doses are held against, with their sources, and the comparison.

Every value carries the mark of its source: read in the published text, second-hand (a
review or a transcription), from memory, or common practice in the trade.  They are
guidance: a clinician may have good reasons for another dose.
"""

from __future__ import annotations

import enum
from collections.abc import Iterator
from dataclasses import dataclass

from breathmark.dose.totals import (
    Amounts,
    DoseTotals,
    ExerciseDose,
    TargetDose,
    contraction_ms,
    is_contraction,
    is_stretch,
)
from breathmark.routine.model import ContractRelaxDose, HoldDose, RepsDose, Side, Sides
from breathmark.units import duration_text


class Mark(enum.StrEnum):
    """How well a value is known."""

    PUBLISHED = "published"
    SECOND_HAND = "second-hand"
    MEMORY = "from memory"
    PRACTICE = "common practice"


class Unit(enum.StrEnum):
    """What a guide's numbers count."""

    MS = "ms"
    REPETITIONS = "repetitions"
    DAYS = "days a week"


@dataclass(frozen=True, kw_only=True, slots=True)
class Source:
    """A publication (or the trade), and how well its value is known."""

    cite: str
    mark: Mark

    def shown(self) -> str:
        """The source with its mark, as it stands behind a comparison."""
        return self.cite if self.mark is Mark.PRACTICE else f"{self.cite}, {self.mark}"


@dataclass(frozen=True, kw_only=True, slots=True)
class Guide:
    """A guided value: between ``low`` and ``high`` (``None``: no limit), both included.

    ``of`` says in plain words what is measured; ``says`` what the guidance is.
    """

    id: str
    of: str
    says: str
    unit: Unit
    source: Source
    low: int | None = None
    high: int | None = None

    def verdict(self, measured: int) -> Verdict:
        """Where a measured amount lies."""
        if self.low is not None and measured < self.low:
            return Verdict.UNDER
        if self.high is not None and measured > self.high:
            return Verdict.OVER
        return Verdict.INSIDE


class Verdict(enum.StrEnum):
    """Where an amount lies beside its guidance."""

    UNDER = "under"
    INSIDE = "inside"
    OVER = "over"


GARBER = "Garber 2011, Med Sci Sports Exerc 43(7):1334-59"
INGRAM = "Ingram 2025, Sports Med, 10.1007/s40279-024-02143-9"
RATAMESS = "Ratamess 2009, Med Sci Sports Exerc 41(3):687-708"
OLDER_BEGINNERS = "BMC Geriatr 2013;13:105"

STRETCH_SESSION = Guide(
    id="stretch-session",
    of="stretch a session",
    says="60 s in all for each flexibility exercise",
    unit=Unit.MS,
    low=60_000,
    source=Source(cite=GARBER, mark=Mark.PUBLISHED),
)
STRETCH_SESSION_MOST = Guide(
    id="stretch-session-most",
    of="stretch a session",
    says="gains level off at 4 min a session for a muscle",
    unit=Unit.MS,
    high=240_000,
    source=Source(cite=INGRAM, mark=Mark.SECOND_HAND),
)
STRETCH_WEEK_MOST = Guide(
    id="stretch-week-most",
    of="stretch a week",
    says="gains level off at 10 min a week for a muscle",
    unit=Unit.MS,
    high=600_000,
    source=Source(cite=INGRAM, mark=Mark.SECOND_HAND),
)
STRETCH_DAYS = Guide(
    id="stretch-days",
    of="days a week with stretches",
    says="at least 2 days a week",
    unit=Unit.DAYS,
    low=2,
    source=Source(cite=GARBER, mark=Mark.PUBLISHED),
)
STRETCH_HOLD = Guide(
    id="stretch-hold",
    of="a single stretch",
    says="10 to 30 s, for older adults 30 to 60 s",
    unit=Unit.MS,
    low=10_000,
    high=60_000,
    source=Source(cite=GARBER, mark=Mark.SECOND_HAND),
)
PNF_CONTRACTION = Guide(
    id="pnf-contraction",
    of="a contraction before a stretch",
    says="3 to 6 s",
    unit=Unit.MS,
    low=3_000,
    high=6_000,
    source=Source(cite=GARBER, mark=Mark.MEMORY),
)
PNF_STRETCH = Guide(
    id="pnf-stretch",
    of="a stretch after a contraction",
    says="10 to 30 s",
    unit=Unit.MS,
    low=10_000,
    high=30_000,
    source=Source(cite=GARBER, mark=Mark.MEMORY),
)
ISOMETRIC_HOLD = Guide(
    id="isometric-hold",
    of="a single isometric effort",
    says="6 to 10 s from memory; printed sheets ask for 3 to 10 s",
    unit=Unit.MS,
    low=3_000,
    high=10_000,
    source=Source(cite="common practice", mark=Mark.PRACTICE),
)
REPETITIONS = Guide(
    id="repetitions",
    of="repetitions a set",
    says="8 to 12 for novices, 10 to 15 for older beginners, when strength is the aim",
    unit=Unit.REPETITIONS,
    low=8,
    high=15,
    source=Source(cite=f"{RATAMESS}; {OLDER_BEGINNERS}", mark=Mark.PUBLISHED),
)
STRENGTH_DAYS = Guide(
    id="strength-days",
    of="days a week with added resistance",
    says="2 to 3 days a week for novices",
    unit=Unit.DAYS,
    low=2,
    high=3,
    source=Source(cite=RATAMESS, mark=Mark.PUBLISHED),
)
GUIDES = (
    STRETCH_SESSION, STRETCH_SESSION_MOST, STRETCH_WEEK_MOST, STRETCH_DAYS, STRETCH_HOLD,
    PNF_CONTRACTION, PNF_STRETCH, ISOMETRIC_HOLD, REPETITIONS, STRENGTH_DAYS,
)  # fmt: skip
"""Every guided value."""

RESISTANCE_TAG = "added resistance"


@dataclass(frozen=True, kw_only=True, slots=True)
class Comparison:
    """An amount of the routine beside its guidance.

    ``of`` is the target or exercise (empty for the whole routine); ``side`` is ``None``
    where both sides get the same; ``measured`` is in the guide's unit.
    """

    guide: Guide
    of: str
    measured: int
    side: Side | None = None

    @property
    def verdict(self) -> Verdict:
        """Where the amount lies."""
        return self.guide.verdict(self.measured)

    def shown(self) -> str:
        """The comparison in plain words, with its source.

        >>> Comparison(guide=STRETCH_SESSION, of="soleus", measured=45_000).shown()
        'soleus: stretch a session 45 s, under the guidance (60 s in all for each flexibility \
exercise; Garber 2011, Med Sci Sports Exerc 43(7):1334-59, published)'
        """
        sided = f"{self.of}, {self.side}" if self.side else self.of
        amount = duration_text(self.measured) if self.guide.unit is Unit.MS else self.measured
        lead = f"{sided}: " if sided else ""
        told = f"{self.guide.of} {amount}, {self.verdict} the guidance"
        return f"{lead}{told} ({self.guide.says}; {self.guide.source.shown()})"


def compared(totals: DoseTotals) -> tuple[Comparison, ...]:
    """Every amount that there is guidance for, targets first, then exercises, then days."""
    found = [one for target in totals.targets for one in _target(totals, target)]
    found += [one for exercise in totals.exercises for one in _exercise(exercise)]
    return (*found, *_days(totals))


def _target(totals: DoseTotals, target: TargetDose) -> Iterator[Comparison]:
    for side, amounts in _sides(target):
        if not amounts.stretch_ms:
            continue
        week = totals.week(amounts)
        measured = [
            (STRETCH_SESSION, amounts.stretch_ms),
            (STRETCH_SESSION_MOST, amounts.stretch_ms),
            *([(STRETCH_WEEK_MOST, week.stretch_ms)] if week else []),
        ]
        for guide, amount in measured:
            yield Comparison(guide=guide, of=target.target, measured=amount, side=side)


def _sides(target: TargetDose) -> tuple[tuple[Side | None, Amounts], ...]:
    if target.equal:
        return ((None, target.left),)
    return ((Side.LEFT, target.left), (Side.RIGHT, target.right))


def _exercise(dose: ExerciseDose) -> Iterator[Comparison]:
    exercise = dose.exercise
    of = exercise.name
    measured: list[tuple[Guide, int]]
    match exercise.dose:
        case HoldDose(hold_ms=hold) if is_stretch(exercise):
            measured = [(STRETCH_HOLD, hold.usual)]
        case ContractRelaxDose() as phases:
            measured = [
                (PNF_CONTRACTION, phases.contract_ms.usual),
                (PNF_STRETCH, phases.stretch_ms.usual),
            ]
        case HoldDose() if is_contraction(exercise):
            measured = [(ISOMETRIC_HOLD, contraction_ms(exercise))]
        case RepsDose(reps=reps):
            measured = [(REPETITIONS, reps.usual)]
            if exercise.sides is Sides.ALTERNATING:  # the guidance is for what one side does
                of, measured = f"{of}, each side", [(REPETITIONS, reps.usual // 2)]
            if held := contraction_ms(exercise):
                measured.append((ISOMETRIC_HOLD, held))
        case _:
            measured = []
    for guide, amount in measured:
        yield Comparison(guide=guide, of=of, measured=amount)


def _days(totals: DoseTotals) -> Iterator[Comparison]:
    days = totals.days_a_week
    if days is None:
        return
    if any(one.left.stretch_ms or one.right.stretch_ms for one in totals.exercises):
        yield Comparison(guide=STRETCH_DAYS, of="", measured=days)
    if any(RESISTANCE_TAG in one.exercise.involves for one in totals.exercises):
        yield Comparison(guide=STRENGTH_DAYS, of="", measured=days)
