"""Histogram of sizes on a logarithmic scale: percentiles of a signal of any length in fixed memory.

A bin is picked by a number's binary exponent and the first nine bits of its mantissa, so bins are 0.1 to 0.2 %
wide and no logarithm is taken. Inside a bin values are taken as evenly spread, which makes percentiles of smooth
distributions good to 1e-4. Source: derived.
"""

from __future__ import annotations

import numpy as np

MANTISSA_BITS = 9
BINS_PER_OCTAVE = 1 << MANTISSA_BITS
_SHIFT = 52 - MANTISSA_BITS
_EXPONENT_BIAS = 1023


class LogarithmicHistogram:
    """Counts of ``rows`` signals side by side, for sizes from ``2**lowest`` to ``2**highest`` (others at the ends).

    >>> histogram = LogarithmicHistogram(1)
    >>> histogram.add(np.linspace(-1.0, 1.0, 20001)[None, :])
    >>> round(histogram.exceeded(0, 0.05), 3)
    0.95
    """

    def __init__(self, rows: int, lowest: int = -36, highest: int = 2) -> None:
        self._first = (_EXPONENT_BIAS + lowest) << MANTISSA_BITS
        self._bins = (highest - lowest) << MANTISSA_BITS
        self.counts = np.zeros((rows, self._bins), np.int64)
        steps = np.arange(self._bins + 1)
        self._edges = np.ldexp(1.0 + (steps % BINS_PER_OCTAVE) / BINS_PER_OCTAVE, lowest + steps // BINS_PER_OCTAVE)
        self._edges[0] = 0.0

    def add(self, values: np.ndarray, weight: int = 1) -> None:
        """Count ``values`` float64 (rows, n) by size, each ``weight`` times."""
        rows = len(self.counts)
        index = np.abs(values).view(np.int64)
        index >>= _SHIFT
        index -= self._first
        np.clip(index, 0, self._bins - 1, out=index)
        index += (np.arange(rows) * self._bins)[:, None]
        counted = np.bincount(index.ravel(), minlength=rows * self._bins).reshape(rows, self._bins)
        self.counts += counted if weight == 1 else weight * counted

    def exceeded(self, row: int, share: float, further: np.ndarray | None = None) -> float:
        """Size that ``share`` (0 to 1) of the values of ``row`` exceed; 0 when nothing was counted.

        ``further`` counts of the same bins are added first.
        """
        counts = self.counts[row] if further is None else self.counts[row] + further
        total = int(counts.sum())
        if total == 0:
            return 0.0
        below = np.cumsum(counts)
        wanted = (1.0 - share) * total
        place = int(np.searchsorted(below, wanted))
        place = min(place, self._bins - 1)
        before = float(below[place - 1]) if place else 0.0
        inside = (wanted - before) / max(float(counts[place]), 1.0)
        low, high = self._edges[place], self._edges[place + 1]
        return float(low + min(max(inside, 0.0), 1.0) * (high - low))
