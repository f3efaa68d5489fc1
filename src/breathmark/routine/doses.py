"""The dose of an exercise: which keys its kind takes, and what they may be."""

from __future__ import annotations

from collections.abc import Mapping

from breathmark.routine.amounts import Limits
from breathmark.routine.everyday import NO_TEMPO_KEY
from breathmark.routine.model import (
    BreathingDose,
    BreathPattern,
    ContractRelaxDose,
    Dose,
    FreeDose,
    HoldDose,
    Kind,
    PauseDose,
    RepsDose,
    Sides,
    Tempo,
)
from breathmark.routine.reader import Reader, Section, Value
from breathmark.routine.rules import Rule
from breathmark.units import Ranged, duration_text

DOSE_KEYS: Mapping[Kind, tuple[str, ...]] = {
    Kind.HOLD: ("hold", "sets"),
    Kind.REPS: ("reps", "tempo", "sets"),
    Kind.FREE: ("time",),
    Kind.BREATHING: ("breaths", "time", "pattern"),
    Kind.CONTRACT_RELAX: ("contract", "relax", "stretch", "sets"),
    Kind.PAUSE: ("time",),
}
"""The keys that make up the dose of each kind."""

ALL_DOSE_KEYS = tuple(dict.fromkeys(key for keys in DOSE_KEYS.values() for key in keys))
"""Every key of a dose, each once."""

PAIRED = (frozenset({"breaths", "time"}),)
"""Keys of which only one is written: writing one replaces the other."""

CALM_BREATH = BreathPattern(in_ms=4_000, hold_in_ms=0, out_ms=6_000, hold_out_ms=0)
"""The usual breath: six a minute, longer out than in (Steffen 2017, Van Diest 2014)."""

SETS = Limits(low=1, high=20, timed=False)
REPS = Limits(low=1, high=200, timed=False)
HOLD = Limits(low=1_000, high=600_000)
TIME = Limits(low=1_000, high=3_600_000)
BREATHS = Limits(low=1, high=200, timed=False)
BREATH_PART = Limits(low=500, high=20_000)
BREATH_HOLD = Limits(low=500, high=20_000, or_none=True)
TEMPO_OUT = Limits(low=300, high=60_000)
TEMPO_PART = Limits(low=100, high=60_000, or_none=True)
_WRONG = -1

AMOUNT_LIMITS: Mapping[str, Limits] = {
    "hold": HOLD, "contract": HOLD, "relax": HOLD, "stretch": HOLD,
    "sets": SETS, "reps": REPS, "time": TIME, "breaths": BREATHS,
}  # fmt: skip
"""What the amounts of a dose may be, by key; `tempo` and `pattern` have parts of their own."""


def read_dose(reader: Reader, section: Section, kind: Kind, sides: Sides | None) -> Dose | None:
    """The dose in an exercise's section; ``None`` when something is wrong with it.

    The kind's keys are read and the other kinds' refused.
    """
    _refuse_other_kinds(reader, section, kind)
    match kind:
        case Kind.HOLD:
            return _hold(reader, section)
        case Kind.REPS:
            return _reps(reader, section, sides)
        case Kind.BREATHING:
            return _breathing(reader, section)
        case Kind.CONTRACT_RELAX:
            return _contract_relax(reader, section)
        case Kind.FREE:
            time = _needed(reader, section, "time", TIME, kind)
            return FreeDose(time_ms=time) if time else None
        case Kind.PAUSE:
            time = _needed(reader, section, "time", TIME, kind)
            return PauseDose(time_ms=time) if time else None


def kinds_with(key: str) -> str:
    """The kinds that a dose key belongs to, in words: ``kind hold`` or ``kinds free and pause``."""
    kinds = [f"`{kind}`" for kind, keys in DOSE_KEYS.items() if key in keys]
    if len(kinds) == 1:
        return f"kind {kinds[0]}"
    return f"the kinds {', '.join(kinds[:-1])} and {kinds[-1]}"


