"""The pauses of good coaching, and how long changing position takes.

All values are milliseconds.  Unless a source is named they are common practice in
the trade.
"""

from __future__ import annotations

from breathmark.routine.model import Position

BEFORE_TONE_MS = 500
"""A line ends at least this long before a tone."""

AFTER_TONE_MS = 300
"""Nothing is said for this long after a tone."""

BETWEEN_SENTENCES_MS = 600
"""Between lines that belong together; 0.6 s was judged most natural at punctuation
(Front Psychol 2022;13:778018)."""

A_BREATH_MS = 1_500
"""Between two coaching lines, at least."""

AROUND_COUNT_MS = 300
"""Between a count or a called phase and any other line."""

GET_READY_MS = 2_000
"""Between the end of the set-up and the word that announces the start tone."""

READY_AHEAD_MS = 1_000
"""From the end of that word to the start tone."""

SETTLE_MS = 2_500
"""What an exercise's own chapter keeps of the rest after it: its end tone and a word."""

MOST_SILENCE_MS = 20_000
"""No stretch passes longer than this without a word, a tone or the breathing sound."""

HALFWAY_FROM_MS = 20_000
"""Holds of this length and longer have a halfway call."""

COUNTDOWN_FROM_MS = 10_000
"""Intervals of this length and longer end with a countdown."""

COUNTDOWN_MS = (3_000, 2_000, 1_000)
"""When the countdown tones sound, before the end tone."""

LONG_REPETITION_MS = 6_000
"""Repetitions of this length and longer have their way back called every time, unless coaching
finds no room otherwise."""

QUICK_REPETITION_MS = 3_500
"""Under this length a coaching line may take the place of a count in mid-set."""

LEAD_MS = 300
"""From the start of a span to its first word."""

WELCOME_MARGIN_S = 6
"""How far the opening may differ between two lengths, in seconds: it says the length."""

OPENING_TAIL_MS = 1_000
CLOSING_TAIL_MS = 2_000
CLOSING_STRETCH_MS = 10_000
"""How far each pause in the closing may be stretched to make a length exact."""

_LYING = frozenset({Position.SUPINE, Position.PRONE, Position.SIDE_LYING})
_ON_KNEES = frozenset({Position.KNEELING, Position.HANDS_AND_KNEES})


def _group(position: Position) -> str:
    if position in _LYING:
        return "lying"
    return "knees" if position in _ON_KNEES else position.value


_CHANGE_MS = {
    ("standing", "seated"): 10_000,
    ("standing", "lying"): 30_000,
    ("standing", "knees"): 30_000,
    ("seated", "standing"): 20_000,  # 10 s to rise and 10 s still: blood pressure dips first
    ("seated", "lying"): 20_000,
    ("seated", "knees"): 30_000,
    ("lying", "standing"): 45_000,
    ("lying", "seated"): 30_000,
    ("lying", "lying"): 8_000,
    ("lying", "knees"): 15_000,
    ("knees", "standing"): 30_000,
    ("knees", "seated"): 30_000,
    ("knees", "lying"): 10_000,
    ("knees", "knees"): 5_000,
}


def position_change_ms(before: Position | None, after: Position | None) -> int:
    """How long getting from one position to another takes an older adult, at least.

    Unknown positions and no change take no time of their own.

    >>> position_change_ms(Position.SUPINE, Position.STANDING)
    45000
    """
    if before is None or after is None or before is after:
        return 0
    return _CHANGE_MS.get((_group(before), _group(after)), 0)
