"""Working ahead: the next blocks are made on another core while this one is encoded."""

from __future__ import annotations

import queue
import threading
from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from typing import TypeVar

_Item = TypeVar("_Item")


@dataclass(frozen=True, slots=True)
class _End:
    """The end of the items, with the error that caused it, if one did."""

    error: BaseException | None


def ahead(items: Iterable[_Item], *, depth: int = 4) -> Iterator[_Item]:
    """Iterate over ``items`` while a thread prepares up to ``depth`` of them in advance.

    An error in making an item is raised where the item would have come.  When the
    iteration is given up, the thread stops at its next item.

    >>> list(ahead(range(3)))
    [0, 1, 2]
    """
    ready: queue.Queue[_Item | _End] = queue.Queue(maxsize=depth)
    stopped = threading.Event()
    thread = threading.Thread(target=_make, args=(items, ready, stopped), daemon=True)
    thread.start()
    try:
        while not isinstance(item := ready.get(), _End):
            yield item
        if item.error is not None:
            raise item.error
    finally:
        stopped.set()
        while thread.is_alive():
            with suppress(queue.Empty):
                ready.get_nowait()
            thread.join(timeout=0.01)


def _make(
    items: Iterable[_Item], ready: queue.Queue[_Item | _End], stopped: threading.Event
) -> None:
    error: BaseException | None = None
    try:
        for item in items:
            ready.put(item)
            if stopped.is_set():
                return
    except BaseException as caught:  # noqa: BLE001 - raised again in the other thread
        error = caught
    ready.put(_End(error))
