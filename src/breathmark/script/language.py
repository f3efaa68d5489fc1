"""What a routine's language asks for: built-in words, a voice, endings on the side words."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator

from breathmark.problems import InputProblems, Problem
from breathmark.routine.model import Exercise, Routine, Variation
from breathmark.script.words import Words, catalogue_of, languages, words_of
from breathmark.speech.profiles import USUAL_VOICES, primary


def in_its_language(routine: Routine) -> Routine:
    """The routine with the usual voice of its language, unless it names one itself.

    Raises :class:`~breathmark.problems.InputProblems` when there are no built-in words for
    the language, when it has no voice of its own and the routine names none, and for each
    ``{side}`` without an ending that the language knows.
    """
    if catalogue_of(routine.language) is None:
        raise InputProblems([_without_words(routine)])
    problems = list(_strange_sides(routine, words_of(routine.language)))
    usual = USUAL_VOICES.get(primary(routine.language))
    if "voice" in routine.places or usual == routine.voice:
        if problems:
            raise InputProblems(problems)
        return routine
    if usual is None:
        problems.append(_without_voice(routine))
    if problems or usual is None:
        raise InputProblems(problems)
    return dataclasses.replace(routine, voice=usual)


def _without_words(routine: Routine) -> Problem:
    code = primary(routine.language)
    return Problem(
        rule="unknown-language",
        message=f"there are no built-in words for the language `{routine.language}`",
        place=routine.place("language"),
        remedy=(
            f"There are words for: {', '.join(languages())}. For another language, translate "
            f"breathmark/script/words/en.yaml and put it beside that as {code}.yaml."
        ),
    )


def _without_voice(routine: Routine) -> Problem:
    return Problem(
        rule="no-voice",
        message=f"no voice that comes with Breathmark speaks `{routine.language}`",
        place=routine.place("language"),
        remedy=(
            "Put a Piper model of this language into a folder of voices (its two files), or a "
            f"profile with `engine: system` and `language: {primary(routine.language)}`, and "
            "name it here with `voice:`."
        ),
    )


def _strange_sides(routine: Routine, words: Words) -> Iterator[Problem]:
    endings = ", ".join(f"`{{side}}{ending}`" for ending in words.side_endings)
    for exercise in (*routine.exercises, *routine.alternatives):
        for field, text in _texts(exercise):
            for strange in words.strange_sides(text):
                yield Problem(
                    rule="side-ending",
                    message=(
                        f"{exercise.name}: in `{words.language}` the word for a side needs an "
                        f"ending that it knows, not `{strange}`"
                    ),
                    place=routine.place(f"{exercise.path}.{field}"),
                    remedy=f"Write one of {endings}, and the same after `{{other side}}`.",
                )


def _texts(exercise: Exercise) -> Iterator[tuple[str, str]]:
    """The texts of an exercise that may name a side, each with its field."""
    for field in ("setup", "feel", "breathe", "helper"):
        for text in getattr(exercise, field):
            yield field, text
    for index, cue in enumerate(exercise.cues):
        yield f"cues[{index}]", cue.say
    for part in dataclasses.fields(exercise.calls):
        yield f"calls.{part.name}", getattr(exercise.calls, part.name)
    for field in ("easier", "harder"):
        variation: Variation | None = getattr(exercise, field)
        for text in variation.say if variation else ():
            yield field, text
