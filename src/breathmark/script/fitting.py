"""Fitting a routine to its length: from drafts to a table of ways, and back to a routine.

:mod:`breathmark.dose.fit` chooses; here every way of doing every exercise gets its room,
words included, and the choice becomes a routine with other usual doses.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from dataclasses import dataclass

from breathmark.dose.fit import Fit, Task, Way, bounds, fit, possible
from breathmark.dose.options import options
from breathmark.dose.room import Room
from breathmark.problems import InputProblems
from breathmark.routine.model import Exercise, Position, Routine
from breathmark.routine.other_ways import with_dose
from breathmark.script import pacing
from breathmark.script.blocks import block_room, closing, opening, rests_room
from breathmark.script.dose_words import dose_text
from breathmark.script.draft import SpeechLengths
from breathmark.script.intervals import sets_of
from breathmark.script.lead_in import Desk
from breathmark.script.settle import room
from breathmark.script.wishes import Wishes
from breathmark.script.words import words_of
from breathmark.units import duration_text


@dataclass(frozen=True, kw_only=True, slots=True)
class Fitted:
    """A routine whose usual doses meet its length, and what was changed, in sentences."""

    routine: Routine
    changes: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Reach:
    """The shortest and the longest session that a routine allows, in whole seconds."""

    shortest_s: int
    longest_s: int


class Fitting:
    """The ways of one routine, worked out once and used for several lengths."""

    def __init__(self, routine: Routine, lengths: SpeechLengths, wishes: Wishes) -> None:
        self.routine = routine
        self._lengths = lengths
        self._words = words_of(routine.language)
        self._wishes = wishes
        self._options = [options(exercise) for exercise in routine.exercises]
        self._ways = tuple(self._all_ways())

    def fitted(self, length_ms: int) -> Fitted | None:
        """The routine fitted to a length, or ``None`` when no choice lasts exactly that."""
        found = fit(self._task(length_ms))
        return None if found is None else self._applied(found, length_ms)

    def can_last(self, length_ms: int) -> bool:
        """Whether some choice lasts exactly ``length_ms``."""
        return possible(self._task(length_ms))

    def reach(self) -> Reach:
        """The shortest and the longest length in whole seconds, the opening's words included.

        The opening says the length, so the bounds are searched around an estimate.
        """
        low, high = bounds(dataclasses.replace(self._task(None), around=Room.none()))
        rate = self._lengths.rate_hz
        usual = self._around(None)
        first_s, last_s = (low + usual.low) // rate, -(-(high + usual.high) // rate)
        margin_s = pacing.WELCOME_MARGIN_S
        shortest = next(
            second
            for second in range(max(1, first_s - margin_s), first_s + 10 * margin_s)
            if low + self._around(second * 1000).low <= second * rate
        )
        longest = next(
            second
            for second in range(last_s + margin_s, first_s - margin_s, -1)
            if second * rate <= high + self._around(second * 1000).high
        )
        return Reach(shortest_s=shortest, longest_s=longest)

    def _task(self, length_ms: int | None) -> Task:
        return Task(
            length=self._lengths.ms(length_ms or 0),
            rate_hz=self._lengths.rate_hz,
            optional=tuple(exercise.optional for exercise in self.routine.exercises),
            around=self._around(length_ms),
            ways=self._ways,
        )

    def _around(self, length_ms: int | None) -> Room:
        """The opening, which says the length, and the closing."""
        desk = self._desk(self.routine)
        blocks = (opening(desk, length_ms), closing(desk))
        return room(span for block in blocks for span in block.spans)

    def _desk(self, routine: Routine) -> Desk:
        return Desk(routine=routine, wishes=self._wishes, words=self._words, lengths=self._lengths)

    def _all_ways(self) -> Iterator[Way]:
        for index in range(len(self.routine.exercises)):
            known: dict[tuple[frozenset[Position], bool], list[tuple[int, Room]]] = {}
            for before in self._predecessors(index):
                came_from = frozenset(self._positions_after(before)), before < 0
                if came_from not in known:
                    known[came_from] = list(self._rooms(index, *came_from))
                for number, found in known[came_from]:
                    yield Way(
                        exercise=index,
                        after=before,
                        option=number,
                        deviation=self._options[index][number].deviation,
                        room=found,
                    )

    def _rooms(
        self, index: int, came_from: frozenset[Position], opens: bool
    ) -> Iterator[tuple[int, Room]]:
        """What an exercise may last with each dose in which everything can be said."""
        exercise = self.routine.exercises[index]
        rests: dict[int, Room] = {}
        for number, option in enumerate(self._options[index]):
            changed = with_dose(exercise, option.dose)
            desk = self._desk(self.routine)
            sets = sets_of(changed)
            if sets not in rests:
                rests[sets] = rests_room(desk, changed)
            found = [
                block_room(desk, changed, came_from=position, opens=opens, rests=rests[sets])
                for position in came_from
            ]
            if desk.problems:
                rests.pop(sets)
            else:
                yield number, max(found, key=lambda one: one.low)

    def _predecessors(self, index: int) -> Iterator[int]:
        """What may come before an exercise: anything back to one that is never left out."""
        for before in range(index - 1, -1, -1):
            yield before
            if not self.routine.exercises[before].optional:
                return
        yield -1

    def _positions_after(self, before: int) -> set[Position]:
        """Where the patient may be after an exercise; one without a position changes nothing."""
        if before < 0:
            return {Position.STANDING}
        own = self.routine.exercises[before].position
        if own is not None:
            return {own}
        return set().union(*map(self._positions_after, self._predecessors(before)))

    def _applied(self, found: Fit, length_ms: int) -> Fitted:
        because = f"to last {duration_text(length_ms)}"
        exercises: list[Exercise] = []
        changes: list[str] = []
        chosen = {way.exercise: way for way in found.ways}
        dropped: list[Exercise] = []
        for index, exercise in enumerate(self.routine.exercises):
            way = chosen.get(index)
            if way is None:
                dropped.append(exercise)
                changes.append(f"{exercise.name}: left out ({because}); it is optional.")
                continue
            option = self._options[index][way.option]
            changed = with_dose(exercise, option.dose)
            exercises.append(changed)
            if option.deviation:
                new, usual = dose_text(changed, beside=exercise), dose_text(exercise)
                changes.append(f"{exercise.name}: {new}, instead of {usual} ({because}).")
        routine = dataclasses.replace(
            self.routine,
            exercises=tuple(exercises),
            dropped=(*self.routine.dropped, *dropped),
            length_ms=length_ms,
        )
        return Fitted(routine=routine, changes=tuple(changes))


def usual_fits(routine: Routine, lengths: SpeechLengths, wishes: Wishes) -> bool:
    """Whether the usual doses meet the length with rests alone: then nothing is changed.

    Raises :class:`InputProblems` when something cannot be said or done in its rest.
    """
    words = words_of(routine.language)
    desk = Desk(routine=routine, wishes=wishes, words=words, lengths=lengths)
    total = room(
        span for block in (opening(desk, routine.length_ms), closing(desk)) for span in block.spans
    )
    came_from = Position.STANDING
    for index, exercise in enumerate(routine.exercises):
        total += block_room(desk, exercise, came_from=came_from, opens=index == 0)
        came_from = exercise.position or came_from
    if desk.problems:
        raise InputProblems(desk.problems)
    return routine.length_ms is None or lengths.ms(routine.length_ms) in total
