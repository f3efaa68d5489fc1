"""The schedule as a plain text table that a clinician reads through and signs off.

Nothing in it but characters and spaces: it is the same on a terminal and in a file,
and every sign of its own exists in the usual Windows code page too.
"""

from __future__ import annotations

import itertools
import re
import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from breathmark.deliver.plan_heard import clean, side_text, span_text
from breathmark.deliver.plan_rows import Row, schedule_rows
from breathmark.deliver.plan_totals import clock, totals, work_of
from breathmark.script.session import Session
from breathmark.units import clock_text, counted, milliseconds

__all__ = ["Row", "schedule_rows", "schedule_text"]

LEAST_WIDTH = 60
"""Narrower tables are not readable; a smaller width is taken as this one."""

QUIET_MS = 5_000
"""Silence from this long on is told in the table."""

_GAP = "  "
_UNIT = re.compile(r"(\d) (s|min|h)\b")
_HEADS = ("Clock", "What is heard", "What is done", "Side and set")


def schedule_text(session: Session, *, width: int = 100, full: bool = False) -> str:
    """The schedule as text, no line wider than ``width`` characters (60 or more).

    ``full`` shows every event on a row of its own, with tenths of a second.
    """
    rows = schedule_rows(session, full=full)
    table = _Table.fitted(session, rows, max(LEAST_WIDTH, width), full=full)
    parts = [table.head(), *table.chapters(rows), table.sums(), *table.remarks()]
    return "\n\n".join(parts) + "\n"


