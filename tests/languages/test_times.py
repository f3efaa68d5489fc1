"""Lengths of time as the languages say them, halves of a second and all."""

from __future__ import annotations

import pytest

from breathmark.script.words import words_of


@pytest.mark.parametrize(
    ("language", "duration_ms", "said"),
    [
        ("en", 1_000, "1 second"), ("en", 3_500, "3.5 seconds"), ("en", 4_500, "4.5 seconds"),
        ("en", 90_000, "1 minute and 30 seconds"), ("en", 2_449, "2.4 seconds"),
        ("de", 3_500, "3,5 Sekunden"), ("de", 1_000, "1 Sekunde"),
        ("es", 2_500, "2,5 segundos"), ("fr", 5_500, "5,5 secondes"),
        ("fr", 1_500, "1,5 seconde"),
    ],
)  # fmt: skip
def test_a_time_is_what_it_is(language: str, duration_ms: int, said: str) -> None:
    """Decimal signs and plurals are those of Unicode CLDR; a breath of 3.5 s is not one of 4."""
    assert words_of(language).time(duration_ms) == said
