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
    found = [(line, _below_db(levels, line)) for line in _with_pauses(levels)]
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


def _below_db(levels: Levels, line: Spoken) -> float:
    """How far the quietest stretch inside a line is below its words, in decibels."""
    powers = levels.powers[levels.at(line.start, line.end)].astype(np.float64)
    voiced = powers[powers >= 10 ** (levels.voice_dbfs / 10)]
    if not len(voiced) or len(powers) < limits.PAUSE_FRAMES:
        return 0.0
    stretch = np.ones(limits.PAUSE_FRAMES) / limits.PAUSE_FRAMES
    quietest = float(np.convolve(powers, stretch, "valid").min())
    return float(10 * np.log10(voiced.mean() / max(quietest, 1e-12)))
