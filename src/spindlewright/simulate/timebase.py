"""The grids of a simulated take: samples, coarse nodes between which slow things are interpolated, and chunks.

Speed, groove position, rumble and warp move slowly, so they are computed on nodes about 6000 times a second and
brought to the sample rate by six-point Lagrange interpolation (relative error below 5e-7 up to 200 Hz). Work is
always done in the same chunks, whatever block size is asked for, so that the samples do not depend on it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from spindlewright.simulate.spec import Recorder

NODE_RATE_HZ = 6000.0
BEFORE, AFTER = 2, 3
"""Nodes needed before and after an interval by the six-point interpolation."""


@dataclass(frozen=True, slots=True)
class Timebase:
    """``true_rate_hz`` samples a second are really taken; ``step`` samples lie between two nodes."""

    true_rate_hz: float
    file_rate_hz: float
    step: int
    chunk_nodes: int

    @property
    def chunk(self) -> int:
        """Samples in one chunk."""
        return self.step * self.chunk_nodes

    @property
    def node_rate_hz(self) -> float:
        return self.true_rate_hz / self.step

    def node_times_s(self, first: int, count: int) -> np.ndarray:
        """Real time of ``count`` nodes from number ``first`` on (may be negative)."""
        return (first + np.arange(count)) / self.node_rate_hz


def timebase_of(recorder: Recorder) -> Timebase:
    """Grids for a recorder: its true rate is the nominal one times 1 + clock error."""
    step = max(1, round(recorder.rate_hz / NODE_RATE_HZ))
    return Timebase(
        true_rate_hz=recorder.rate_hz * (1.0 + 1e-6 * recorder.clock_error_ppm),
        file_rate_hz=float(recorder.declared_rate_hz or recorder.rate_hz),
        step=step,
        chunk_nodes=max(64, 32_768 // step),
    )


def lagrange_matrix(step: int) -> np.ndarray:
    """Weights (6, step): column m interpolates at m/step past the third of six equidistant nodes."""
    at = np.arange(step) / step
    nodes = np.arange(-BEFORE, AFTER + 1)
    weights = np.ones((nodes.size, step))
    for i, own in enumerate(nodes):
        for other in np.delete(nodes, i):
            weights[i] *= (at - other) / (own - other)
    return weights


def interpolate(nodes: np.ndarray, weights: np.ndarray) -> np.ndarray:
    """Samples between nodes: ``nodes`` has BEFORE + count + AFTER values, the result count · step.

    Large values (groove time, phase) keep their precision: only differences are weighted.
    """
    windows = np.lib.stride_tricks.sliding_window_view(nodes, BEFORE + AFTER + 1)[: nodes.size - BEFORE - AFTER]
    centre = windows[:, BEFORE : BEFORE + 1]
    return np.asarray(((windows - centre) @ weights + centre).ravel())


def derivative(nodes: np.ndarray, spacing_s: float) -> np.ndarray:
    """First derivative at the inner nodes (three lost at each end), sixth-order central difference."""
    d = nodes
    near = d[4:-2] - d[2:-4]
    middle = d[5:-1] - d[1:-5]
    far = d[6:] - d[:-6]
    return np.asarray((45.0 * near - 9.0 * middle + far) / (60.0 * spacing_s))
