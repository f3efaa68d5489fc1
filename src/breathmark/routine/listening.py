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


class Background(enum.StrEnum):
    """What sounds under a whole session: nothing, or a quiet noise made here."""

    NONE = "none"
    QUIET = "quiet"
