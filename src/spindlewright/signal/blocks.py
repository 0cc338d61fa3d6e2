"""Turning blocks of any size into blocks of one size, so that results never depend on how the sound arrived."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np


class Rebuffer:
    """Gathers frames until exactly ``size`` of them are there.

    A block that fits is handed on without a copy, and is valid as long as the block is. One that was put together
    stays valid until the next but one is put together, so that one chunk may be worked on beside the next.

    >>> buffer = Rebuffer(4, 2)
    >>> [chunk.shape for chunk in buffer.feed(np.zeros((9, 2), np.float32))]
    [(4, 2), (4, 2)]
    >>> buffer.rest().shape
    (1, 2)
    """

    def __init__(self, size: int, columns: int, dtype: type = np.float32) -> None:
        self.size = size
        self._store: np.ndarray = np.zeros((size, columns), dtype)
        self._other: np.ndarray = np.zeros((size, columns), dtype)
        self._filled = 0

    def feed(self, block: np.ndarray) -> Iterator[np.ndarray]:
        """Yield every full chunk that ``block`` (n, columns) completes."""
        position, total = 0, len(block)
        while position < total:
            if self._filled == 0 and total - position >= self.size:
                yield np.ascontiguousarray(block[position : position + self.size], self._store.dtype)
                position += self.size
                continue
            take = min(self.size - self._filled, total - position)
            self._store[self._filled : self._filled + take] = block[position : position + take]
            self._filled += take
            position += take
            if self._filled == self.size:
                self._filled = 0
                self._store, self._other = self._other, self._store
                yield self._other

    def rest(self) -> np.ndarray:
        """The frames that wait for more, (0 … size-1, columns)."""
        return self._store[: self._filled]
