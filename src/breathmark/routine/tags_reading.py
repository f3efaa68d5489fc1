"""Tags and targets in a file: held against the words that are known, or declared there."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from pathlib import Path

from breathmark.problems import misspelt
from breathmark.routine.everyday import choice_meant
from breathmark.routine.nodes import Broken, Fields
from breathmark.routine.reader import MOST_NAME, Reader, Value, short
from breathmark.routine.rules import Rule
from breathmark.routine.source import TABLES
from breathmark.routine.tags import Pairs, Target, same_word

_BETWEEN = re.compile(r"[,;/&+]|\band\b|\bor\b")
"""What people write between two words of a list."""

MOST_AKIN = 8
"""No more words are named in a remedy."""

DECLARES = {"tags": "what it means", "targets": "the words a patient knows it by"}
"""The keys under which a file declares words of its own, and what stands behind each word."""


def read_tags(reader: Reader, value: Value | None) -> tuple[str, ...]:
    """Tags that are published or declared, each spelled as in its list."""
    return _known(reader, value, "tag", reader.known.tags, Rule.UNKNOWN_TAG)


def read_targets(reader: Reader, value: Value | None) -> tuple[str, ...]:
    """Targets that are published or declared, each spelled as in its list."""
    return _known(reader, value, "target", reader.known.targets, Rule.UNKNOWN_TARGET)


def read_declared(reader: Reader, value: Value | None, key: str) -> Pairs:
    """The words that a file declares under ``tags`` or ``targets``, with their meanings."""
    if value is None or isinstance(value.node, Broken):
        return ()
    if not isinstance(value.node, Fields):
        reader.wrong_type(value, f"a mapping of words, each with {DECLARES[key]}")
        return ()
    section = reader.section(value, f"`{key}`", valid=value.node.entries)
    pairs = []
    for name, meaning in section.values.items() if section else ():
        key_node = value.node.entries[name].key
        named = Value(node=key_node, path=meaning.path)
        word = reader.text(named, most=MOST_NAME)
        if word and not _is_taken(reader, named, word, key):
            pairs.append((word, reader.text(meaning)))
    return tuple(pairs)


def know_declared(reader: Reader, tags: Value | None, targets: Value | None) -> tuple[Pairs, Pairs]:
    """Read what a file declares and let the reader know it; the tags and the targets."""
    own = read_declared(reader, tags, "tags"), read_declared(reader, targets, "targets")
    reader.known = reader.known.with_own(*own)
    return own


def unknown_remedy(word: str, listed: Mapping[str, object], what: str) -> str:
    """The listed word that was misspelt, else those akin to it and how to declare one."""
    close = misspelt(word[:MOST_NAME], listed)
    if close:
        return f"Did you mean `{close}`?"
    akin = [f"`{one}`" for one in listed if _is_akin(one, word)]
    akin = akin or [f"`{one}`" for one, means in listed.items() if _means(means, word)]
    near = f"There are {', '.join(akin[:MOST_AKIN])}." if akin else f"No {what} is spelled like it."
    own = f"{what}s: {{{short(word)}: {DECLARES[f'{what}s']}}}"
    listed_by = f"`breathmark exercises --{what}s` lists all."
    return f"{near} {listed_by} Declare your own at the left edge: `{own}`."


def _is_akin(listed: str, word: str) -> bool:
    """Whether a word of one is a word of the other, or its beginning: `quads`, `glute med`."""
    pairs = [(one, other) for one in _stems(listed) for other in _stems(word)]
    return any(
        one == other
        or (len(one) >= 4 <= len(other) and one.startswith(other))
        or (len(one) >= 4 <= len(other) and other.startswith(one))
        for one, other in pairs
    )


def _means(meaning: object, word: str) -> bool:
    """Whether a patient knows it by one of the words: `calf`."""
    return isinstance(meaning, Target) and bool(_stems(meaning.plain) & _stems(word))


def _stems(text: str) -> frozenset[str]:
    """The words of a text that tell something, without the endings of the plural."""
    return frozenset(one.removesuffix("s") for one in re.findall(r"\w{3,}", text.lower())) - _COMMON


_COMMON = frozenset(
    [
        "the",
        "flexor",
        "extensor",
        "abductor",
        "adductor",
        "flexion",
        "extension",
        "rotation",
        "end",
        "range",
        "open",
        "closed",
        "joint",
    ]
)
"""Words that many tags and targets share, and that tell nothing of where."""


def _known(
    reader: Reader, value: Value | None, what: str, listed: Mapping[str, object], rule: Rule
) -> tuple[str, ...]:
    words = []
    for item in reader.items(value):
        word = reader.text(item, most=MOST_NAME)
        spelled = _as_listed(word, listed)
        if word and spelled is None:
            message = f"there is no {what} `{short(word)}`"
            remedy = in_a_list(word, listed, item.place.file) or unknown_remedy(word, listed, what)
            reader.wrong(item, rule, message, remedy)
        words.append(spelled or word)
    return tuple(dict.fromkeys(word for word in words if word))


def _as_listed(word: str, listed: Collection[str]) -> str | None:
    """The word as its list spells it; ``None`` where it is not there."""
    return next((known for known in listed if same_word(known, word)), None)


def in_a_list(word: str, listed: Collection[str], file: str) -> str:
    """What to write where several listed words stand in one text, else nothing."""
    parts = [part.strip() for part in _BETWEEN.split(word) if part.strip()]
    found = [_as_listed(part, listed) or choice_meant(part, listed) for part in parts]
    if len(parts) < 2 or not any(found):
        return ""
    words = (known or one for known, one in zip(found, parts, strict=True))
    if Path(file).suffix.lower() in TABLES:
        return f"Write each by itself: `{'; '.join(words)}`."
    return f"Write each by itself: `[{', '.join(words)}]`."


def _is_taken(reader: Reader, named: Value, word: str, key: str) -> bool:
    known = reader.known
    taken = known.tag(word) if key == "tags" else known.target(word)
    if taken is None:
        return False
    means = known.tags[taken] if key == "tags" else known.targets[taken].plain
    message = f"`{short(word)}` is a word already: {means}"
    reader.wrong(named, Rule.WORD_TAKEN, message, "Use it as it is, or choose another word.")
    return True
