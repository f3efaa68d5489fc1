"""The session as a picture: ``plan.svg``, one file with nothing outside it.

On top the whole session as one strip with a minute scale; under it a lane for each
chapter, all to the same scale, so that lengths can be compared at a glance.  A chapter
that is longer than a lane goes on in the next.  Under each lane stands the session's own clock,
so that what is heard at 7:30 is found without a sum.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from breathmark.deliver import plan_look as look
from breathmark.deliver.plan_heard import clean
from breathmark.deliver.plan_legend import legend
from breathmark.deliver.plan_marks import BAND_HEIGHT, BAND_Y, LANE_HEIGHT, Lane, Moments
from breathmark.deliver.plan_totals import totals, work_of
from breathmark.routine.listening import Background, Hearing
from breathmark.script.session import Block, Session
from breathmark.script.words import Words
from breathmark.units import clock_text

WIDTH = 1200
_EDGE = 36
_LANE_X = 304
_LANE_WIDTH = WIDTH - _EDGE - _LANE_X
_NAME_X = _EDGE + 40
_NAME_WIDTH = _LANE_X - _NAME_X - 18
_CLOCK_Y = LANE_HEIGHT + 10
_ROW = LANE_HEIGHT + 30
_STRIP_Y, _STRIP_HEIGHT = 118, 24
_LANES_Y = 222

_LANE_LENGTHS_S = (30, 60, 90, 120, 150, 180, 240, 300, 450, 600, 900, 1200, 1800, 3600)
_LONGEST_USUAL_S = 240
_MOST_ROWS = 72
_STEPS_S = (5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200)


def plan_svg(session: Session) -> str:
    """The picture as SVG 1.1 text, the same every time; ends in a newline."""
    picture = _Picture.of(session)
    rows = list(picture.rows())
    below, legend_height = legend(picture.moments, _EDGE, picture.bottom + 16, WIDTH - 2 * _EDGE)
    height = round(picture.bottom + 16 + legend_height + _EDGE)
    patterns = "".join(fill.definition() for fill in (*look.FILLS, look.BREATHING_STRIP))
    clip = f'<clipPath id="bm-lane"><rect width="{_LANE_WIDTH}" height="{LANE_HEIGHT}"/></clipPath>'
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="bm-plan" role="img" '
        f'aria-labelledby="bm-t bm-d" width="{WIDTH}" height="{height}" '
        f'viewBox="0 0 {WIDTH} {height}">',
        f'<title id="bm-t">{look.xml(picture.name)}</title>',
        f'<desc id="bm-d">{look.xml(picture.described())}</desc>',
        f"<style>{look.STYLE}</style>",
        f"<defs>{patterns}{clip}</defs>",
        f'<rect width="{WIDTH}" height="{height}" fill="{look.PAPER}"/>',
        *picture.head(),
        *picture.strip(),
        *picture.scale(),
        *rows,
        below,
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


@dataclass(frozen=True, kw_only=True, slots=True)
class _Picture:
    """The session with the layout of its lanes; times in samples."""

    session: Session
    lane_s: int
    moments: Moments

    @classmethod
    def of(cls, session: Session) -> _Picture:
        """The layout that suits the lengths of the chapters."""
        return cls(session=session, lane_s=_lane_s(session), moments=Moments.of(session))

    @property
    def lane_samples(self) -> int:
        """How much time a full lane holds."""
        return self.lane_s * self.session.rate_hz

    @property
    def bottom(self) -> float:
        """Where the last lane ends."""
        return _LANES_Y + _ROW * _rows(self.session, self.lane_samples)

    @property
    def words(self) -> Words:
        """The words of the session's language."""
        return self.moments.words

    @property
    def name(self) -> str:
        """What the picture is."""
        return self.words.say("picture title", title=self.session.title)

    def head(self) -> Iterator[str]:
        """Title and facts."""
        title = clean(self.session.title)
        shown = look.xml(look.shortened(title, 27, WIDTH - 2 * _EDGE, bold=True))
        yield (
            f'<text class="bm-title" x="{_EDGE}" y="56">{shown}'
            f"<title>{look.xml(title)}</title></text>"
        )
        yield f'<text class="bm-facts" x="{_EDGE}" y="82">{look.xml(self.facts())}</text>'

    def facts(self) -> str:
        """The sums in one line."""
        sums, rate_hz = totals(self.session), self.session.rate_hz
        words = self.words
        parts = [
            words.say("picture in all", time=self.moments.clock(sums.length)),
            words.say("picture chapters", n=len(self.session.blocks)),
            words.say("picture work", time=_whole_clock(sums.work, rate_hz)),
            words.say("picture resting", time=_whole_clock(sums.rest, rate_hz)),
            words.say("picture talking", time=_whole_clock(sums.talking, rate_hz)),
            *self.made_for(),
        ]
        return "  ·  ".join(parts)

    def made_for(self) -> Iterator[str]:
        """For whose ears it is, and what is under it, where that is out of the usual."""
        session = self.session
        if session.hearing is not Hearing.USUAL:
            yield self.words.say(f"picture hearing {session.hearing}")
        if session.background is not Background.NONE:
            yield self.words.say(f"picture background {session.background}")

    def described(self) -> str:
        """The picture for those who do not see it: every chapter with its times."""
        chapters = [
            self.words.say(
                "picture chapter",
                n=number,
                title=clean(block.title),
                start=self.moments.clock(block.start),
                time=self.moments.clock(block.length),
            )
            for number, block in enumerate(self.session.blocks, 1)
        ]
        return " ".join([self.facts().replace("  ·  ", ", ") + ".", *chapters])

    def strip(self) -> Iterator[str]:
        """The whole session as one strip, with chapter numbers and a minute scale."""
        session = self.session
        px = (WIDTH - 2 * _EDGE) / max(1, session.length)
        yield f'<g transform="translate({_EDGE} {_STRIP_Y})">'
        for number, block in enumerate(session.blocks, 1):
            for span in block.spans:
                fill = self.moments.fill_of(span)
                fill = look.BREATHING_STRIP if fill is look.BREATHING else fill
                yield (
                    f'<rect x="{span.start * px:.1f}" width="{span.length * px:.1f}" '
                    f'height="{_STRIP_HEIGHT}" fill="{fill.paint}"/>'
                )
            yield from _chapter_on_strip(block, number, px)
        width = WIDTH - 2 * _EDGE
        yield (
            f'<rect width="{width}" height="{_STRIP_HEIGHT}" fill="none" stroke="{look.SOFT_INK}"/>'
        )
        yield from _ticks(self.moments, px, _STRIP_HEIGHT, 58)
        yield "</g>"

    def scale(self) -> Iterator[str]:
        """The grid behind the lanes and the time within a chapter above it."""
        px = _LANE_WIDTH / self.lane_samples
        step = _step(self.lane_samples, self.session.rate_hz, px, 70)
        top, bottom = _LANES_Y - 14, self.bottom - 12
        yield (
            f'<text class="bm-small" x="{_EDGE}" y="{top - 8}" style="fill:{look.SOFT_INK}">'
            f"{look.xml(self.words.say('picture scale'))}</text>"
        )
        for at in range(0, self.lane_samples + 1, step):
            x = _LANE_X + at * px
            text = self.moments.clock(at)
            yield (
                f'<path d="M{x:.1f} {top}V{bottom:.1f}" stroke="{look.GRID}"/>'
                f'<text class="bm-small" x="{x:.1f}" y="{top - 8}" text-anchor="middle" '
                f'style="fill:{look.SOFT_INK}">{text}</text>'
            )

    def rows(self) -> Iterator[str]:
        """All lanes, top to bottom."""
        y = _LANES_Y
        for number, block in enumerate(self.session.blocks, 1):
            sets = [_sets(block, index) for index in range(len(block.spans))]
            yield from self.named(block, number, y)
            for start, end in _pieces(block, self.lane_samples):
                lane = self.lane(start, end)
                if start > block.start:
                    yield self.going_on(start, y)
                yield f'<g transform="translate({_LANE_X} {y})">{lane.drawn(block.spans, sets)}</g>'
                yield from self.clock_under(start, end, y)
                y += _ROW

    def clock_under(self, start: int, end: int, y: float) -> Iterator[str]:
        """The session's clock under a lane, at the round times that lie in it."""
        px = _LANE_WIDTH / self.lane_samples
        step = _step(self.lane_samples, self.session.rate_hz, px, 70)
        for at in range(-(-start // step) * step, end + 1, step):
            x = _LANE_X + (at - start) * px
            yield (
                f'<path d="M{x:.1f} {y + LANE_HEIGHT - 2}v3" stroke="{look.SOFT_INK}"/>'
                f'<text class="bm-clock" x="{x:.1f}" y="{y + _CLOCK_Y}" text-anchor="middle" '
                f'style="fill:{look.SOFT_INK}">{self.moments.clock(at)}</text>'
            )

    def lane(self, start: int, end: int) -> Lane:
        """A lane from ``start`` to ``end``."""
        return Lane(
            moments=self.moments,
            start=start,
            end=end,
            px_per_sample=_LANE_WIDTH / self.lane_samples,
        )

    def named(self, block: Block, number: int, y: float) -> Iterator[str]:
        """A chapter's number, name and times, left of its lane."""
        rate_hz, title = self.session.rate_hz, clean(block.title)
        lasting = self.words.say("picture lasts", time=self.moments.clock(block.length))
        facts = f"{self.moments.clock(block.start)}  ·  {lasting}"
        if work := work_of(block):
            done = self.words.say("picture work", time=_whole_clock(work, rate_hz))
            facts += f"  ·  {done}"
        lines = look.two_lines(title, 15, _NAME_WIDTH, bold=True)
        first_y = y + (22 if len(lines) == 1 else 14)
        rule = f"M{_EDGE} {y - 12}H{WIDTH - _EDGE}"
        yield f'<path d="{rule}" stroke="{look.GRID}"/>'
        yield f"<g><title>{look.xml(title)}</title>"
        yield (
            f'<text class="bm-number" x="{_NAME_X - 12}" y="{first_y + 3}" text-anchor="end" '
            f'style="fill:{look.SOFT_INK}">{number}</text>'
        )
        for index, line in enumerate(lines):
            at = first_y + 18 * index
            yield f'<text class="bm-name" x="{_NAME_X}" y="{at}">{look.xml(line)}</text>'
        at = first_y + 18 * len(lines) + 1
        yield f'<text class="bm-small" x="{_NAME_X}" y="{at}">{look.xml(facts)}</text></g>'

    def going_on(self, start: int, y: float) -> str:
        """The words left of a lane that continues a chapter."""
        at = self.words.say("picture goes on", time=self.moments.clock(start))
        return (
            f'<text class="bm-small" x="{_LANE_X - 14}" y="{y + BAND_Y + BAND_HEIGHT / 2 + 4:.1f}" '
            f'text-anchor="end" style="fill:{look.SOFT_INK}">{look.xml(at)}</text>'
        )


def _lane_s(session: Session) -> int:
    """Seconds in a lane: few chapters wrap, seconds stay visible, no endless picture."""
    number = len(session.blocks)
    for lane_s in _LANE_LENGTHS_S:
        rows = _rows(session, lane_s * session.rate_hz)
        enough = rows <= number + number // 4 or lane_s >= _LONGEST_USUAL_S
        if enough and rows <= max(_MOST_ROWS, number):
            return lane_s
    return _LANE_LENGTHS_S[-1]


def _rows(session: Session, lane_samples: int) -> int:
    return sum(len(_pieces(block, lane_samples)) for block in session.blocks)


def _pieces(block: Block, lane_samples: int) -> list[tuple[int, int]]:
    """Start and end of each lane of a chapter; a lane ends with a span where it can."""
    pieces, start = [], block.start
    while block.end - start > lane_samples:
        limit = start + lane_samples
        end = max((span.end for span in block.spans if span.end <= limit), default=start)
        end = end if end > start else limit
        pieces.append((start, end))
        start = end
    return [*pieces, (start, block.end)]


def _sets(block: Block, index: int) -> int:
    side = block.spans[index].side
    return max((s.set_number for s in block.spans if s.side is side and s.set_number), default=0)


def _chapter_on_strip(block: Block, number: int, px: float) -> Iterator[str]:
    left, width = block.start * px, block.length * px
    if block.start:
        yield f'<path d="M{left:.1f} -6V{_STRIP_HEIGHT}" stroke="{look.INK}" stroke-width="1.5"/>'
    if width >= look.text_width(str(number), 12) + 4:
        yield (
            f'<text class="bm-label" x="{left + width / 2:.1f}" y="-6" '
            f'text-anchor="middle">{number}</text>'
        )


def _ticks(moments: Moments, px: float, y: float, apart: float) -> Iterator[str]:
    """A time scale under the strip; the end of the session is always named."""
    length = moments.session.length
    step = _step(length, moments.session.rate_hz, px, apart)
    places = [at for at in range(0, length, step) if (length - at) * px >= apart]
    for at in [*places, length]:
        anchor = "start" if at == 0 else "end" if at == length else "middle"
        yield (
            f'<path d="M{at * px:.1f} {y}v5" stroke="{look.SOFT_INK}"/>'
            f'<text class="bm-small" x="{at * px:.1f}" y="{y + 18}" text-anchor="{anchor}" '
            f'style="fill:{look.SOFT_INK}">{moments.clock(at)}</text>'
        )


def _step(length: int, rate_hz: int, px: float, apart: float) -> int:
    """The finest round step, in samples, whose labels stand ``apart`` pixels or more apart."""
    fitting = (s for s in _STEPS_S if s * rate_hz * px >= apart)
    return next(fitting, max(1, length // rate_hz)) * rate_hz


def _whole_clock(count: int, rate_hz: int) -> str:
    """Samples as a clock, to the nearest second."""
    return clock_text((2 * count + rate_hz) // (2 * rate_hz) * 1000)
