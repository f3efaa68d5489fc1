"""What stands in one lane of the picture: spans, breaths, tones and speech to scale."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from breathmark.deliver import plan_look as look
from breathmark.deliver.captions import doing_words, words_for
from breathmark.deliver.plan_heard import clean, span_text
from breathmark.deliver.plan_totals import clock
from breathmark.routine.model import Side
from breathmark.script.session import (
    Activity,
    Breath,
    Breathed,
    Event,
    Purpose,
    Session,
    Sounded,
    Span,
    Spoken,
    Tone,
)
from breathmark.script.words import Words

BAND_Y = 16
BAND_HEIGHT = 30
SPEECH_Y = 51
LANE_HEIGHT = 60

_FILLS = {
    Activity.OPENING: look.AROUND,
    Activity.CLOSING: look.AROUND,
    Activity.LEAD_IN: look.LEAD_IN,
    Activity.REST: look.REST,
    Activity.SIDE_CHANGE: look.SIDE_CHANGE,
    Activity.PAUSE: look.PAUSE,
}
_WORK_FILLS = {Side.LEFT: look.LEFT, Side.RIGHT: look.RIGHT, None: look.BOTH}
_GLYPHS = {
    Tone.START: "M{x} 3.5l9 4.5l-9 4.5z",
    Tone.HALFWAY: "M{x} 2.6l5.4 5.4l-5.4 5.4l-5.4 -5.4z",
    Tone.COUNTDOWN: "M{x} 5.8a2.2 2.2 0 1 0 0.01 0z",
    Tone.END: "M{x} 4h8v8h-8z",
}


@dataclass(frozen=True, kw_only=True, slots=True)
class Moments:
    """A session with its language's words, and what finding its events takes.

    That is their starts and the longest, in samples.
    """

    session: Session
    words: Words
    event_starts: Sequence[int] = field(repr=False)
    breath_starts: Sequence[int] = field(repr=False)
    longest: int

    @classmethod
    def of(cls, session: Session) -> Moments:
        """The moments of a session."""
        return cls(
            session=session,
            words=words_for(session),
            event_starts=tuple(event.start for event in session.events),
            breath_starts=tuple(e.start for e in session.events if isinstance(e, Breathed)),
            longest=max((event.length for event in session.events), default=0),
        )

    def clock(self, count: int) -> str:
        """Samples as a clock, in the figures of the language."""
        return self.words.figures(clock(count, self.session.rate_hz))

    def lasting(self, count: int) -> str:
        """How long samples last, in the figures of the language."""
        return self.words.figures(span_text(count, self.session.rate_hz))

    def between(self, start: int, end: int) -> Sequence[Event]:
        """The events that sound between two moments."""
        first = bisect_left(self.event_starts, start - self.longest)
        last = bisect_left(self.event_starts, end)
        return [event for event in self.session.events[first:last] if event.end > start]

    def fill_of(self, span: Span) -> look.Fill:
        """How a span is painted; work with the breathing sound in it is paced breathing."""
        if span.activity is not Activity.WORK:
            return _FILLS[span.activity]
        at = bisect_left(self.breath_starts, span.start)
        breathing = at < len(self.breath_starts) and self.breath_starts[at] < span.end
        return look.BREATHING if breathing else _WORK_FILLS[span.side]


def glyph(tone: Tone, x: float) -> str:
    """Path data of a tone's sign with its onset at ``x``, 16 pixels high."""
    return _GLYPHS[tone].format(x=_px(x))


