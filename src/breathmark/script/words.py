"""Everything Breathmark says by itself, one file a language, in ``words/``.

Entries are templates with named fields; an entry with several forms chooses one by
the number ``n`` (the plural names of Unicode CLDR).  The loader refuses a catalogue
that lacks an entry or asks for a field that the English one does not have.
"""

from __future__ import annotations

import functools
import string
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from breathmark.problems import Fault, did_you_mean
from breathmark.routine.model import Side

_FOLDER = Path(__file__).parent / "words"


@dataclass(frozen=True, kw_only=True, slots=True)
class Words:
    """The catalogue of one language."""

    language: str
    entries: Mapping[str, Mapping[str, str]]

    def say(self, key: str, *, n: int | None = None, **fields: str) -> str:
        """The text of ``key``, its fields filled in; ``n`` also chooses the plural form."""
        forms = self.entries[key]
        template = forms["one" if n == 1 and "one" in forms else "other"]
        values = {**fields, "n": str(n)} if n is not None else fields
        return template.format(**values)

    def side(self, side: Side) -> str:
        """The word for a side."""
        return self.say(side.value)

    def time(self, duration_ms: int) -> str:
        """A length of time as it is said: ``1 minute and 30 seconds``.

        >>> words_of("en").time(90_000)
        '1 minute and 30 seconds'
        """
        minutes, rest = divmod(round(duration_ms / 1000), 60)
        if not minutes:
            return self.say("seconds", n=rest)
        if not rest:
            return self.say("minutes", n=minutes)
        return self.say(
            "minutes and seconds",
            minutes=self.say("minutes", n=minutes),
            seconds=self.say("seconds", n=rest),
        )


def languages() -> tuple[str, ...]:
    """The codes of the languages there is a catalogue for."""
    return tuple(sorted(path.stem for path in _FOLDER.glob("*.yaml")))


@functools.cache
def words_of(language: str) -> Words:
    """The catalogue of ``language``; :class:`Fault` when there is none or it is not whole."""
    if language not in languages():
        raise Fault(
            f"there are no built-in words for the language `{language}`",
            remedy=did_you_mean(language, languages()),
        )
    entries = _entries(language)
    if language != "en":
        _require_same(language, entries, _entries("en"))
    return Words(language=language, entries=entries)


def _entries(language: str) -> dict[str, dict[str, str]]:
    import yaml

    text = (_FOLDER / f"{language}.yaml").read_text(encoding="utf-8")
    raw = yaml.load(text, Loader=yaml.BaseLoader)
    return {
        key: value if isinstance(value, dict) else {"other": value} for key, value in raw.items()
    }


def fields_of(template: str) -> frozenset[str]:
    """The names of the fields that a template asks for."""
    return frozenset(name for _, name, _, _ in string.Formatter().parse(template) if name)


def _require_same(
    language: str,
    entries: Mapping[str, Mapping[str, str]],
    english: Mapping[str, Mapping[str, str]],
) -> None:
    missing = [key for key in english if key not in entries]
    odd = [
        key
        for key, forms in entries.items()
        if key not in english or not _fields(forms) <= _fields(english[key])
    ]
    if missing or odd:
        raise Fault(f"the words for `{language}` are not whole: {', '.join(missing + odd)}")


def _fields(forms: Mapping[str, str]) -> frozenset[str]:
    return frozenset().union(*(fields_of(form) for form in forms.values()))
