"""The phase of a tone as means over about 20 ms: what slow readings keep of a band, at most 50 values a second."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

BLOCK_S = 0.02


@dataclass(frozen=True, slots=True)
class SlowPhase:
    """Block means of the phase in rad at ``time_s`` (middle of each block, after the first sample fed).

    ``weight`` is the share of real samples in each block (0 where a tick was bridged all through), ``block_s`` the
    length of a block. ``noise_rad2_s`` is the density of white phase noise (two-sided, rad² s), told from the
    amplitude in quadrature between neighbouring blocks.
    """

    time_s: np.ndarray
    phase_rad: np.ndarray
    weight: np.ndarray
    block_s: float
    noise_rad2_s: float

    @property
    def duration_s(self) -> float:
        """Time from the start of the first block to the end of the last."""
        return len(self.time_s) * self.block_s


class SlowTrack:
    """State machine: feed rows of the ``phase`` view, (n, 3), in blocks of any size."""

    def __init__(self, rate_hz: float) -> None:
        self.rate_hz = rate_hz
        self.length = max(1, math.ceil(BLOCK_S * rate_hz))
        self._mean = np.tile(np.eye(3) / self.length, (self.length, 1))
        self._waiting = np.zeros((0, 3))
        self._phase: list[np.ndarray] = []
        self._weight: list[np.ndarray] = []
        self._amplitude: list[np.ndarray] = []

    def feed(self, block: np.ndarray) -> None:
        rows = np.concatenate([self._waiting, block]) if len(self._waiting) else block
        count = len(rows) // self.length
        means = rows[: count * self.length].reshape(count, 3 * self.length) @ self._mean
        self._phase.append(means[:, 0])
        self._amplitude.append(means[:, 1].astype(np.float32))
        self._weight.append(means[:, 2].astype(np.float32))
        self._waiting = rows[count * self.length :].copy()

    def result(self) -> SlowPhase:
        """Everything so far; feeding may go on."""
        phase = np.concatenate([np.zeros(0), *self._phase])
        weight = np.concatenate([np.zeros(0), *self._weight]).astype(np.float64)
        amplitude = np.concatenate([np.zeros(0), *self._amplitude]).astype(np.float64)
        block_s = self.length / self.rate_hz
        time_s = (np.arange(len(phase)) + 0.5) * block_s - 0.5 / self.rate_hz
        if len(phase) >= 8:
            # second differences leave out slow changes of level; white noise comes through with a power of 6
            bends = np.diff(amplitude, 2)
            noise = float(np.median(bends**2)) / 0.4549 / 6.0 * block_s  # median of a chi-square of 1 degree: 0.4549
        else:
            noise = 0.0
        return SlowPhase(time_s, phase, weight, block_s, noise)


def joined_in_pairs(slow: SlowPhase) -> SlowPhase:
    """The same track with blocks twice as long; an odd last block is left out."""
    count = len(slow.time_s) // 2

    def pairs(values: np.ndarray) -> np.ndarray:
        return np.asarray(values[: 2 * count].reshape(count, 2).mean(axis=1))

    return SlowPhase(
        pairs(slow.time_s), pairs(slow.phase_rad), pairs(slow.weight), 2.0 * slow.block_s, slow.noise_rad2_s
    )
