"""The findings on a recording's sound, from what was measured while listening."""

from __future__ import annotations

from breathmark.proof import limits
from breathmark.proof.beneath import background_findings
from breathmark.proof.check import Check, Finding, finding
from breathmark.proof.levels import (
    Levels,
    breath_problems,
    line_problems,
    longest_gap_s,
    loudest_quiet_dbfs,
    quiet_problems,
    silence_problems,
)
from breathmark.proof.listen import Heard
from breathmark.proof.words import clock
from breathmark.script.session import Breathed, Session, Sounded
from breathmark.units import counted


def sound_findings(file: str, heard: Heard, session: Session) -> list[Finding]:
    """Every check of the sound of ``file`` against its plan."""
    levels = Levels(session=session, powers=heard.powers)
    return [
        _length(file, heard, session),
        _tones(file, heard, session),
        _lines(file, levels),
        _breaths(file, levels),
        _silence(file, levels),
        _quiet(file, levels),
        *background_findings(file, levels),
        _loudness(file, heard),
        _peak(file, heard),
    ]


def _length(file: str, heard: Heard, session: Session) -> Finding:
    due = session.length * heard.rate_hz // session.rate_hz
    off = heard.count - due
    problem = (
        f"it has {heard.count} samples where {due} are planned,"
        f" {abs(off)} too {'many' if off > 0 else 'few'}"
        f" ({off / heard.rate_hz:+.3f} s)"
    )
    return finding(
        Check.LENGTH,
        file,
        [problem] if off else [],
        good=f"it has exactly the planned {due} samples ({due / heard.rate_hz:g} s)",
        measured=f"{heard.count} samples",
        allowed=f"{due} samples",
    )


def _tones(file: str, heard: Heard, session: Session) -> Finding:
    scale = heard.rate_hz // session.rate_hz
    tones = [event for event in session.events if isinstance(event, Sounded)]
    problems, furthest_ms = [], 0.0
    for tone, onset in zip(tones, heard.onsets, strict=True):
        named = f"the {tone.tone} tone at {clock(tone.start, session)}"
        if onset is None:
            problems.append(f"{named} is not heard")
            continue
        off_ms = (onset - tone.start * scale) * 1000 / heard.rate_hz
        furthest_ms = max(furthest_ms, abs(off_ms))
        if abs(off_ms) > limits.ONSET_MS:
            problems.append(f"{named} is {abs(off_ms):.1f} ms too {_when(off_ms)}")
    there = sum(onset is not None for onset in heard.onsets)
    measured = f"{there}, {furthest_ms:.2f} ms off"
    return finding(
        Check.TONES,
        file,
        problems,
        good=f"every tone is heard in its place: {measured} at most",
        measured=measured,
        allowed=f"{len(tones)}, {limits.ONSET_MS:g} ms",
    )


def _when(off_ms: float) -> str:
    return "late" if off_ms > 0 else "early"


def _lines(file: str, levels: Levels) -> Finding:
    problems = line_problems(levels)
    lines = counted(len(levels.session.spoken), "line")
    return finding(
        Check.LINES,
        file,
        problems,
        good=f"{lines} are heard from beginning to end",
        measured=f"{len(problems)} amiss" if problems else f"{lines} heard",
        allowed=lines,
    )


def _breaths(file: str, levels: Levels) -> Finding:
    problems = breath_problems(levels)
    count = sum(isinstance(event, Breathed) for event in levels.session.events)
    breaths = counted(count, "breath")
    return finding(
        Check.BREATHS,
        file,
        problems,
        good=f"{breaths} are heard",
        measured=f"{len(problems)} amiss" if problems else f"{breaths} heard",
        allowed=breaths,
    )


def _silence(file: str, levels: Levels) -> Finding:
    longest_s, planned_s = levels.longest_silence_s(), longest_gap_s(levels.session)
    beyond = "" if planned_s <= limits.WONDER_S else f", past {limits.WONDER_S:g} s as planned"
    return finding(
        Check.SILENCE,
        file,
        silence_problems(levels),
        good=f"no silence is longer than planned, the longest {longest_s:.2f} s{beyond}",
        measured=f"{longest_s:.2f} s at most",
        allowed=f"{planned_s + limits.SILENCE_S:.2f} s at most",
    )


def _quiet(file: str, levels: Levels) -> Finding:
    loudest = f"{loudest_quiet_dbfs(levels):.1f} dBFS at most"
    louder = "louder than the background " if levels.has_background else ""
    return finding(
        Check.QUIET,
        file,
        quiet_problems(levels),
        good=f"where the plan has nothing, nothing {louder}sounds: {loudest}",
        measured=loudest,
        allowed=f"{levels.quiet_dbfs:g} dBFS at most",
    )


def _loudness(file: str, heard: Heard) -> Finding:
    target, most = limits.LOUDNESS_LUFS, limits.LOUDNESS_LU
    far = abs(heard.lufs - target) > most
    measured = f"{heard.lufs:.2f} LUFS"
    return finding(
        Check.LOUDNESS,
        file,
        [f"it has {measured}, {heard.lufs - target:+.2f} LU from the target"] if far else [],
        good=f"it has {measured}, {heard.lufs - target:+.2f} LU from the target",
        measured=measured,
        allowed=f"{target:g} ± {most:g} LUFS",
    )


def _peak(file: str, heard: Heard) -> Finding:
    measured = f"{heard.peak_dbtp:.2f} dBTP"
    high = heard.peak_dbtp > limits.PEAK_DBTP
    return finding(
        Check.PEAK,
        file,
        [f"its true peak is {measured}, over the ceiling"] if high else [],
        good=f"its true peak is {measured}",
        measured=measured,
        allowed=f"{limits.PEAK_DBTP:g} dBTP at most",
    )
