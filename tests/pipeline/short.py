"""A short invented routine for tests that build for real."""

from __future__ import annotations

from pathlib import Path

SHORT = """\
title: Short and sweet
length: 1 min 15 s
exercises:
  - name: Toe lift
    kind: reps
    position: standing
    reps: 4
    tempo: {out: 2 s, back: 2 s}
    setup: Hold the counter.
    cues: [Toes to the ceiling.]
    rests: {before: 10 s (9 to 16), after: 4 s (2 to 8)}
"""


def short_routine(folder: Path, text: str = SHORT) -> Path:
    """Write the routine into a folder."""
    path = folder / "short.yaml"
    path.write_text(text, encoding="utf-8")
    return path
