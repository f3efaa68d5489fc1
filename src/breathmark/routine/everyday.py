"""Everyday words for what a file calls otherwise, so that a remedy names the right thing.

Only words that mean the same are here: a wrong offer is taken in haste, and is then a
wrong prescription.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection, Mapping
from typing import Final

from breathmark.routine import everyday_abroad as abroad

_CHOICES: Final[Mapping[str, str]] = {
    **dict.fromkeys(("sit", "sitting", "seat", "in a chair"), "seated"),
    **dict.fromkeys(("stand", "on your feet"), "standing"),
    **dict.fromkeys(("on your back", "on the back", "lying on the back", "face up"), "supine"),
    **dict.fromkeys(("hooklying", "hook-lying", "hook lying", "crook lying"), "supine"),
    **dict.fromkeys(("on your stomach", "lying face down", "face down"), "prone"),
    **dict.fromkeys(("on your side", "on the side", "lying on the side"), "side-lying"),
    **dict.fromkeys(("all fours", "on all fours", "quadruped"), "hands and knees"),
    **dict.fromkeys(("l", "lt", "left side", "left leg", "left arm"), "left"),
    **dict.fromkeys(("r", "rt", "right side", "right leg", "right arm"), "right"),
    **dict.fromkeys(("each side", "per side", "each leg", "each arm", "each foot"), "each"),
    **dict.fromkeys(("alternate", "alternately", "by turns", "alternate legs"), "alternating"),
    **dict.fromkeys(("rest", "break"), "pause"),
    **dict.fromkeys(("stretch", "static stretch", "isometric", "static"), "hold"),
    **dict.fromkeys(("repetitions", "rep"), "reps"),
    **dict.fromkeys(("pnf", "contract relax"), "contract-relax"),
    **dict.fromkeys(("breath", "breathe", "breaths"), "breathing"),
    **dict.fromkeys(("hoh", "hearing loss"), "hard of hearing"),
    **dict.fromkeys(("htn", "hypertension", "high bp"), "high blood pressure"),
    **dict.fromkeys(("thr", "tha", "total hip replacement"), "hip replacement"),
    **dict.fromkeys(("orthostatic hypotension",), "low blood pressure on standing"),
}
_TWO_MEANINGS: Final[Mapping[str, str]] = dict.fromkeys(
    ("bilateral", "bilaterally", "bilat", "b/l", "both sides", "both legs", "both arms",
     "beidseits", "beide seiten", "ambos lados", "bilatéral", "des deux côtés", "les deux côtés"),
    "Write `both` where the sides work at once, `each` where one works after the other.",
)  # fmt: skip
"""What is told of words that may mean either of two of ours: the wrong one is half the dose."""

_KEYS: Final[Mapping[str, str]] = {
    **dict.fromkeys(("breathing", "breath"), "breathe"),
    **dict.fromkeys(("regress", "regression", "easy", "easier version"), "easier"),
    **dict.fromkeys(("progress", "progression", "hard", "harder version"), "harder"),
    **dict.fromkeys(("instruction", "instructions", "set-up", "set up"), "setup"),
    **dict.fromkeys(("cue", "cueing", "notes"), "cues"),
    **dict.fromkeys(("rep", "repetitions"), "reps"),
    **dict.fromkeys(("image", "photo", "photograph"), "picture"),
    **dict.fromkeys(("inhale", "breathe in"), "in"),
    **dict.fromkeys(("exhale", "breathe out"), "out"),
    **{"type": "kind", "rest": "rests", "week": "from"},
    **dict.fromkeys(("muscle", "muscles"), "targets"),
    **dict.fromkeys(("precautions", "precaution", "warnings", "warning"), "cautions"),
    **dict.fromkeys(("alternative", "substitute", "replacement"), "instead"),
}
NO_EXERCISE_KEY: Final[Mapping[str, str]] = {
    **dict.fromkeys(
        ("precautions", "precaution", "warnings", "warning"),
        "the routine, as `cautions`: they are said and printed for all",
    ),
    **dict.fromkeys(
        ("contraindications", "contraindication"),
        "`involves` as tags that a patient may have to avoid, and to the routine's `cautions`",
    ),
    "duration": "`hold` where a position is kept, else to `time`",
    **dict.fromkeys(
        ("rpe", "intensity", "effort", "borg"), "`feel`, in words: how hard it should be"
    ),
    **dict.fromkeys(
        ("resistance", "weight", "load", "band"), "`setup`, in words, and to `equipment`"
    ),
}
"""Where what an exercise has no key for belongs to."""


NO_TEMPO_KEY: Final[Mapping[str, str]] = dict.fromkeys(
    ("up", "down", "lift", "lower", "raise", "concentric", "eccentric", "push", "pull"),
    "`out` if that way comes first, else to `back`",
)
"""Where a way that has no name of its own in a tempo belongs to: up is not always first."""


def choice_meant(word: str, valid: Collection[str]) -> str | None:
    """The valid word of a choice that an everyday word means, if there is one.

    >>> choice_meant("Sitting", ["standing", "seated"]), choice_meant("lying", ["supine"])
    ('seated', None)
    >>> choice_meant("im Sitzen", ["standing", "seated"])
    'seated'
    """
    return _of(_CHOICES, abroad.CHOICES, word, valid)


def two_meanings(word: str) -> str:
    """The remedy for a word that may mean either of two of ours, else nothing.

    >>> two_meanings("Both legs"), two_meanings("left leg")
    ('Write `both` where the sides work at once, `each` where one works after the other.', '')
    """
    return _TWO_MEANINGS.get(_plain(word), "")


def key_meant(word: str, valid: Collection[str]) -> str | None:
    """The valid key that an everyday word means, if there is one.

    >>> key_meant("progression", ["rests", "harder"])
    'harder'
    """
    return _of(_KEYS, abroad.KEYS, word, valid)


def is_answer(text: str) -> bool:
    """Whether a text is no more than a yes or a no, in any of the languages.

    >>> is_answer("Yes."), is_answer("oui"), is_answer("Yes, hold the chair.")
    (True, True, False)
    """
    answers = ("yes", "no")
    plain = text.lower().rstrip(". ")
    return plain in answers or choice_meant(plain, answers) is not None


def in_parts(key: str, written: str) -> str:
    """The remedy where a text stands for the parts of ``key``: with its numbers, if it has them.

    >>> in_parts("pattern", "4-7-8")
    'Write each part, such as `pattern: {in: 4 s, hold in: 7 s, out: 8 s}`.'
    """
    if key == "sides":
        return "Write `sides: {first: left}`, or `sides: {only: left}` if there is no other."
    if key == "rests":
        wish = written.strip() if re.match(r"\d+(?:[.,]\d+)?\s*[a-z]", written) else "30 s"
        return f"Write which rest it is, such as `rests: {{sets: {wish}}}` between sets."
    numbers = re.findall(r"\d+(?:\.\d+)?", written)
    if len(numbers) == 1 and re.fullmatch(r"\d{3,4}", numbers[0]):
        numbers = list(numbers[0])
    elif len(numbers) == 1:
        numbers *= 2
    names = _PARTS.get(key, {}).get(len(numbers)) or _PARTS.get(key, {}).get(2)
    if not names:
        return ""
    numbers = numbers if len(numbers) == len(names) else ["3"] * len(names)
    parts = [f"{name}: {number} s" for name, number in zip(names, numbers, strict=True)]
    first = " `out` is the way that comes first." if key == "tempo" and len(parts) > 1 else ""
    return f"Write each part, such as `{key}: {{{', '.join(parts)}}}`.{first}"


_PARTS: Final[Mapping[str, Mapping[int, tuple[str, ...]]]] = {
    "tempo": {
        2: ("out", "back"),
        3: ("out", "hold", "back"),
        4: ("out", "hold", "back", "pause"),
    },
    "pattern": {
        2: ("in", "out"),
        3: ("in", "hold in", "out"),
        4: ("in", "hold in", "out", "hold out"),
    },
}


def _of(
    words: Mapping[str, str],
    others: Mapping[str, tuple[str, ...]],
    word: str,
    valid: Collection[str],
) -> str | None:
    plain = _plain(word)
    meant = (words.get(plain), *others.get(plain, ()))
    return next((one for one in meant if one in valid), None)


def _plain(word: str) -> str:
    return " ".join(unicodedata.normalize("NFC", word).lower().split()).rstrip(". ")
