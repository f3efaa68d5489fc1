"""The session is longer than 20 minutes.

What: the planned length is more than 20 minutes.

Why: a routine that people keep up at home fits 20 minutes.

Source: common practice.

To mend: mark exercises `optional: yes` and shorten `length`, or split the routine over
two days.

To accept: say why this patient gives it the time.
"""

from __future__ import annotations

from collections.abc import Iterator

from breathmark.dose.checks.finding import Check, Finding, Subject
from breathmark.problems import Severity
from breathmark.units import duration_text

MOST_MS = 1_200_000
"""Twenty minutes (common practice)."""


def find(subject: Subject) -> Iterator[Finding]:
    """A session that is too long to be kept up."""
    length_ms = subject.session_length_ms
    if length_ms is not None and length_ms > MOST_MS:
        yield Finding(
            path="length",
            message=f"the session lasts {duration_text(length_ms)}; "
            "a routine that people keep up fits 20 min",
            remedy="Shorten it or split it over two days, or accept it with the reason.",
        )


CHECK = Check(
    id="session-length",
    severity=Severity.NOTE,
    says="the session is longer than 20 minutes",
    find=find,
    of_session=True,
)
