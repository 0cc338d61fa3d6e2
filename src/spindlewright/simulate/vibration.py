"""Slow motion of the groove against the cartridge: rumble noise and lines, motor vibration, warp."""

from __future__ import annotations

import numpy as np
from scipy import signal

from spindlewright.simulate.equalisation import replay_gain
from spindlewright.simulate.modulation import WALLS
from spindlewright.simulate.randomness import stream
from spindlewright.simulate.spec import Rumble, Spec, VibrationLine
from spindlewright.simulate.speed import TWO_PI, PlatterSpeed
from spindlewright.simulate.timebase import AFTER, BEFORE, Timebase
from spindlewright.standards.din_45539_1971 import REFERENCE_VELOCITY_CM_S, unweighted_response, weighted_response

RUMBLE_REFERENCE_CM_S = float(REFERENCE_VELOCITY_CM_S.value or 0.0)
"""Peak velocity at 1 kHz to which rumble levels refer (DIN 45539, published-values 3, confirmed)."""

SLOW_GRID_HZ = np.geomspace(0.02, 5000.0, 1200)
"""Frequencies over which rumble densities are integrated; the weightings leave nothing of note outside."""


def unweighted_gain(frequency_hz: np.ndarray) -> np.ndarray:
    """Magnitude of the unweighted rumble band (working model)."""
    return np.asarray(np.abs(unweighted_response(frequency_hz)))


def weighted_gain(frequency_hz: np.ndarray) -> np.ndarray:
    """Magnitude of the weighted rumble band (working model), 1 at 315 Hz."""
    return np.asarray(np.abs(weighted_response(frequency_hz)))


def noise_gain(frequency_hz: np.ndarray, rumble: Rumble) -> np.ndarray:
    """Magnitude of the velocity of rumble noise, 1 at low frequencies."""
    return np.asarray(1.0 / np.sqrt(1.0 + (np.asarray(frequency_hz, float) / rumble.corner_hz) ** 4))


def noise_density(level_db: float, rumble: Rumble) -> float:
    """Velocity density at low frequencies, (cm/s)²/Hz, of noise with the stated unweighted level."""
    f = SLOW_GRID_HZ
    shape = (noise_gain(f, rumble) * replay_gain(f) * unweighted_gain(f)) ** 2
    return float(0.5 * RUMBLE_REFERENCE_CM_S**2 * 10.0 ** (level_db / 10.0) / np.trapezoid(shape, f))


def line_rate_hz(line: VibrationLine, spec: Spec, speed: PlatterSpeed) -> float:
    """Rate of a vibration line at the deck's mean speed."""
    if line.part is None:
        return float(line.hz or 0.0)
    return line.order * spec.deck.parts.turns_per_platter_turn(line.part) * speed.mean_hz


def line_velocity_cm_s(line: VibrationLine, rate_hz: float) -> float:
    """Peak velocity of a line that has the stated level after RIAA replay."""
    return float(RUMBLE_REFERENCE_CM_S * 10.0 ** (line.level_db / 20.0) / replay_gain(rate_hz))


class Vibration:
    """Slow wall velocities on nodes, in order of nodes."""

    def __init__(self, spec: Spec, speed: PlatterSpeed, timebase: Timebase) -> None:
        self.spec, self.speed, self.timebase = spec, speed, timebase
        rumble = spec.deck.rumble
        self._noises: list[_NodeNoise] = []
        for direction, level in (("lateral", rumble.lateral_db), ("vertical", rumble.vertical_db)):
            if level is not None:
                self._noises.append(_NodeNoise(direction, level, rumble, timebase.node_rate_hz, spec.seed))
        self.silent = not (self._noises or rumble.lines or spec.disc.warp_mm)

    def nodes(self, first: int, count: int, angle: np.ndarray) -> np.ndarray:
        """Wall velocities (2, BEFORE + count + AFTER) in cm/s; ``angle`` is the platter's at the same nodes."""
        start, total = first - BEFORE, count + BEFORE + AFTER
        walls = np.zeros((2, total))
        for noise in self._noises:
            _add(walls, noise.direction, noise.take(start, total))
        t = self.timebase.node_times_s(start, total)
        for line in self.spec.deck.rumble.lines:
            rate = line_rate_hz(line, self.spec, self.speed)
            if line.part is None:
                phase = TWO_PI * rate * t
            else:
                phase = line.order * self.spec.deck.parts.turns_per_platter_turn(line.part) * angle
            x = line_velocity_cm_s(line, rate) * np.cos(phase + np.deg2rad(line.phase_deg))
            _add(walls, line.direction, x)
        disc = self.spec.disc
        if disc.warp_mm:
            peak_cm_s = 0.1 * disc.warp_mm * disc.warp_order * TWO_PI * self.speed.mean_hz
            _add(
                walls,
                "vertical",
                -peak_cm_s * np.sin(disc.warp_order * angle + np.deg2rad(disc.warp_phase_deg)),
            )
        return walls


def _add(walls: np.ndarray, direction: str, x: np.ndarray) -> None:
    for wall, share in zip(walls, WALLS[direction], strict=True):
        wall += share * x


class _NodeNoise:
    """Low-passed noise, handed out node by node with a look back of a few nodes."""

    def __init__(self, direction: str, level_db: float, rumble: Rumble, rate_hz: float, seed: int) -> None:
        self.direction = direction
        self._sections = signal.butter(2, rumble.corner_hz, fs=rate_hz, output="sos")
        self._scale = np.sqrt(noise_density(level_db, rumble) * rate_hz / 2.0)
        self._random = stream(seed, f"rumble {direction}")
        self._state = np.zeros((self._sections.shape[0], 2))
        self._held = self._fresh(int(rate_hz))[-8:]
        self._next = -BEFORE

    def _fresh(self, count: int) -> np.ndarray:
        noise, self._state = signal.sosfilt(
            self._sections, self._random.standard_normal(count) * self._scale, zi=self._state
        )
        return np.asarray(noise)

    def take(self, first: int, count: int) -> np.ndarray:
        """Values of ``count`` nodes; ``first`` lies at most 8 nodes before the end of the last call."""
        fresh = first + count - self._next
        held = np.concatenate([self._held, self._fresh(fresh)])
        self._held, self._next = held[-8:], first + count
        return np.asarray(held[held.size - count :])
