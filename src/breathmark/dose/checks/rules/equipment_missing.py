"""Equipment is named in the words and not listed.

What: a line names a thing from the list of equipment (a chair, a towel, a band, …) that
neither the exercise nor the routine lists under `equipment`.

Why: the patient who has to fetch a towel in the middle misses the exercise, and the
handout's list of what to have at hand is wrong.

Source: equipment is the first of the CERT's items, Slade 2016, BJSM 50:1428-37
(published).

To mend: add it to the exercise's or the routine's `equipment`.

To accept: say why nothing needs to be at hand, such as a word that means something else.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import lru_cache

from breathmark.dose.checks.finding import Check, Finding, Subject
from breathmark.dose.checks.lines import Line, exercise_lines, routine_lines
from breathmark.problems import Severity
from breathmark.routine.tags import published

_NO_THING = re.compile(
    r"counter[ -]?clockwise|(?:iliotibial|IT|waist) band|nail bed", re.IGNORECASE
)


def find(subject: Subject) -> Iterator[Finding]:
    """Things named in the words and listed nowhere, each once for an exercise."""
    shared = subject.routine.equipment
    for exercise in subject.every_exercise:
        lines = [line for line in exercise_lines(exercise) if line.kind != "name"]
        yield from _missing(lines, (*shared, *exercise.equipment))
    everywhere = [one for each in subject.routine.exercises for one in each.equipment]
    own = [line for line in routine_lines(subject.routine) if line.kind != "title"]
    yield from _missing(own, (*shared, *everywhere))


def _missing(lines: Iterable[Line], listed: tuple[str, ...]) -> Iterator[Finding]:
    told: set[str] = set()
    for line in lines:
        for thing, word in _named(line.text):
            if word.lower() in told or _is_listed(word, listed):
                continue
            told.add(word.lower())
            message = f"`{word}` is named here and not listed under `equipment`"
            remedy = f"Add it there, such as `equipment: [{thing}]`."
            yield Finding.in_line(line, message, remedy, word)


@lru_cache(maxsize=2048)  # the same lines come back with every patient of a caseload
def _named(text: str) -> tuple[tuple[str, str], ...]:
    """What to list, and the words that name it in a text, each word once.

    A `frozen bottle` is no `small weight`: a thing's own name counts when it is written out.
    """
    plain = _NO_THING.sub(" ", text)
    found: dict[str, tuple[str, str]] = {}
    for thing, words in published().equipment.items():
        for word in words:
            match = re.search(rf"\b{re.escape(word)}\b", plain, re.IGNORECASE)
            if match:
                known = found.get(word, ("", ""))[0]
                named = thing if re.search(rf"\b{re.escape(thing)}\b", plain, re.I) else ""
                best = max(known, named or match.group().lower(), key=len)
                found[word] = (best, match.group())
    return tuple(found.values())


def _is_listed(word: str, listed: Iterable[str]) -> bool:
    """Whether a listed thing is published with the word, or says it itself."""
    one = word.lower().removesuffix("s")
    for item in listed:
        words = published().equipment.get(item.lower(), ())
        if word.lower() in words or re.search(rf"\b{re.escape(one)}s?\b", item.lower()):
            return True
    return False


CHECK = Check(
    id="equipment-missing",
    severity=Severity.CAUTION,
    says="equipment is named in the words and not listed",
    find=find,
    english=True,
)