@dataclass(frozen=True, kw_only=True, slots=True)
class Lane:
    """A window of the session from ``start`` to ``end`` (samples), drawn from x = 0."""

    moments: Moments
    start: int
    end: int
    px_per_sample: float

    @property
    def words(self) -> Words:
        """The words of the session's language."""
        return self.moments.words

    def x(self, sample: int) -> float:
        """Where a moment is, in pixels; moments outside the lane lie on its edge."""
        return self.free_x(min(max(sample, self.start), self.end))

    def drawn(self, spans: Iterable[Span], sets: Iterable[int]) -> str:
        """Everything in the lane; ``sets`` says of how many sets each span is one."""
        events = self.moments.between(self.start, self.end)
        breaths = [event for event in events if isinstance(event, Breathed)]
        parts = [
            self.span(span, of, breaths)
            for span, of in zip(spans, sets, strict=True)
            if span.start < self.end and span.end > self.start and span.length
        ]
        parts += [self.tones(events), *self.speech(events), self.counts(events)]
        return "".join(parts)

    def span(self, span: Span, of: int, breaths: Sequence[Breathed]) -> str:
        """One span: its box, its breaths, its label; the whole story on pointing at it."""
        fill = self.moments.fill_of(span)
        inside = [b for b in breaths if b.start < span.end and b.end > span.start]
        left, right = self.x(span.start), self.x(span.end)
        box = (
            f'<rect x="{_px(left + 0.5)}" y="{BAND_Y}" width="{_px(max(0.6, right - left - 1))}" '
            f'height="{BAND_HEIGHT}" rx="3" fill="{fill.paint}" stroke="{fill.edge}"/>'
        )
        wave = self.wave(inside) if fill is look.BREATHING else ""
        label = self.label(span, of, fill, left, right)
        return f"<g><title>{self.story(span, of)}</title>{box}{wave}{label}</g>"

    def story(self, span: Span, of: int) -> str:
        """A span in words."""
        start, end = self.moments.clock(span.start), self.moments.clock(span.end)
        if self.words.language == "en":
            doing = (span.doing, self.side(span).lower())
        else:
            doing = (doing_words(span, self.words), "")
        parts = (
            *doing,
            self.words.say("player set", n=span.set_number, of=str(of))
            if span.set_number and of > 1
            else "",
            self.words.say("picture from to", start=start, end=end),
        )
        told = ", ".join(part for part in parts if part)
        return look.xml(f"{told} ({self.moments.lasting(span.length)})")

    def label(self, span: Span, of: int, fill: look.Fill, left: float, right: float) -> str:
        """The longest label that fits into a span's box, or none.

        On a pattern it has a plain ground; over a wave it stands above the box.
        """
        texts = self.labels(span, of)
        text = next((t for t in texts if look.text_width(t, 12, bold=True) <= right - left - 8), "")
        if not text:
            return ""
        if fill is look.BREATHING:
            return _label(text, left + 14, BAND_Y - 4, "start", look.INK)
        middle, y = (left + right) / 2, BAND_Y + BAND_HEIGHT / 2 + 4.3
        plate = ""
        if fill.pattern:
            width = look.text_width(text, 12, bold=True) + 4
            plate = (
                f'<rect x="{_px(middle - width / 2)}" y="{_px(y - 12.3)}" width="{_px(width)}" '
                f'height="16" rx="3" fill="{fill.ground}"/>'
            )
        return plate + _label(text, middle, y, "middle", fill.text)

    def labels(self, span: Span, of: int) -> Iterator[str]:
        """Labels of a span, the fullest first."""
        lasting = self.moments.lasting(span.length)
        if span.start < self.start:  # the rest of a span that began in the lane before
            yield self.side(span) or self.name(span)
            return
        if span.activity is not Activity.WORK:
            name = self.name(span)
            yield from (f"{name} {lasting}", name)
            return
        side = self.side(span)
        number = str(span.set_number) if span.set_number and of > 1 else ""
        full = f"{side} {number}".strip()
        if number and not side:
            full = self.words.say("picture set", n=span.set_number)
        if full:
            yield from (f"{full} · {lasting}", full, f"{side[:1]}{number}")
        else:
            if self.words.language == "en":  # what is done is known in the clinician's words only
                yield f"{clean(span.doing)} · {lasting}"
            yield from (lasting, lasting.removesuffix(" s"))

    def name(self, span: Span) -> str:
        """What is done in a span between work, in a word; empty for work."""
        working = span.activity is Activity.WORK
        return "" if working else self.words.say(f"picture {span.activity}")

    def side(self, span: Span) -> str:
        """The side of a span as it stands alone; empty for both."""
        return self.words.say(f"picture {span.side}") if span.side else ""

    def wave(self, breaths: Sequence[Breathed]) -> str:
        """Breaths as a filled wave: rising while breathing in, falling while breathing out.

        A breath that is held stays as high as it rose.
        """
        low, high = BAND_Y + BAND_HEIGHT - 1.0, BAND_Y + 4.0
        parts, risen_at = [], None
        for breath in breaths:
            left, right = self.free_x(breath.start), self.free_x(breath.end)
            rising = breath.direction is Breath.IN
            begin, end = (low, high) if rising else (high, low)
            first = left if rising or risen_at is None else risen_at
            middle = _px((left + right) / 2)
            curve = f"C{middle} {_px(begin)} {middle} {_px(end)} {_px(right)} {_px(end)}"
            parts.append(f"M{_px(first)} {_px(low)}V{_px(begin)}H{_px(left)}{curve}V{_px(low)}z")
            risen_at = right if rising else None
        return (
            f'<path d="{"".join(parts)}" fill="{look.BREATHING.lines}" clip-path="url(#bm-lane)"/>'
        )

    def free_x(self, sample: int) -> float:
        """Where a moment is, in pixels, also when that is outside the lane."""
        return (sample - self.start) * self.px_per_sample

    def tones(self, events: Sequence[Event]) -> str:
        """The signs of the tones, above the band."""
        signs = [
            glyph(event.tone, self.x(event.start))
            for event in events
            if isinstance(event, Sounded) and event.start >= self.start
        ]
        return f'<path d="{"".join(signs)}" fill="{look.INK}"/>' if signs else ""

    def speech(self, events: Sequence[Event]) -> Iterator[str]:
        """Lines as bars under the band, their words on pointing at them."""
        for event in events:
            if isinstance(event, Spoken) and event.purpose is not Purpose.COUNT:
                left = self.x(event.start)
                width = max(1.6, self.x(event.end) - left)
                start = self.moments.clock(event.start)
                told = look.xml(self.words.say("picture said", start=start, line=event.text))
                yield (
                    f'<rect x="{_px(left)}" y="{SPEECH_Y}" width="{_px(width)}" height="8" rx="2" '
                    f'fill="{look.SPEECH}"><title>{told}</title></rect>'
                )

    def counts(self, events: Sequence[Event]) -> str:
        """Counts as short strokes under the band."""
        strokes = [
            f"M{_px(self.x(event.start))} {SPEECH_Y}v5h2.4v-5z"
            for event in events
            if isinstance(event, Spoken)
            and event.purpose is Purpose.COUNT
            and event.start >= self.start
        ]
        return f'<path d="{"".join(strokes)}" fill="{look.COUNTS}"/>' if strokes else ""


def _label(text: str, x: float, y: float, anchor: str, colour: str) -> str:
    return (
        f'<text class="bm-label" x="{_px(x)}" y="{_px(y)}" text-anchor="{anchor}" '
        f'style="fill:{colour}">{look.xml(text)}</text>'
    )


def _px(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")
