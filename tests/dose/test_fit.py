"""The fit against every combination, on routines small enough to try them all."""

from __future__ import annotations

import itertools
import random

import pytest

from breathmark.dose.fit import Fit, Task, Way, bounds, fit, score
from breathmark.dose.room import Room

RATE_HZ = 24_000


def random_task(seed: int, *, exercises: int, most_options: int) -> Task:
    """An invented task: odd sample counts, some exercises optional."""
    chance = random.Random(seed)
    optional = tuple(chance.random() < 0.35 for _ in range(exercises))
    ways = []
    for index in range(exercises):
        options = chance.randint(1, most_options)
        works = [chance.randint(10 * RATE_HZ, 240 * RATE_HZ) for _ in range(options)]
        for after in predecessors(optional, index):
            change = chance.choice([0, 0, 15 * RATE_HZ])
            for option, work in enumerate(works):
                low = work + change + chance.randint(0, RATE_HZ)
                usual = low + chance.randint(0, 20 * RATE_HZ)
                high = usual + chance.randint(0, 20 * RATE_HZ)
                deviation = 0 if option == 0 else random.Random(seed + option).randint(1, 900)
                room = Room(low=low, usual=usual, high=high)
                ways.append(
                    Way(exercise=index, after=after, option=option, deviation=deviation, room=room)
                )
    around = Room(low=60 * RATE_HZ, usual=61 * RATE_HZ + 7, high=90 * RATE_HZ)
    length = chance.randint(60, 60 + 140 * exercises) * RATE_HZ
    return Task(length=length, rate_hz=RATE_HZ, optional=optional, around=around, ways=tuple(ways))


def predecessors(optional: tuple[bool, ...], index: int) -> list[int]:
    """What may come before an exercise: anything back to the last one that must be kept."""
    found = []
    for before in range(index - 1, -1, -1):
        found.append(before)
        if not optional[before]:
            return found
    return [*found, -1]


def choices(task: Task) -> list[tuple[Way, ...]]:
    """Every combination of kept exercises and doses."""
    found = []
    numbers = range(len(task.optional))
    for kept in itertools.product([True, False], repeat=len(task.optional)):
        if any(not keep and not may for keep, may in zip(kept, task.optional, strict=True)):
            continue
        order = [index for index in numbers if kept[index]]
        if not order:  # a session without any exercise is none
            continue
        fitting = [
            [way for way in task.ways if (way.exercise, way.after) == (index, before)]
            for before, index in itertools.pairwise([-1, *order])
        ]
        found += [tuple(chosen) for chosen in itertools.product(*fitting)]
    return found


@pytest.mark.parametrize("seed", range(240))
def test_the_fit_is_the_best_of_all_combinations(seed: int) -> None:
    """On every one of 240 random tasks the score equals the best of all choices."""
    task = random_task(seed, exercises=2 + seed % 4, most_options=4)
    scores = [one for one in (score(task, ways) for ways in choices(task)) if one is not None]
    found = fit(task)
    if not scores:
        assert found is None
        return
    assert found is not None
    best = min(one.key() for one in scores)
    assert found.score.key()[:3] == best[:3]
    assert abs(found.score.off_usual - best[3]) <= RATE_HZ // 1000  # a millisecond


@pytest.mark.parametrize("seed", range(60))
def test_the_bounds_are_those_of_all_combinations(seed: int) -> None:
    """Shortest and longest are the least and the greatest of any choice, to the sample."""
    task = random_task(seed, exercises=2 + seed % 4, most_options=3)
    totals = [sum((way.room for way in ways), start=task.around) for ways in choices(task)]
    assert bounds(task) == (min(t.low for t in totals), max(t.high for t in totals))


def test_both_outcomes_occur() -> None:
    """The random tasks are neither all possible nor all impossible."""
    found: list[Fit | None] = [
        fit(random_task(seed, exercises=2 + seed % 4, most_options=4)) for seed in range(60)
    ]
    assert 10 < sum(one is None for one in found) < 50


def test_fairness_shares_what_must_give() -> None:
    """Of two choices with the same sum of deviations, the one that takes from both wins."""
    usual = Room(low=100, usual=100, high=100)
    half = Room(low=50, usual=50, high=50)
    none = Room(low=0, usual=0, high=0)
    ways = tuple(
        Way(exercise=index, after=index - 1, option=option, deviation=deviation, room=room)
        for index in range(2)
        for option, (deviation, room) in enumerate([(0, usual), (300, half), (600, none)])
    )
    task = Task(length=100, rate_hz=1000, optional=(False, False), around=none, ways=ways)
    found = fit(task)
    assert found is not None
    assert [way.option for way in found.ways] == [1, 1]
