"""How far a background is below speech, while something is said.

Speech hides what is under it, so the background is measured where a line pauses between
two sentences: it has stepped back there as it has under the words, and nothing else sounds.
"""

from __future__ import annotations

import numpy as np

from breathmark.proof import limits
from breathmark.proof.check import Check, Finding, finding
from breathmark.proof.levels import Levels
from breathmark.proof.words import clock, quoted
from breathmark.script.session import Spoken
from breathmark.speech.speakable import sentences, speakable


def background_findings(file: str, levels: Levels) -> list[Finding]:
    """The check of the background of ``file``; nothing where the plan has none."""
    if not levels.has_background:
        return []
    found = [
        (line, below_db)
        for line in _with_pauses(levels)
        if (below_db := _below_db(levels, line)) is not None
    ]
    near = [(line, below_db) for line, below_db in found if below_db < limits.BACKGROUND_DB]
    least = f"{min(below_db for _, below_db in found):.1f} dB" if found else ""
    nothing = "no line has a pause in which the background could be measured"
    return [
        finding(
            Check.BACKGROUND,
            file,
            [
                f"it is {below_db:.1f} dB below the line at {clock(line.start, levels.session)},"
                f" {quoted(line.text)}"
                for line, below_db in near
            ],
            good=f"it is {least} or more below speech in {len(found)} lines" if found else nothing,
            measured=f"{least} at least" if found else "no pause",
            allowed=f"{limits.BACKGROUND_DB:g} dB at least",
        )
    ]


def _with_pauses(levels: Levels) -> list[Spoken]:
    """The lines that are said in more than one sentence."""
    session = levels.session
    return [
        line
        for line in session.spoken
        if len(sentences(speakable(line.text, {}, session.language))) > 1
    ]


def _below_db(levels: Levels, line: Spoken) -> float | None:
    """How far the longest quiet stretch around the quietest place of a line is below its words.

    In decibels; the mean over the whole stretch, as a few frames of noise may be far from it.
    ``None`` for a line that is not heard at all: another check tells that.
    """
    powers = levels.powers[levels.at(line.start, line.end)].astype(np.float64)
    voiced = powers[powers >= 10 ** (levels.voice_dbfs / 10)]
    if len(powers) < limits.PAUSE_FRAMES or powers.mean() < 10 ** (limits.LINE_DBFS / 10):
        return None
    stretch = np.ones(limits.PAUSE_FRAMES) / limits.PAUSE_FRAMES
    means = np.convolve(powers, stretch, "valid")
    first = int(means.argmin())
    quiet = powers <= 10 ** (limits.PAUSE_DB / 10) * means[first]
    after = first + limits.PAUSE_FRAMES
    while first and quiet[first - 1]:
        first -= 1
    while after < len(quiet) and quiet[after]:
        after += 1
    pause = float(powers[first:after].mean())
    return float(10 * np.log10(voiced.mean() / max(pause, 1e-12)))
