"""How a recording is listened to: what a voice's profile or a patient's file may say of it."""

from __future__ import annotations

import enum


class Hearing(enum.StrEnum):
    """The ears that a recording is made for.

    ``OLDER`` is made for the usual hearing of about 70 years, ``HARD_OF_HEARING`` for that
    of about 80 (ISO 7029:2017, median).
    """

    USUAL = "usual"
    OLDER = "older"
    HARD_OF_HEARING = "hard of hearing"

    @property
    def words(self) -> str:
        """What is said of a recording made for it; empty for the usual hearing."""
        return _MADE_FOR[self]


class Background(enum.StrEnum):
    """What sounds under a whole session: nothing, or a quiet noise made here."""

    NONE = "none"
    QUIET = "quiet"

    @property
    def words(self) -> str:
        """What is said of a recording that has it; empty for none."""
        return "" if self is Background.NONE else "a quiet background under all of it"


_MADE_FOR = {
    Hearing.USUAL: "",
    Hearing.OLDER: "made for older ears",
    Hearing.HARD_OF_HEARING: "made for ears that are hard of hearing",
}
