"""What every kind of work interval needs, and the fixed points they share."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from breathmark.routine.model import Exercise
from breathmark.script import pacing
from breathmark.script.coaching import with_sides
from breathmark.script.dose_words import doing_text
from breathmark.script.draft import Line, Pinned, SpanDraft, SpeechLengths
from breathmark.script.intervals import Interval
from breathmark.script.session import TONE_MS, Activity, Purpose, Tone
from breathmark.script.words import Words


@dataclass(frozen=True, kw_only=True, slots=True)
class Task:
    """One work interval to lay out: ``coaching`` holds its lines, most important first.

    ``own_out`` tells that ``calls.out`` is the routine's own: a library's gives way to the
    count, which begins the repetition too, and is not missed.
    """

    exercise: Exercise
    interval: Interval
    coaching: tuple[Line, ...]
    words: Words
    lengths: SpeechLengths
    own_out: bool = True

    def ms(self, duration_ms: int) -> int:
        """Milliseconds as samples."""
        return self.lengths.ms(duration_ms)

    @property
    def after_start_tone(self) -> int:
        """The first offset at which something may be said."""
        return self.ms(TONE_MS[Tone.START] + pacing.AFTER_TONE_MS)

    def call(self, own: str, key: str = "") -> Line:
        """A called phase: the author's word for it, else the built-in one."""
        text = with_sides(own, self.interval.side, self.words) if own else self.words.say(key)
        return Line(text=_as_sentence(text), purpose=Purpose.PHASE)

    def fits(self, line: Line, offset: int, until: int, *, tone: bool = False) -> bool:
        """Whether a line said at ``offset`` ends well before the word or ``tone`` at ``until``."""
        margin = pacing.BEFORE_TONE_MS if tone else pacing.AROUND_COUNT_MS
        room = until - offset - self.ms(margin)
        return self.lengths.of(line.text) <= room

    def span(
        self,
        length: int,
        pinned: Iterable[Pinned],
        *,
        soft: Iterable[Pinned] = (),
        late: Iterable[Pinned] = (),
        calls: Iterable[Line] = (),
        coaching: tuple[Line, ...] | None = None,
    ) -> SpanDraft:
        """The finished draft: the given fixed points between start tone and end tone."""
        tones = (Pinned(offset=0, what=Tone.START), Pinned(offset=length, what=Tone.END))
        return SpanDraft(
            activity=Activity.WORK,
            doing=doing_text(self.exercise),
            low=length,
            usual=length,
            high=length,
            path=self.exercise.path,
            side=self.interval.side,
            set_number=self.interval.set_number,
            pinned=tuple(sorted((*tones, *pinned), key=lambda pin: pin.offset)),
            soft=tuple(soft),
            late=tuple(late),
            calls=tuple(calls),
            coaching=self.coaching if coaching is None else coaching,
            quiet=self.exercise.quiet,
        )


def _as_sentence(text: str) -> str:
    return text if text.endswith((".", "!", "?", ",")) else f"{text}."


def halfway(task: Task, length: int) -> tuple[Pinned, ...]:
    """The halfway tone and word of an interval, when it is long enough for them."""
    if length < task.ms(pacing.HALFWAY_FROM_MS):
        return ()
    middle = length // 2
    word = Line(text=task.words.say("halfway"), purpose=Purpose.TIME)
    after = middle + task.ms(TONE_MS[Tone.HALFWAY] + pacing.AFTER_TONE_MS)
    return Pinned(offset=middle, what=Tone.HALFWAY), Pinned(offset=after, what=word)


def countdown(task: Task, start: int, end: int) -> tuple[Pinned, ...]:
    """The countdown tones before ``end``, when the stretch from ``start`` is long enough."""
    if end - start < task.ms(pacing.COUNTDOWN_FROM_MS):
        return ()
    return tuple(
        Pinned(offset=end - task.ms(before), what=Tone.COUNTDOWN) for before in pacing.COUNTDOWN_MS
    )
