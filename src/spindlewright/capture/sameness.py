"""Whether the two channels are one and the same sound."""

from __future__ import annotations

import math

import numpy as np

CHEAP_RESIDUE = 1e-5
"""Share of the power not common to both channels above which a chunk is clearly not mono (−50 dB): any cartridge's
crosstalk, noise and ticks leave more than this, and the cheap single-precision sums can tell it."""
RESIDUE = 1e-8
"""The same after the close look: −80 dB, two channels made from one in a program or an adaptor."""
EVERY = 16
"""The close look takes every so many frames."""
QUIET_MEAN_SQUARE = 1e-9
"""Chunks below −87 dBFS say nothing about gain."""
GAIN_TOLERANCE = 1e-3


class Sameness:
    """Follows two questions through the recording until each is answered with no.

    ``equal``: every sample of both channels was the same so far. ``gain``: right over left when the channels differ
    by a constant factor only; None when they don't, or nothing could be told yet.
    """

    def __init__(self, channels: int) -> None:
        self.one_channel = channels == 1
        self.equal = True
        self._proportional = True
        self._gain: float | None = None
        self._seconds_told = 0

    @property
    def gain(self) -> float | None:
        return self._gain if self._proportional else None

    def feed(self, chunk: np.ndarray, left: float, right: float, both: float) -> None:
        """float32 (n, 2), with the sums over it of left², right² and left·right."""
        if self.one_channel:
            return
        if self.equal:
            self.equal = bool(np.array_equal(chunk[:, 0], chunk[:, 1]))
        if not self._proportional or self.equal:
            return
        quiet = QUIET_MEAN_SQUARE * len(chunk)
        if left < quiet and right < quiet:
            return
        if left * right - both * both > CHEAP_RESIDUE * left * right or left < quiet or right < quiet:
            self._proportional = False
            return
        self._look_closely(chunk[::EVERY].astype(np.float64))

    def _look_closely(self, x: np.ndarray) -> None:
        left, right, both = x[:, 0] @ x[:, 0], x[:, 1] @ x[:, 1], x[:, 0] @ x[:, 1]
        gain = both / left if left > 0 else math.inf
        rest = x[:, 1] - gain * x[:, 0]
        if not rest @ rest <= RESIDUE * right:
            self._proportional = False
        elif self._gain is None:
            self._gain = float(gain)
        elif abs(gain / self._gain - 1.0) > GAIN_TOLERANCE:
            self._proportional = False
