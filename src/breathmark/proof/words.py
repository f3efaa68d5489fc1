"""How the proof says times and texts."""

from __future__ import annotations

from breathmark.script.session import Session


def clock(at: int, session: Session) -> str:
    """A place in the session, in samples, as minutes and seconds: ``3:07.25``."""
    minutes, rest = divmod(at, 60 * session.rate_hz)
    return f"{minutes}:{rest / session.rate_hz:05.2f}"


def clock_ms(at_ms: float) -> str:
    """A time in milliseconds as minutes and seconds, to the millisecond: ``3:07.250``."""
    minutes, rest_ms = divmod(round(at_ms), 60_000)
    return f"{minutes}:{rest_ms / 1000:06.3f}"


def quoted(text: str, most: int = 40) -> str:
    """A text in quotation marks on one line, cut to ``most`` characters."""
    line = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    return f"“{line if len(line) <= most else line[: most - 1] + '…'}”"
