"""What is cut into the two groove walls: tones, sweeps and noise, as velocity in cm/s."""

from __future__ import annotations

import numpy as np
from scipy import signal

from spindlewright.simulate.equalisation import matched_recording_section, replay_gain
from spindlewright.simulate.groove import PlacedBand
from spindlewright.simulate.randomness import stream
from spindlewright.simulate.spec import CutBand, Disc

WALLS: dict[str, tuple[float, float]] = {
    "lateral": (0.5**0.5, 0.5**0.5),
    "vertical": (0.5**0.5, -(0.5**0.5)),
    "left": (1.0, 0.0),
    "right": (0.0, 1.0),
}
"""Velocity of left and right wall for unit velocity in a direction (45/45 system)."""


def wall_share(cut: CutBand) -> tuple[float, float]:
    """How a band's velocity splits over left and right wall."""
    if cut.kind in ("left", "right", "vertical"):
        return WALLS[cut.kind]
    return WALLS[cut.direction or "lateral"]


def cut_velocity_cm_s(cut: CutBand, frequency_hz: np.ndarray | float) -> np.ndarray:
    """Peak velocity of the groove at a frequency."""
    flat = cut.equalisation == "flat"
    return np.asarray(cut.velocity_cm_s * (1.0 if flat else 1.0 / replay_gain(frequency_hz)))


class Modulation:
    """Wall velocities as a function of groove time, handed out chunk by chunk."""

    def __init__(self, bands: tuple[PlacedBand, ...], disc: Disc, rate_hz: float, seed: int) -> None:
        self.bands = [b for b in bands if b.cut.kind in ("tone", "left", "right", "vertical", "sweep", "noise")]
        self.disc, self.rate_hz, self.seed = disc, rate_hz, seed
        self._recording = matched_recording_section(rate_hz)
        self._noise: dict[int, tuple[np.random.Generator, np.ndarray]] = {}

    def add(self, walls: np.ndarray, groove_time: np.ndarray) -> None:
        """Add the velocities at the given groove times (rising) to ``walls`` (2, n).

        The groove's shape is fixed, so a velocity pick-up gives more the faster it passes.
        """
        pace: np.ndarray | None = None
        for band in self.bands:
            if band.end <= groove_time[0] or band.start >= groove_time[-1]:
                continue
            first, last = np.searchsorted(groove_time, (band.start, band.end))
            if first == last:
                continue
            u = groove_time[first:last] - band.start
            x = self._noise_samples(band, last - first) if band.cut.kind == "noise" else self._tone(band.cut, u)
            if pace is None:
                pace = np.gradient(groove_time) * self.rate_hz
            x = x * self._edges(u, band.cut.seconds) * pace[first:last]
            for wall, share in zip(walls, wall_share(band.cut), strict=True):
                if share:
                    wall[first:last] += share * x

    def _tone(self, cut: CutBand, u: np.ndarray) -> np.ndarray:
        start_turns = cut.phase_deg / 360.0
        if cut.to_hz is None or cut.kind != "sweep":
            turns = cut.hz * u + start_turns
            velocity = cut_velocity_cm_s(cut, cut.hz) * (cut.hz < 0.5 * self.rate_hz)
        else:
            pace = np.log(cut.to_hz / cut.hz) / cut.seconds
            hz = cut.hz * np.exp(pace * u)
            turns = (hz - cut.hz) / pace + start_turns
            velocity = cut_velocity_cm_s(cut, hz) * (hz < 0.5 * self.rate_hz)
        turns -= np.floor(turns)
        return np.asarray(velocity * np.cos(2.0 * np.pi * turns))

    def _noise_samples(self, band: PlacedBand, count: int) -> np.ndarray:
        if band.index not in self._noise:
            self._noise[band.index] = (stream(self.seed, f"noise band {band.index}"), np.zeros((1, 2)))
        random, state = self._noise[band.index]
        x = random.standard_normal(count) * band.cut.velocity_cm_s / np.sqrt(2.0)
        if band.cut.equalisation == "riaa":
            x, state = signal.sosfilt(self._recording, x, zi=state)
        self._noise[band.index] = (random, state)
        return np.asarray(x)

    def _edges(self, u: np.ndarray, length: float) -> np.ndarray | float:
        edge = min(self.disc.tone_edge_s, 0.5 * length)
        if edge == 0.0 or (u[0] >= edge and u[-1] <= length - edge):
            return 1.0
        near = np.clip(np.minimum(u, length - u) / edge, 0.0, 1.0)
        return np.asarray(0.5 - 0.5 * np.cos(np.pi * near))
