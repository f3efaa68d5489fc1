"""Ten recordings of 360 rows, read by one voice and compared with another, with every fault.

The reader is the system voice, the other the neural one: two voices as unlike as can be.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pytest
import soundfile

from breathmark.speech.intake import Fault, Intake, take_in
from breathmark.speech.sheet import Sheet
from tests.recorded.reading import RATE_HZ, Faults, Reading, read_aloud
from tests.recorded.voices import (
    SESSION_HZ,
    demo_sheet,
    read_by_system,
    references_by,
    sheet_of,
)

RECORDINGS, ROWS = 10, 36
EDGE_S, END_S = 0.12, 0.25


@dataclass(slots=True)
class Count:
    """What became of the rows of all recordings."""

    good: int = 0
    taken: int = 0
    cut: int = 0
    cut_taken: int = 0
    missing: int = 0
    wrong: list[str] = field(default_factory=list)
    silent: list[str] = field(default_factory=list)

    def shown(self) -> str:
        """The figures, for a failing test."""
        return (
            f"{self.taken} of {self.good} good rows taken, {self.cut_taken} of {self.cut} cut "
            f"rows taken, {self.missing} missing, wrong: {self.wrong}, unsaid: {self.silent}"
        )


def faults_of(chance: random.Random, rows: int) -> Faults:
    """Coughs, repeats, a stumble, a missing row and a cut start, in some room."""
    picked = chance.sample(range(rows), 8)
    return Faults(
        coughs=tuple(picked[:3]),
        repeats=tuple(picked[3:5]),
        stumbles=(picked[5],),
        missing=(picked[6],),
        cut=(picked[7],),
        cut_ms=chance.choice((150, 200)),
        room_db=chance.choice((-70.0, -60.0, -50.0)),
    )


def count(into: Count, intake: Intake, reading: Reading, sheet: Sheet) -> None:
    """Hold what was taken against what was read."""
    rows = {line.text: at for at, line in enumerate(sheet.lines)}
    taken = {rows[take.line.text]: take for take in intake.takes}
    told = {rows[remark.line.text] for remark in intake.remarks}
    for row, spell in reading.spells.items():
        into.good += spell.good
        into.cut += not spell.good
        take = taken.get(row)
        if take is None:
            if row not in told:
                into.silent.append(sheet.lines[row].text)
            continue
        begins, ends = spell.start / RATE_HZ, spell.end / RATE_HZ
        if abs(take.start_s - begins) > EDGE_S or abs(take.end_s - ends) > END_S:
            into.wrong.append(f"{take.line.text} at {take.start_s:.2f} s, read at {begins:.2f} s")
        into.taken += spell.good
        into.cut_taken += not spell.good
    for row in reading.faults.missing:
        into.missing += 1
        if row in taken:
            into.wrong.append(f"{sheet.lines[row].text}, which was not read")
        if row not in told:
            into.silent.append(sheet.lines[row].text)


@pytest.mark.slow
def test_ten_recordings_are_matched_row_by_row(tmp_path: Path) -> None:
    """Nothing wrong is used, nothing that lacks goes unsaid, most good rows come in.

    Measured: 297 of 340, and 0 of 10 whose start was cut off.  With sounds of the dictionary
    for "thirteen" and others in the voice compared with, whose own sounds are heard better,
    it was a row or two more of a hundred.
    """
    texts = [line.text for line in demo_sheet().lines]
    readers = [read_by_system(texts, rate_wpm) for rate_wpm in (140, 165)]
    references = references_by("calm", texts)
    found = Count()
    for number in range(RECORDINGS):
        chance = random.Random(number)
        first = number * (len(texts) - ROWS) // (RECORDINGS - 1)
        part = slice(first, first + ROWS)
        sheet = sheet_of(texts[part])
        reading = read_aloud(readers[number % 2][part], faults_of(chance, ROWS), chance)
        path = tmp_path / f"{number}.wav"
        soundfile.write(path, reading.samples, RATE_HZ)
        intake = take_in(path, sheet, references, rate_hz=SESSION_HZ)
        count(found, intake, reading, sheet)
        assert len(intake.strays) >= 3, "three coughs and a broken-off row belong to no row"
    assert found.good >= 300
    assert not found.wrong, found.shown()
    assert not found.silent, found.shown()
    assert found.taken >= 0.86 * found.good, found.shown()
    assert found.cut_taken <= 0.1 * found.cut, found.shown()


@pytest.mark.slow
def test_another_text_of_the_same_length_is_not_used(tmp_path: Path) -> None:
    """Without a recogniser, a misread row is unlike the other voice's and told."""
    texts = [line.text for line in demo_sheet().lines]
    part, others = texts[:36], [text for text in texts[36:] if len(text.split()) >= 6]
    clips = dict(zip(texts, read_by_system(texts), strict=True))
    references = references_by("calm", texts)
    misread = {}
    for row, text in enumerate(part):
        near = [o for o in others if 0.9 < len(clips[o]) / len(clips[text]) < 1.1]
        if near and row % 4 == 1 and len(text.split()) >= 6:
            misread[row] = near[0]
    assert len(misread) >= 3
    reading = read_aloud(
        [clips[text] for text in part], Faults(misread=misread), random.Random(3), others=clips
    )
    path = tmp_path / "misread.wav"
    soundfile.write(path, reading.samples, RATE_HZ)
    intake = take_in(path, sheet_of(part), references, rate_hz=SESSION_HZ)
    wrong = {part[row] for row in misread}
    assert not {take.line.text for take in intake.takes} & wrong
    assert wrong <= {remark.line.text for remark in intake.remarks}


@pytest.mark.slow
def test_of_a_clean_reading_nearly_all_is_used(tmp_path: Path) -> None:
    """A whole sheet read without a fault: nine in ten come in, each row where it was read.

    Measured: 83 of 91.  The others are told, to be read once more: the price of not using a
    row whose start is cut off.
    """
    sheet = demo_sheet()
    texts = [line.text for line in sheet.lines]
    reading = read_aloud(read_by_system(texts), Faults(), random.Random(11))
    path = tmp_path / "clean.wav"
    soundfile.write(path, reading.samples, RATE_HZ)
    intake = take_in(path, sheet, references_by("calm", texts), rate_hz=SESSION_HZ)
    found = Count()
    count(found, intake, reading, sheet)
    assert not found.wrong, found.shown()
    assert found.taken >= 0.9 * found.good, found.shown()
    unheard = [one.line.text for one in intake.remarks if one.fault is Fault.MISSING]
    assert all(len(text) <= 3 for text in unheard), "only a lone number may go unheard"
    assert len(unheard) <= 1
    assert all(np.abs(take.clip).max() < 32_000 for take in intake.takes)
