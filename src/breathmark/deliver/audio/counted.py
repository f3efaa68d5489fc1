"""The promise every writer keeps: exactly the planned number of samples, or no file.

The writer is told the length before the first sample, refuses more at once and less at
the end, and takes the half-written file away when anything goes wrong.
"""

from __future__ import annotations

import abc
from pathlib import Path
from types import TracebackType
from typing import ClassVar, Self

import numpy as np
from numpy.typing import NDArray

from breathmark.deliver.audio.recording import Recording
from breathmark.problems import Fault

BLOCK = 24_000
"""How many samples are handed to an encoder at once, whatever the size of the blocks fed."""


class CountedWriter(abc.ABC):
    """Counts, gathers blocks of any size into even ones, and cleans up.

    A format implements :meth:`_open`, :meth:`_encode`, :meth:`_finish` and
    :meth:`_let_go`.
    """

    troubles: ClassVar[tuple[type[Exception], ...]] = (OSError,)
    """What a library raises when the disk or the encoder fails; becomes a Fault."""

    def __init__(self, path: Path, recording: Recording) -> None:
        self.path = path
        self.recording = recording
        self._gathered = np.empty(BLOCK, np.int16)
        self._waiting = 0
        self._taken = 0

    def __enter__(self) -> Self:
        done = False
        try:
            self._open()
            done = True
        except self.troubles as error:
            raise self._fault(error) from error
        finally:
            if not done:
                self._abandon()
        return self

    def add(self, block: NDArray[np.int16]) -> None:
        """Append samples; a Fault when there are more than promised or they are no samples."""
        if block.dtype != np.int16 or block.ndim != 1:
            raise Fault(
                f"samples must be one row of 16-bit numbers, not {block.dtype} {block.shape}"
            )
        self._taken += block.size
        if self._taken > self.recording.length:
            raise Fault(self._mismatch("at least "))
        at = 0
        while at < block.size:
            part = block[at : at + BLOCK - self._waiting]
            at += part.size
            if part.size == BLOCK:
                self._pass_on(part)
                continue
            self._gathered[self._waiting : self._waiting + part.size] = part
            self._waiting += part.size
            if self._waiting == BLOCK:
                self._pass_on(self._gathered)

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        done = False
        try:
            if kind is None:
                self._close()
                done = True
        finally:
            if not done:
                self._abandon()

    @abc.abstractmethod
    def _open(self) -> None:
        """Make the file and the encoder."""

    @abc.abstractmethod
    def _encode(self, samples: NDArray[np.int16]) -> None:
        """Take the next samples: :data:`BLOCK` of them, fewer in the last call."""

    @abc.abstractmethod
    def _finish(self) -> None:
        """Write what comes after the last sample and close the file."""

    @abc.abstractmethod
    def _let_go(self) -> None:
        """Close whatever is open, however far :meth:`_open` came, without finishing."""

    def _close(self) -> None:
        if self._taken != self.recording.length:
            raise Fault(self._mismatch(""))
        if self._waiting:
            self._pass_on(self._gathered[: self._waiting])
        try:
            self._finish()
        except self.troubles as error:
            raise self._fault(error) from error

    def _pass_on(self, samples: NDArray[np.int16]) -> None:
        self._waiting = 0
        try:
            self._encode(samples)
        except self.troubles as error:
            raise self._fault(error) from error

    def _abandon(self) -> None:
        try:
            self._let_go()
        except self.troubles:
            pass  # the first error is the one to report
        finally:
            self.path.unlink(missing_ok=True)

    def _mismatch(self, degree: str) -> str:
        return (
            f"{self.path.name}: {self.recording.length} samples were promised and"
            f" {degree}{self._taken} came"
        )

    def _fault(self, error: Exception) -> Fault:
        return Fault(
            f"{self.path.name} could not be written: {error}",
            remedy="Is the disk full, or the folder not writable?",
        )
