"""Arm mass on stylus compliance: below the resonance the whole arm follows the groove and nothing is heard.

Relative motion over groove motion is s²/(s² + w0 s/Q + w0²), separately for lateral and vertical motion
(published-values 9, derived).
"""

from __future__ import annotations

import numpy as np
from scipy import signal

from spindlewright.simulate.spec import Arm


def resonance_response(frequency_hz: np.ndarray, resonance_hz: float | None, q: float) -> np.ndarray:
    """Complex relative motion at a frequency; ones without a resonance."""
    f = np.asarray(frequency_hz, float)
    if resonance_hz is None:
        return np.ones(f.shape, complex)
    return np.asarray(-(f**2) / (resonance_hz**2 - f**2 + 1j * f * resonance_hz / q))


class ArmResonance:
    """Streaming filter on the two wall velocities."""

    def __init__(self, arm: Arm, rate_hz: float) -> None:
        self._sections = [
            _section(arm.lateral_resonance_hz, arm.lateral_q, rate_hz),
            _section(arm.vertical_resonance_hz, arm.vertical_q, rate_hz),
        ]
        self._states = [np.zeros((1, 2)), np.zeros((1, 2))]

    def process(self, walls: np.ndarray) -> np.ndarray:
        """Wall velocities (2, n) as the stylus moves against the cartridge."""
        if self._sections[0] is None and self._sections[1] is None:
            return walls
        motions = [(walls[0] + walls[1]) / 2.0, (walls[0] - walls[1]) / 2.0]
        for i, section in enumerate(self._sections):
            if section is not None:
                motions[i], self._states[i] = signal.sosfilt(section, motions[i], zi=self._states[i])
        return np.array([motions[0] + motions[1], motions[0] - motions[1]])


def _section(resonance_hz: float | None, q: float, rate_hz: float) -> np.ndarray | None:
    if resonance_hz is None:
        return None
    k = np.tan(np.pi * resonance_hz / rate_hz)
    a0, a1, a2 = 1.0 + k / q + k * k, 2.0 * (k * k - 1.0), 1.0 - k / q + k * k
    return np.asarray(np.array([[1.0, -2.0, 1.0, a0, a1, a2]]) / a0)
