"""Decimation of two channels by a whole number: one matrix product does low-pass and decimation together.

The block is seen as rows that hold sixteen outputs' worth of frames; a product of each row, and of the start of the
next one, with the shifted taps of a linear-phase low-pass gives those outputs (numpy only).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray


def low_pass(factor: int, parts: int, stop_band_db: float = 60.0) -> NDArray[np.float64]:
    """Linear-phase low-pass of ``factor * parts - 1`` taps with 6 dB loss at half the output rate (derived).

    A sinc under a Kaiser window; unity gain at 0 Hz. The half width of its transition, as a share of the output
    rate, is about ``(stop_band_db - 8) / (2.285 * 4 * pi * parts)`` (Kaiser's formula).

    >>> low_pass(8, 8).size
    63
    """
    taps = factor * parts - 1
    beta = 0.1102 * (stop_band_db - 8.7) if stop_band_db > 50 else 4.5
    position = np.arange(taps) - (taps - 1) / 2
    response = np.sinc(position / factor) * np.kaiser(taps, beta)
    return np.asarray(response / response.sum(), dtype=np.float64)


GROUP = 16
"""Outputs worked out together: a product with this many columns keeps a matrix library busy."""


class Decimator:
    """Streaming low-pass and decimation of float32 blocks (n, 2); output float32 (2, m), one row a channel.

    Output sample ``i`` is centred on input frame ``i * factor``: there is no delay, the last ``factor * parts / 2``
    frames of input are waited for. The sum of all outputs is the same samples whatever the blocks, up to rounding;
    for bit-for-bit equality feed fixed blocks.
    """

    def __init__(self, factor: int, parts: int = 8, stop_band_db: float = 60.0) -> None:
        self.factor = factor
        self.parts = parts
        taps = np.append(low_pass(factor, parts, stop_band_db), 0.0)
        self._row = GROUP * factor
        matrix = np.zeros((2 * self._row, GROUP), dtype=np.float32)
        for output in range(GROUP):
            matrix[output * factor : output * factor + taps.size, output] = taps
        self._beyond = (parts - 1) * factor
        self._own, self._next = matrix[: self._row].copy(), matrix[self._row : self._row + self._beyond].copy()
        self._waiting = np.zeros((factor * parts // 2 - 1, 2), dtype=np.float32)
        self._held = np.zeros((2, 0), dtype=np.float32)

    def feed(self, block: NDArray[np.float32]) -> NDArray[np.float32]:
        count = (len(self._waiting) + len(block)) // self.factor
        made = count - self.parts + 1
        if made <= 0:
            self._waiting = np.concatenate((self._waiting, block))
            return np.zeros((2, 0), dtype=np.float32)
        groups = -(-made // GROUP)
        if self._held.shape[1] != (groups + 1) * self._row:
            self._held = np.zeros((2, (groups + 1) * self._row), dtype=np.float32)
        held = self._held
        first = len(self._waiting)
        usable = min(len(block), held.shape[1] - first)
        held[:, first + usable :] = 0.0
        held[:, :first] = self._waiting.T
        held[:, first : first + usable] = block[:usable].T
        rows = held.reshape(2, groups + 1, self._row)
        out = rows[:, :-1] @ self._own
        out += rows[:, 1:, : self._beyond] @ self._next
        kept_from = made * self.factor
        if kept_from >= first:
            self._waiting = block[kept_from - first :].copy()
        else:
            self._waiting = np.concatenate((self._waiting[kept_from:], block))
        return np.asarray(out.reshape(2, -1)[:, :made])
