"""Large fits to measure: thirty exercises of the starter library with wide ranges."""

from __future__ import annotations

import dataclasses
import random
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from breathmark.routine.model import Exercise, Routine
    from breathmark.script.draft import SpeechLengths
    from breathmark.script.fitting import Fitting

EXERCISES = 30
CASES = 24
RATE_HZ = 24_000
TOLERANCE = 1e-6

_TIMED = {"hold_ms": "hold", "time_ms": "time", "stretch_ms": "stretch"}
_COUNTED = {"reps": "reps", "breaths": "breaths", "sets": "sets"}


@dataclass(frozen=True, kw_only=True, slots=True)
class Case:
    """A routine file, and a length that its rests alone do not meet."""

    path: Path
    routine: Routine
    fitting: Fitting
    lengths: SpeechLengths

    def fitted(self) -> None:
        """Choose the doses, from a table of ways that is there."""
        if self.fitting.fitted(self.routine.length_ms or 0) is None:
            raise AssertionError(f"{self.path} cannot be fitted")

    def planned(self) -> None:
        """The whole planner: ways, fit, rests and every line."""
        from breathmark.script.planner import plan_session
        from breathmark.script.wishes import Wishes

        plan_session(self.routine, self.lengths, Wishes(voice="calm"))


def cases(folder: Path) -> Iterator[Case]:
    """The random routines, the same in every run; spoken lines have estimated lengths."""
    from breathmark.routine.library import starter_library
    from breathmark.routine.reading import read_routine

    starters = starter_library()
    for number in range(CASES):
        chance = random.Random(number)
        path = folder / f"wide-{number}.yaml"
        path.write_text(_text(chance.sample(starters, EXERCISES), chance), encoding="utf-8")
        yield _case(path, read_routine(path), chance)


def _case(path: Path, routine: Routine, chance: random.Random) -> Case:
    from breathmark.script.draft import SpeechLengths
    from breathmark.script.fitting import Fitting, usual_fits
    from breathmark.script.wishes import Wishes

    lengths, wishes = SpeechLengths({}, rate_hz=RATE_HZ), Wishes(voice="calm")
    fitting = Fitting(routine, lengths, wishes)
    reach = fitting.reach()
    while True:
        length_s = chance.randint(reach.shortest_s, reach.longest_s)
        asked = dataclasses.replace(routine, length_ms=length_s * 1000)
        if not usual_fits(asked, lengths, wishes):
            return Case(path=path, routine=asked, fitting=fitting, lengths=lengths)


def _text(exercises: list[Exercise], chance: random.Random) -> str:
    rests = "{sets: 10 s (5 to 20), sides: 12 s (8 to 20), exercises: 40 s (12 to 90)}"
    uses = "".join("\n".join(_use(one, chance)) + "\n" for one in exercises)
    return f"title: Wide\nrests: {rests}\nexercises:\n{uses}"


def _use(exercise: Exercise, chance: random.Random) -> Iterator[str]:
    """An exercise with a wide range for everything that may move, sometimes optional."""
    yield f"  - use: {exercise.name}"
    if chance.random() < 0.3:
        yield "    optional: yes"
    for name, key in (_TIMED | _COUNTED).items():
        amount = getattr(exercise.dose, name, None)
        if amount is None:
            continue
        unit, step = ("", 2 if exercise.sides == "alternating" and name == "reps" else 1)
        usual = amount.usual
        if name in _TIMED:
            unit, step, usual = " s", 5, usual // 1000
        low = usual - step * min(chance.randint(1, 4), (usual - 1) // step)
        high = usual + step * chance.randint(1, 2 if name == "sets" else 6)
        yield f"    {key}: {usual}{unit} ({low} to {high})"


@contextmanager
def watched(solved: list[tuple[dict[str, Any], Any]]) -> Iterator[None]:
    """Note every program that HiGHS is given meanwhile, with its result."""
    import scipy.optimize

    milp = scipy.optimize.milp

    def noting(goal: Any, **rest: Any) -> Any:
        result = milp(goal, **rest)
        solved.append(({"c": goal, **rest}, result))
        return result

    setattr(scipy.optimize, "milp", noting)  # noqa: B010 - not of its declared type
    try:
        yield
    finally:
        setattr(scipy.optimize, "milp", milp)  # noqa: B010


def is_proved(result: Any) -> bool:
    """Whether HiGHS calls a solution optimal, and leaves no gap to its bound.

    What it may leave is its own tolerance of a millionth: of a deviation's thousandth, or
    of a second.
    """
    return bool(result.status == 0 and result.fun - result.mip_dual_bound <= TOLERANCE)


def relaxed(programs: list[dict[str, Any]]) -> None:
    """Solve the same programs without asking for whole numbers."""
    from scipy.optimize import milp

    for program in programs:
        milp(**{**program, "integrality": None})


def seconds_of_both(work: Callable[[], object]) -> tuple[float, float]:
    """Wall time, and the processor's time in this process."""
    wall, busy = time.perf_counter(), time.process_time()
    work()
    return time.perf_counter() - wall, time.process_time() - busy
