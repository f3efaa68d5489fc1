"""What a file says of listening: for which ears, and what sounds beneath."""

from __future__ import annotations

from breathmark.routine.listening import Background, Hearing
from breathmark.routine.reader import Reader, Section
from breathmark.routine.rules import Rule

TAKE_ONE_OUT = "Take `background` out, or write `hearing: usual`."


def read_listening(reader: Reader, section: Section) -> tuple[Hearing | None, Background | None]:
    """The `hearing` and `background` of a file, ``None`` where it says nothing.

    A background beside a hearing that rules it out is a problem of the file.
    """
    hearing = reader.choice(section.get("hearing"), Hearing)
    value = section.get("background")
    background = reader.choice(value, Background)
    if value is not None and clash(hearing, background):
        reader.wrong(value, Rule.CONTRADICTION, why_none(hearing), TAKE_ONE_OUT)
    return hearing, background


def clash(hearing: Hearing | None, background: Background | None) -> bool:
    """Whether a background is asked for where there can be none."""
    return hearing not in {None, Hearing.USUAL} and background is Background.QUIET


def why_none(hearing: Hearing | None) -> str:
    """Why a recording for some hearing has no background."""
    return f"a recording for hearing that is `{hearing}` has no background: it would hide words"