def _refuse_other_kinds(reader: Reader, section: Section, kind: Kind) -> None:
    for key in ALL_DOSE_KEYS:
        value = section.get(key)
        if value is None or key in DOSE_KEYS[kind]:
            continue
        remedy = f"Kind `{kind}` takes {', '.join(f'`{own}`' for own in DOSE_KEYS[kind])}."
        remedy = _INSTEAD.get((kind, key), "") or remedy
        message = f"`{key}` belongs to {kinds_with(key)}, not to `{kind}`"
        reader.wrong(value, Rule.OTHER_KIND, message, remedy)


_INSTEAD: Mapping[tuple[Kind, str], str] = {
    (Kind.HOLD, "reps"): "Write it as `sets`: in each set the position is held once.",
    (Kind.REPS, "hold"): "Write it in the tempo, such as `tempo: {out: 2 s, hold: 5 s, back: 2 s}`;"
    " or write `kind: hold`, and `sets` for `reps`.",
    (Kind.BREATHING, "reps"): "Write it as `breaths`.",
    (Kind.CONTRACT_RELAX, "reps"): "Write it as `sets`.",
    (Kind.CONTRACT_RELAX, "hold"): "Write it as `contract`, or as `stretch`.",
}
"""Where what an exercise says belongs, by its kind."""


def _needed(
    reader: Reader, section: Section, key: str, limits: Limits, kind: Kind
) -> Ranged | None:
    value = section.get(key)
    if value is None:
        reader.missing(section, key, f"an exercise of kind `{kind}`")
    return reader.amount(value, limits)


def _sets(reader: Reader, section: Section) -> Ranged | None:
    value = section.get("sets")
    return reader.amount(value, SETS) if value else Ranged.fixed(1)


def _hold(reader: Reader, section: Section) -> HoldDose | None:
    hold = _needed(reader, section, "hold", HOLD, Kind.HOLD)
    sets = _sets(reader, section)
    return HoldDose(hold_ms=hold, sets=sets) if hold and sets else None


def _contract_relax(reader: Reader, section: Section) -> ContractRelaxDose | None:
    kind = Kind.CONTRACT_RELAX
    contract, relax, stretch = (
        _needed(reader, section, key, HOLD, kind) for key in ("contract", "relax", "stretch")
    )
    sets = _sets(reader, section)
    if not (contract and relax and stretch and sets):
        return None
    return ContractRelaxDose(contract_ms=contract, relax_ms=relax, stretch_ms=stretch, sets=sets)


def _reps(reader: Reader, section: Section, sides: Sides | None) -> RepsDose | None:
    reps = _needed(reader, section, "reps", REPS, Kind.REPS)
    sets = _sets(reader, section)
    value = section.get("tempo")
    if value is None:
        remedy = "Write for example `tempo: {out: 2 s, back: 2 s}`."
        reader.missing(section, "tempo", "an exercise of kind `reps`", remedy)
    tempo = read_tempo(reader, value) if value else None
    if reps and sides is Sides.ALTERNATING:
        _require_even(reader, section.values["reps"], reps)
    return RepsDose(reps=reps, tempo=tempo, sets=sets) if reps and tempo and sets else None


def _require_even(reader: Reader, value: Value, reps: Ranged) -> None:
    odd = why_odd(reps)
    if odd is not None:
        reader.wrong(value, Rule.ODD_REPS, *odd)


def why_odd(reps: Ranged) -> tuple[str, str] | None:
    """What is wrong with alternating repetitions and the remedy; ``None`` if they are even."""
    odd = next((n for n in (reps.usual, reps.low, reps.high) if n % 2), None)
    if odd is None:
        return None
    message = f"with `sides: alternating` {odd} repetitions give one side more than the other"
    return message, f"Write an even number such as {odd + 1}, and an even range."


