"""Finding room for lines between what is fixed, most important first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from breathmark.script.draft import Line, SpeechLengths


@dataclass(kw_only=True, slots=True)
class Gap:
    """A free stretch in samples, and the lines put into it so far."""

    start: int
    end: int
    lines: list[Line] = field(default_factory=list)


def place_lines(
    gaps: Sequence[tuple[int, int]], lines: Sequence[Line], lengths: SpeechLengths, *, apart: int
) -> tuple[list[tuple[int, Line]], list[Line]]:
    """Put ``lines`` into ``gaps``: the placed ones with their starts, and those left over.

    Each line goes into the first gap that still has room for it, ``apart`` samples
    from its neighbours; what room is over is shared out evenly around the lines.
    """
    open_gaps = [Gap(start=start, end=end) for start, end in gaps if end > start]
    unplaced = [line for line in lines if not _put(open_gaps, line, lengths, apart)]
    placed = [pair for gap in open_gaps for pair in _spread(gap, lengths, apart)]
    return placed, unplaced


def _put(gaps: Sequence[Gap], line: Line, lengths: SpeechLengths, apart: int) -> bool:
    for index, gap in enumerate(gaps):
        start, end = _bounds(gaps, index, apart)
        taken = sum(lengths.of(other.text) + apart for other in gap.lines)
        if taken + lengths.of(line.text) <= end - start:
            gap.start, gap.end = start, end
            gap.lines.append(line)
            return True
    return False


def _bounds(gaps: Sequence[Gap], index: int, apart: int) -> tuple[int, int]:
    """The part of a gap that keeps its lines apart from those in the gaps around it."""
    start, end = gaps[index].start, gaps[index].end
    before = [gap.end for gap in gaps[:index] if gap.lines]
    after = [gap.start for gap in gaps[index + 1 :] if gap.lines]
    if before:
        start = max(start, before[-1] + apart)
    if after:
        end = min(end, after[0] - apart)
    return start, end


def _spread(gap: Gap, lengths: SpeechLengths, apart: int) -> list[tuple[int, Line]]:
    if not gap.lines:
        return []
    said = sum(lengths.of(line.text) for line in gap.lines)
    over = gap.end - gap.start - said - apart * (len(gap.lines) - 1)
    extra = over // (len(gap.lines) + 1)
    at = gap.start + extra
    placed = []
    for line in gap.lines:
        placed.append((at, line))
        at += lengths.of(line.text) + apart + extra
    return placed
