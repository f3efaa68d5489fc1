"""Everything Breathmark says by itself, one file a language, in ``words/``.

Entries are templates with named fields; an entry with several forms chooses one by
the number ``n`` (the plural categories of Unicode CLDR, through Babel).  The loader
refuses a catalogue that lacks an entry or asks for a field that the English one does
not have.

The word for a side changes with its place in many languages, so authors write its ending
behind the braces, ``{side}en`` in German, and so do the entries.  The entries ``left`` and
``right`` list the endings; the form ``other`` is what the entries' own fields take.
"""

from __future__ import annotations

import functools
import re
import string
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

from breathmark.problems import Fault, did_you_mean
from breathmark.routine.model import Side

_FOLDER = Path(__file__).parent / "words"
_OTHER = "other"
_SIDED = re.compile(r"\{(other )?side\}([^\W\d_]*)")


@dataclass(frozen=True, kw_only=True, slots=True)
class Words:
    """The catalogue of one language; ``language`` is its code, such as ``de``."""

    language: str
    entries: Mapping[str, Mapping[str, str]]

    def say(self, key: str, *, n: int | Decimal | None = None, **fields: str) -> str:
        """The text of ``key``, its fields filled in; ``n`` also chooses the plural form."""
        forms = self.entries[key]
        values = {**fields, "n": _written(n, self.language)} if n is not None else fields
        return self._form(forms, n).format(**values)

    def side(self, side: Side) -> str:
        """The word for a side as the entries take it: its stem, where it has endings."""
        return self.say(side.value)

    @property
    def side_endings(self) -> tuple[str, ...]:
        """What may follow ``{side}``; an empty text when it may stand alone.

        >>> words_of("es").side_endings, words_of("en").side_endings
        (('o', 'a', 'os', 'as'), ('',))
        """
        endings = tuple(form for form in self.entries[Side.LEFT.value] if form != _OTHER)
        return endings or ("",)

    def with_side(self, text: str, side: Side) -> str:
        """A text with the words for ``{side}`` and ``{other side}``, each with its ending.

        An ending that the language does not know follows the word as it is written.

        >>> words_of("de").with_side("Den {side}en Fuß nach {other side}s.", Side.LEFT)
        'Den linken Fuß nach rechts.'
        """

        def word(match: re.Match[str]) -> str:
            forms = self.entries[(side.other if match[1] else side).value]
            return forms.get(match[2]) or forms[_OTHER] + match[2]

        return _SIDED.sub(word, text)

    def strange_sides(self, text: str) -> Iterator[str]:
        """The ``{side}`` words of a text whose ending is none of the language's.

        >>> list(words_of("de").strange_sides("Den {side} Fuß zur {side}en Wand."))
        ['{side}']
        """
        endings = self.side_endings
        if endings == ("",):  # what follows is the author's own
            return
        for match in _SIDED.finditer(text):
            if match[2] not in endings:
                yield match[0]

    def time(self, duration_ms: int) -> str:
        """A length of time as it is said, to a tenth of a second.

        >>> words_of("en").time(90_000), words_of("de").time(3_500)
        ('1 minute and 30 seconds', '3,5 Sekunden')
        """
        minutes, tenths = divmod((duration_ms + 50) // 100, 600)
        rest = Decimal(tenths) / 10 if tenths % 10 else tenths // 10
        if not minutes:
            return self.say("seconds", n=rest)
        if not rest:
            return self.say("minutes", n=minutes)
        return self.say(
            "minutes and seconds",
            minutes=self.say("minutes", n=minutes),
            seconds=self.say("seconds", n=rest),
        )

    def figures(self, written: str) -> str:
        """Figures with a decimal point, such as ``2.5 s``, as the language writes them.

        >>> words_of("en").figures("1:05.5"), words_of("de").figures("2.5 s")
        ('1:05.5', '2,5 s')
        """
        from babel.numbers import get_decimal_symbol

        sign = get_decimal_symbol(self.language.replace("-", "_"))
        return re.sub(r"(?<=\d)\.(?=\d)", sign, written)

    def _form(self, forms: Mapping[str, str], n: int | Decimal | None) -> str:
        if n is None or len(forms) == 1:
            return forms[_OTHER]
        return forms.get(_category_of(self.language)(n), forms[_OTHER])


def _written(n: int | Decimal, language: str) -> str:
    """A number as the language writes it; whole ones without grouping."""
    if isinstance(n, int):
        return str(n)
    from babel.numbers import format_decimal

    return format_decimal(n, locale=language.replace("-", "_"))


def languages() -> tuple[str, ...]:
    """The codes of the languages there is a catalogue for."""
    return tuple(sorted(path.stem for path in _FOLDER.glob("*.yaml")))


def catalogue_of(language: str) -> str | None:
    """The code of the catalogue for a language tag (BCP 47): its own, else the language's.

    >>> catalogue_of("de-AT"), catalogue_of("tlh")
    ('de', None)
    """
    tried = (language, language.split("-", maxsplit=1)[0])
    return next((code for code in tried if code in languages()), None)


def words_of(language: str) -> Words:
    """The catalogue for ``language``; :class:`Fault` when there is none or it is not whole."""
    code = catalogue_of(language)
    if code is None:
        raise Fault(
            f"there are no built-in words for the language `{language}`",
            remedy=did_you_mean(language, languages()),
        )
    return _read(code)


@functools.cache
def _read(code: str) -> Words:
    entries = _entries(code)
    if code != "en":
        _require_same(code, entries, _entries("en"))
    return Words(language=code, entries=entries)


@functools.cache
def _category_of(code: str) -> Callable[[int | Decimal], str]:
    """The plural rule of a language: a number to the name of its category (CLDR)."""
    from babel import Locale

    rule: Callable[[int | Decimal], str] = Locale.parse(code, sep="-").plural_form
    return rule


def _entries(language: str) -> dict[str, dict[str, str]]:
    import yaml

    text = (_FOLDER / f"{language}.yaml").read_text(encoding="utf-8")
    raw = yaml.load(text, Loader=yaml.BaseLoader)
    return {
        key: value if isinstance(value, dict) else {_OTHER: value} for key, value in raw.items()
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
        if _OTHER not in forms or not _fields(forms) <= _fields(english.get(key, forms))
    ]
    if missing or odd:
        raise Fault(f"the words for `{language}` are not whole: {', '.join(missing + odd)}")


def _fields(forms: Mapping[str, str]) -> frozenset[str]:
    return frozenset().union(*(fields_of(form) for form in forms.values()))