def read_tempo(reader: Reader, value: Value) -> Tempo | None:
    """The four parts of a repetition; those that are not written are none."""
    parts = _parts(
        reader,
        value,
        "a tempo",
        {"out": TEMPO_OUT, "hold": TEMPO_PART, "back": TEMPO_PART, "pause": TEMPO_PART},
        required=("out",),
    )
    if parts is None:
        return None
    return Tempo(
        out_ms=parts["out"], hold_ms=parts["hold"], back_ms=parts["back"], pause_ms=parts["pause"]
    )


def _parts(
    reader: Reader,
    value: Value,
    what: str,
    limits: Mapping[str, Limits],
    required: tuple[str, ...],
) -> dict[str, int] | None:
    """Exact amounts by key, 0 for those not written; ``None`` when one is wrong."""
    elsewhere = NO_TEMPO_KEY if "back" in limits else {}
    section = reader.section(value, what, valid=limits, required=required, elsewhere=elsewhere)
    if section is None:
        return None
    parts = dict.fromkeys(limits, 0)
    for key, part in section.values.items():
        amount = reader.amount(part, limits[key], exact=True)
        parts[key] = amount.usual if amount else _WRONG
    whole = _WRONG not in parts.values() and all(parts[key] for key in required)
    return parts if whole else None


def read_pattern(reader: Reader, value: Value | None) -> BreathPattern | None:
    """The parts of a breath; :data:`CALM_BREATH` when there is no value."""
    if value is None:
        return CALM_BREATH
    limits = {
        "in": BREATH_PART, "hold in": BREATH_HOLD, "out": BREATH_PART, "hold out": BREATH_HOLD
    }  # fmt: skip
    parts = _parts(reader, value, "a breathing pattern", limits, required=("in", "out"))
    if parts is None:
        return None
    return BreathPattern(
        in_ms=parts["in"],
        hold_in_ms=parts["hold in"],
        out_ms=parts["out"],
        hold_out_ms=parts["hold out"],
    )


def _breathing(reader: Reader, section: Section) -> BreathingDose | None:
    pattern = read_pattern(reader, section.get("pattern"))
    breaths, time = section.get("breaths"), section.get("time")
    if breaths and time:
        message = "`time` stands beside `breaths`; one of the two says how long"
        reader.wrong(time, Rule.BREATHS_OR_TIME, message, "Take one of them out.")
    if breaths:
        count = reader.amount(breaths, BREATHS)
        return BreathingDose(breaths=count, pattern=pattern) if count and pattern else None
    if time is None:
        message = "an exercise of kind `breathing` needs `breaths` or `time`"
        remedy = "Write one of them, such as `breaths: 6`."
        reader.report.add(Rule.BREATHS_OR_TIME, message, section.place, remedy)
        return None
    amount = reader.amount(time, TIME)
    if not (amount and pattern and _whole_breaths(reader, time, amount, pattern.breath_ms)):
        return None
    low, usual, high = (ms // pattern.breath_ms for ms in (amount.low, amount.usual, amount.high))
    return BreathingDose(
        breaths=Ranged(low=low, usual=usual, high=high), pattern=pattern, in_time=True
    )


def _whole_breaths(reader: Reader, value: Value, time: Ranged, breath_ms: int) -> bool:
    part = why_part_breath(time, breath_ms)
    if part is not None:
        reader.wrong(value, Rule.PART_BREATH, *part)
    return part is None


def why_part_breath(time: Ranged, breath_ms: int) -> tuple[str, str] | None:
    """What is wrong with a breathing time and the remedy; ``None`` if it is whole breaths."""
    for amount in (time.usual, time.low, time.high):
        count, rest = divmod(amount, breath_ms)
        if rest:
            fitting = [n * breath_ms for n in (count, count + 1) if n]
            message = (
                f"{duration_text(amount)} is not a whole number of breaths"
                f" of {duration_text(breath_ms)}"
            )
            return message, f"Write {' or '.join(duration_text(ms) for ms in fitting)}."
    return None
