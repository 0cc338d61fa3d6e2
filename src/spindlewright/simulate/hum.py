"""Mains lines at the recorder's input, per channel."""

from __future__ import annotations

import numpy as np

from spindlewright.simulate.spec import Hum
from spindlewright.simulate.timebase import Timebase


class HumLines:
    """Sum of the lines, made by turning phasors: exact, and quick because step and phase are separated."""

    def __init__(self, hum: Hum, timebase: Timebase) -> None:
        self.timebase = timebase
        hz, left, right = [], [], []
        for line in hum.lines:
            hz.append(line.order * hum.mains_hz)
            left.append(_phasor(line.left_dbfs, line.left_phase_deg))
            right.append(_phasor(line.right_dbfs, line.right_phase_deg))
        audible = np.array(hz) < 0.5 * timebase.true_rate_hz
        self._radians = 2.0 * np.pi * np.array(hz)[audible] if hz else np.zeros(0)
        self._phasors = np.array([left, right])[:, audible] if hz else np.zeros((2, 0), complex)
        within = np.arange(timebase.step) / timebase.true_rate_hz
        self._turns = np.exp(1j * self._radians[:, None] * within)

    def chunk(self, first_node: int, nodes: int) -> np.ndarray | None:
        """Hum (2, nodes · step) in full scale from a node on; None when there is none."""
        if self._radians.size == 0:
            return None
        at_nodes = np.exp(1j * self._radians * self.timebase.node_times_s(first_node, nodes)[:, None])
        weights = np.concatenate([self._turns.real, -self._turns.imag])
        out = []
        for phasors in self._phasors:
            start = at_nodes * phasors
            out.append((np.concatenate([start.real, start.imag], axis=1) @ weights).ravel())
        return np.array(out)


def _phasor(level_dbfs: float | None, phase_deg: float) -> complex:
    if level_dbfs is None:
        return 0j
    return complex(10.0 ** (level_dbfs / 20.0) * np.exp(1j * np.deg2rad(phase_deg)))