@dataclass(frozen=True, kw_only=True, slots=True)
class _Table:
    """The session with the widths of the four columns, in characters."""

    session: Session
    width: int
    columns: tuple[int, int, int, int]
    full: bool

    @classmethod
    def fitted(cls, session: Session, rows: Sequence[Row], width: int, *, full: bool) -> _Table:
        """Columns as wide as they need to be, what is heard taking the rest."""
        longest = clock_text(milliseconds(session.length, session.rate_hz), tenths=full)
        clock_width = max(len(longest), len(_HEADS[0]))
        sides = max((len(_side(row)) for row in rows), default=0)
        side_width = min(max(sides, len(_HEADS[3])), 17)
        left = width - clock_width - side_width - 3 * len(_GAP)
        done = max((len(_done(session, row)) for row in rows), default=0)
        done_width = max(len(_HEADS[2]), min(done, left * 2 // 5))
        columns = (clock_width, left - done_width, done_width, side_width)
        return cls(session=session, width=width, columns=columns, full=full)

    def head(self) -> str:
        """The title, the facts of the session, and the names of the columns."""
        session = self.session
        facts = f"{clock(session.length, session.rate_hz)} long, {len(session.blocks)} chapters"
        voice = f"voice {_voices(session)}, language {clean(session.language)}"
        heard = [text for text in (session.hearing.words, session.background.words) if text]
        title = self.wrapped(clean(session.title), "", "")
        names = "\n".join(self.lines(_HEADS))
        below = self.wrapped(", ".join((facts, voice, *heard)), "", "")
        return f"{title}\n{below}\n\n{names}\n{'=' * self.width}"

    def chapters(self, rows: Sequence[Row]) -> Iterator[str]:
        """The rows of each chapter under its name, start and length."""
        grouped = {n: list(group) for n, group in itertools.groupby(rows, lambda r: r.chapter)}
        for number in range(len(self.session.blocks)):
            lines = [self.chapter_head(number)]
            told = -1
            for row in grouped.get(number, ()):
                lines += self.row(row, first=row.span != told)
                told = row.span
            yield "\n".join(lines)

    def chapter_head(self, number: int) -> str:
        """The line above a chapter."""
        block, rate_hz = self.session.blocks[number], self.session.rate_hz
        facts = [f"starts {clock(block.start, rate_hz)}", f"lasts {clock(block.length, rate_hz)}"]
        if work := work_of(block):
            facts.append(f"work {clock(work, rate_hz)}")
        name, facts_text = f"{number + 1}. {clean(block.title)}", ", ".join(facts)
        space = self.width - len(name) - len(facts_text)
        if space >= 2:
            text = f"{name}{' ' * space}{facts_text}"
        else:
            text = f"{self.wrapped(name, '', '   ')}\n{facts_text:>{self.width}}"
        return f"{text}\n{'-' * self.width}"

    def row(self, row: Row, *, first: bool) -> list[str]:
        """One row; what is done is told once for each span."""
        rate_hz = self.session.rate_hz
        at = clock_text(milliseconds(row.start, rate_hz), tenths=self.full)
        done, side = (_done(self.session, row), _side(row)) if first else ("", "")
        return self.lines((at, _heard(row, rate_hz), done, side))

    def lines(self, cells: tuple[str, ...]) -> list[str]:
        """Cells side by side, each wrapped in its column; the clock stands to the right."""
        at, *others = (_wrap(text, width) for text, width in zip(cells, self.columns, strict=True))
        clocks = [f"{text:>{self.columns[0]}}" for text in at]
        rows = itertools.zip_longest(clocks, *others, fillvalue="")
        return [
            _GAP.join(
                f"{cell:<{width}}" for cell, width in zip(row, self.columns, strict=True)
            ).rstrip()
            for row in rows
        ]

    def sums(self) -> str:
        """Where the time goes; the shares are rounded so that they add up as shown."""
        sums, rate_hz = totals(self.session), self.session.rate_hz
        sides = (
            (sums.work_left, "left"),
            (sums.work_right, "right"),
            (sums.work_both, "both sides"),
        )
        shares = [f"{name} {clock(count, rate_hz)}" for count, name in sides if count]
        sided = sums.work_left or sums.work_right
        entries = [
            ("Work", sums.work, ", ".join(shares) if sided else ""),
            ("Rest", sums.rest, "rests, changing sides, pauses"),
            ("Getting ready", sums.lead_in, "names, set-up, finding the position"),
            ("Opening, closing", sums.around, ""),
        ]
        shown = self.added_up([count for _, count, _ in entries])
        rows = [(name, at, note) for (name, _, note), at in zip(entries, shown, strict=True)]
        rows.append(("Length", clock(sums.length, rate_hz), ""))
        rows.append(("Talking", self.whole_clock(sums.talking), _in(sums.lines, "line")))
        if sums.breathing:
            rows.append(("Breathing sound", self.whole_clock(sums.breathing), ""))
        rows.append(("Tones", str(sums.tones), ""))
        wide = max(len(at) for _, at, _ in rows)
        firsts = [f"{name:<18}{at:>{wide}}  " for name, at, _ in rows]
        notes = [note for _, _, note in rows]
        text = [
            self.wrapped(note, first, " " * len(first)) if note else first.rstrip()
            for first, note in zip(firsts, notes, strict=True)
        ]
        text.insert(4, "-" * (18 + wide))
        return "\n".join(["Totals", "=" * self.width, *text])

    def added_up(self, counts: Sequence[int]) -> list[str]:
        """Clock texts of parts whose shown tenths add up to the shown whole."""
        rate_hz = self.session.rate_hz
        edges = [milliseconds(c, rate_hz) for c in itertools.accumulate(counts, initial=0)]
        tenths = [(edge + 50) // 100 for edge in edges]
        parts = [later - earlier for earlier, later in itertools.pairwise(tenths)]
        exact = all(part % 10 == 0 for part in parts)
        return [clock_text(part * 100, tenths=not exact) for part in parts]

    def whole_clock(self, count: int) -> str:
        """Samples as a clock to the nearest second."""
        return clock_text((milliseconds(count, self.session.rate_hz) + 500) // 1000 * 1000)

    def remarks(self) -> Iterator[str]:
        """Notes, and lines that were left out."""
        for head, lines in (("Notes", self.session.notes), ("Left out", self.session.left_out)):
            if lines:
                told = [self.wrapped(clean(line), "- ", "  ") for line in lines]
                yield "\n".join([head, "=" * self.width, *told])

    def wrapped(self, text: str, first: str, later: str) -> str:
        """Text over the whole width."""
        return "\n".join(_wrap(text, self.width, first, later))


def _wrap(text: str, width: int, first: str = "", later: str = "") -> list[str]:
    """Lines of at most ``width`` characters; a number stays with its unit."""
    held = _UNIT.sub("\\1\xa0\\2", text)
    lines = textwrap.wrap(held, width, initial_indent=first, subsequent_indent=later)
    return [line.replace("\xa0", " ") for line in lines] or [first]


def _heard(row: Row, rate_hz: int) -> str:
    """What is heard, with the silence after it when it is long."""
    if not row.heard:
        return f"quiet for {span_text(row.quiet, rate_hz)}" if row.quiet else "(goes on)"
    if milliseconds(row.quiet, rate_hz) >= QUIET_MS:
        return f"{row.heard}, then quiet for {span_text(row.quiet, rate_hz)}"
    return row.heard


def _done(session: Session, row: Row) -> str:
    """What is done in the row's span, and for how long unless the words say so."""
    span = session.blocks[row.chapter].spans[row.span]
    doing, lasting = clean(span.doing), span_text(span.length, session.rate_hz)
    return doing if lasting in doing else f"{doing}, {lasting}".lstrip(", ")


def _voices(session: Session) -> str:
    """The session's voice, and how many different lines another one says."""
    others: dict[str, set[str]] = {}
    for line in session.spoken:
        if line.voice != session.voice:
            others.setdefault(line.voice, set()).add(line.text)
    told = [f"{clean(voice)} {_in(len(texts), 'line')}" for voice, texts in others.items()]
    return ", ".join([clean(session.voice), *told])


def _side(row: Row) -> str:
    return side_text(row.side, row.set_number, row.sets)


def _in(number: int, noun: str) -> str:
    return f"in {counted(number, noun)}"
