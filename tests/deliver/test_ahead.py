"""Working ahead changes nothing but the time."""

from __future__ import annotations

import threading
from collections.abc import Iterator

import pytest

from breathmark.deliver.ahead import ahead


def test_everything_comes_in_order() -> None:
    """A thousand items, more than are ever kept ready."""
    assert list(ahead(range(1000), depth=2)) == list(range(1000))


def test_an_error_comes_where_it_happened() -> None:
    """What was made before it arrives first."""

    def items() -> Iterator[int]:
        yield 1
        yield 2
        raise OSError("disk full")

    seen: list[int] = []
    with pytest.raises(OSError, match="disk full"):
        seen.extend(ahead(items()))
    assert seen == [1, 2]


def test_giving_up_stops_the_thread() -> None:
    """Leaving the loop early leaves no thread behind."""
    before = threading.active_count()
    for item in ahead(range(10_000_000)):
        if item == 3:
            break
    assert threading.active_count() <= before + 1


def test_the_source_is_read_in_another_thread() -> None:
    """Otherwise nothing would be gained."""

    def who() -> Iterator[int]:
        yield threading.get_ident()

    assert next(iter(ahead(who()))) != threading.get_ident()
