"""How the platter turns: mean speed error, drift, lines of the turning parts, random flutter.

The platter's angle is written down directly and its rate follows from it exactly::

    base(t)  = 2 pi n0 [(1 + m) t + d t²/2]                        n0 selected speed, m error, d drift
    angle(t) = base + sum (a/k) sin(k base + p) + n0' sum (a/(2 pi f)) sin(2 pi f t + p) + random

so a line of peak a has the deviation ``a · cos(k · base + p)`` of the mean speed, with k turns of its part per
platter turn.
"""

from __future__ import annotations

import numpy as np
from scipy import signal

from spindlewright.simulate.randomness import stream
from spindlewright.simulate.spec import Deck, RandomFlutter
from spindlewright.simulate.timebase import Timebase

TWO_PI = 2.0 * np.pi


class PlatterSpeed:
    """The platter's angle in rad as a function of real time in s, without the random part."""

    def __init__(self, deck: Deck, rated_rpm: float) -> None:
        self.rated_hz = rated_rpm / 60.0
        self.nominal_hz = deck.turns_per_minute(rated_rpm) / 60.0
        self.error = deck.speed_error_percent / 100.0
        self.drift_per_s = deck.drift_percent_per_min / 6000.0
        self.mean_hz = self.nominal_hz * (1.0 + self.error)
        self.by_turn: list[tuple[float, float, float]] = []
        self.by_time: list[tuple[float, float, float]] = []
        for line in deck.lines:
            peak, phase = line.peak_percent / 100.0, np.deg2rad(line.phase_deg)
            if line.part is not None:
                self.by_turn.append((peak, line.order * deck.parts.turns_per_platter_turn(line.part), phase))
            elif line.hz is not None:
                self.by_time.append((peak, line.hz, phase))

    def base_angle(self, t: np.ndarray) -> np.ndarray:
        """Angle from mean speed and drift alone."""
        return np.asarray(TWO_PI * self.nominal_hz * t * (1.0 + self.error + 0.5 * self.drift_per_s * t))

    def angle(self, t: np.ndarray) -> np.ndarray:
        """Angle with all lines."""
        base = self.base_angle(t)
        angle = base.copy()
        for peak, turns, phase in self.by_turn:
            angle += peak / turns * np.sin(turns * base + phase)
        for peak, hz, phase in self.by_time:
            angle += TWO_PI * self.mean_hz * peak / (TWO_PI * hz) * np.sin(TWO_PI * hz * t + phase)
        return angle

    def mean_deviation(self, t: float) -> float:
        """Relative speed error at a time against the disc's rated speed: mean and drift, no lines."""
        return self.nominal_hz * (1.0 + self.error + self.drift_per_s * t) / self.rated_hz - 1.0


class RandomAngle:
    """The random part of the platter's angle, handed out node by node in order.

    The deviation is band-limited Gaussian noise on the nodes; its integral is taken with a fourth-order rule.
    """

    def __init__(self, flutter: RandomFlutter | None, mean_hz: float, timebase: Timebase, seed: int) -> None:
        self.flutter = flutter
        self.next = -8
        self._angles = np.zeros(0)
        if flutter is None:
            return
        rate = timebase.node_rate_hz
        self._spacing = TWO_PI * mean_hz / rate
        self._sections = signal.butter(2, [flutter.low_hz, flutter.high_hz], "bandpass", fs=rate, output="sos")
        response = signal.sosfreqz(self._sections, worN=1 << 17)[1]
        self._scale = flutter.rms_percent / 100.0 / np.sqrt(np.mean(np.abs(response) ** 2))
        self._random = stream(seed, "random flutter")
        self._state = np.zeros((self._sections.shape[0], 2))
        self._deviation = np.zeros(0)
        self._last_angle = 0.0
        settle = int(5.0 * rate / flutter.low_hz)
        for start in range(0, settle, 1 << 17):
            self._filtered(min(1 << 17, settle - start))
        self._deviation = self._filtered(3)

    def _filtered(self, count: int) -> np.ndarray:
        noise, self._state = signal.sosfilt(
            self._sections, self._random.standard_normal(count) * self._scale, zi=self._state
        )
        return np.asarray(noise)

    def take(self, first: int, count: int) -> np.ndarray:
        """Angles at nodes ``first … first + count``; each call may look back to the start of the one before."""
        if self.flutter is None:
            return np.zeros(count)
        end = first + count
        fresh = end - self.next
        if fresh > 0:
            d = np.concatenate([self._deviation, self._filtered(fresh)])
            steps = self._spacing / 24.0 * (-d[:-3] + 13.0 * d[1:-2] + 13.0 * d[2:-1] - d[3:])
            angles = self._last_angle + np.cumsum(steps)
            self._deviation, self._last_angle = d[-3:], float(angles[-1])
            self._angles = np.concatenate([self._angles, angles])
            self.next = end
        start = first - (self.next - self._angles.size)
        out = self._angles[start : start + count]
        self._angles = self._angles[max(0, start) :]
        return out
