"""The dose in words: for the patient's ear, and for the clinician's table."""

from __future__ import annotations

from breathmark.routine.model import (
    BreathingDose,
    ContractRelaxDose,
    Exercise,
    FreeDose,
    HoldDose,
    PauseDose,
    RepsDose,
    Side,
    Sides,
)
from breathmark.script.intervals import sets_of
from breathmark.script.words import Words
from breathmark.units import counted, duration_text


def dose_sentences(exercise: Exercise, side: Side | None, words: Words) -> str:
    """The dose as it is said in the lead-in, such as ``Hold for 30 seconds. 2 times.``."""
    first = _amount_sentence(exercise, words)
    second = _sets_sentence(exercise, side, words)
    return " ".join(part for part in (first, second) if part)


def _amount_sentence(exercise: Exercise, words: Words) -> str:
    match exercise.dose:
        case HoldDose(hold_ms=hold):
            return words.say("dose hold", time=words.time(hold.usual))
        case RepsDose(reps=reps):
            alternating = exercise.sides is Sides.ALTERNATING
            return words.say("dose reps alternating" if alternating else "dose reps", n=reps.usual)
        case FreeDose(time_ms=time):
            return words.say("dose free", time=words.time(time.usual))
        case BreathingDose(breaths=breaths):
            return words.say("dose breaths", n=breaths.usual)
        case ContractRelaxDose() as dose:
            contract, stretch = (
                words.time(dose.contract_ms.usual),
                words.time(dose.stretch_ms.usual),
            )
            return words.say("dose contract-relax", contract=contract, stretch=stretch)
        case PauseDose():
            return ""


def _sets_sentence(exercise: Exercise, side: Side | None, words: Words) -> str:
    sets = sets_of(exercise)
    kind = "dose sets" if isinstance(exercise.dose, RepsDose) else "dose times"
    if exercise.sides is Sides.EACH:
        both = words.say(f"{kind} each side", n=sets)
        if exercise.extra_set is None:
            return both
        return f"{both} {words.say('dose once more', side=words.side(exercise.extra_set))}"
    if exercise.sides in (Sides.LEFT, Sides.RIGHT) and side is not None:
        return words.say(f"{kind} one side", n=sets, side=words.side(side))
    return words.say(kind, n=sets) if sets > 1 else ""


def dose_text(exercise: Exercise, *, beside: Exercise | None = None) -> str:
    """The whole dose for the clinician: ``hold 30 s, 2 sets, each side``.

    One set is not mentioned, unless there are more of them in what it stands ``beside``.
    """
    sets = sets_of(exercise)
    named = sets > 1 or (beside is not None and sets_of(beside) > 1)
    parts = [doing_text(exercise), counted(sets, "set") if named else ""]
    parts.append("" if exercise.sides is Sides.BOTH else _SIDES_TEXT[exercise.sides])
    if exercise.sides is Sides.EACH and exercise.extra_set is not None:
        parts.append(f"once more on the {exercise.extra_set}")
    return ", ".join(part for part in parts if part)


_SIDES_TEXT = {
    Sides.EACH: "each side",
    Sides.LEFT: "left side",
    Sides.RIGHT: "right side",
    Sides.ALTERNATING: "sides by turns",
}


def doing_text(exercise: Exercise) -> str:
    """What is done in one work interval, for the clinician's table: ``hold 30 s``."""
    match exercise.dose:
        case HoldDose(hold_ms=hold):
            return f"hold {duration_text(hold.usual)}"
        case RepsDose(reps=reps, tempo=tempo):
            return f"{counted(reps.usual, 'repetition')} of {duration_text(tempo.repetition_ms)}"
        case FreeDose(time_ms=time):
            return f"move for {duration_text(time.usual)}"
        case BreathingDose(breaths=breaths, pattern=pattern):
            return f"{counted(breaths.usual, 'breath')} of {duration_text(pattern.breath_ms)}"
        case ContractRelaxDose() as dose:
            parts = (dose.contract_ms, dose.relax_ms, dose.stretch_ms)
            contract, relax, stretch = (duration_text(part.usual) for part in parts)
            return f"contract {contract}, relax {relax}, stretch {stretch}"
        case PauseDose(time_ms=time):
            return f"pause {duration_text(time.usual)}"
