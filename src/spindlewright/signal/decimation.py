"""Decimation of two channels by a whole number: one matrix product does low-pass and decimation together.

The block is seen as rows of ``factor`` frames; one product with the polyphase parts of a linear-phase low-pass and
a few shifted sums give the output (recipe C of the design's dependency trials; numpy only).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.signal.windows import kaiser


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
    response = np.sinc(position / factor) * kaiser(taps, beta, sym=True)
    return np.asarray(response / response.sum(), dtype=np.float64)


ONE_THREAD = 200_000
"""Multiplications per product: fewer than what a threaded BLAS spreads over cores, where waiting for a busy core
costs far more than it gains (measured: 40 times on a loaded two-core machine)."""


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
        columns = np.zeros((parts, 2, factor, 2), dtype=np.float32)
        for channel in range(2):
            columns[:, channel, :, channel] = taps.reshape(parts, factor)
        self._rows = np.ascontiguousarray(columns.reshape(2 * parts, 2 * factor))
        self._strip = max(16, ONE_THREAD // self._rows.size)
        self._waiting = np.zeros((factor * parts // 2 - 1, 2), dtype=np.float32)

    def feed(self, block: NDArray[np.float32]) -> NDArray[np.float32]:
        frames = np.concatenate((self._waiting, block))
        count = frames.shape[0] // self.factor
        made = count - self.parts + 1
        if made <= 0:
            self._waiting = frames
            return np.zeros((2, 0), dtype=np.float32)
        table = frames[: count * self.factor].reshape(count, 2 * self.factor)
        product = np.empty((2 * self.parts, count), dtype=np.float32)
        for first in range(0, count, self._strip):
            strip = slice(first, first + self._strip)
            np.matmul(self._rows, table[strip].T, out=product[:, strip])
        out = product[0:2, :made].copy()
        for part in range(1, self.parts):
            out += product[2 * part : 2 * part + 2, part : part + made]
        self._waiting = frames[made * self.factor :].copy()
        return out
