"""Where on the disc the stylus is: bands along the groove, and the groove time heard at each moment.

*Groove time* is the time in s at which the lathe, running at rated speed, would have cut the place now under the
stylus; it starts at 0 where the stylus lands. A tone of f Hz cut there is heard with the phase 2 pi f · groove time,
so the heard speed deviation is the rate of groove time less one. It follows from the platter's angle, the exact
position of the stylus (disc off centre, arm on an arc, spiral), the warp and the cutting error.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from spindlewright.simulate.arm_geometry import stylus_angle
from spindlewright.simulate.spec import CutBand, Spec, radii_mm
from spindlewright.simulate.speed import TWO_PI, PlatterSpeed, RandomAngle
from spindlewright.simulate.timebase import AFTER, BEFORE, Timebase


@dataclass(frozen=True, slots=True)
class PlacedBand:
    """A band with its place along the groove (groove time in s) and its radii."""

    index: int
    cut: CutBand
    start: float
    end: float
    start_radius_mm: float
    end_radius_mm: float


def place_bands(spec: Spec) -> tuple[PlacedBand, ...]:
    """Bands one after the other behind the lead-in, each after its gap."""
    placed, at = [], spec.take.lead_in_s
    for index, (band, start_mm, end_mm) in enumerate(radii_mm(spec)):
        at += band.gap_s
        placed.append(PlacedBand(index, band, at, at + band.seconds, start_mm, end_mm))
        at += band.seconds
    return tuple(placed)


@dataclass(frozen=True, slots=True)
class Motion:
    """Nodes of one chunk (with BEFORE and AFTER extra): platter angle in rad and groove time in s."""

    first_node: int
    angle: np.ndarray
    groove_time_s: np.ndarray


class Groove:
    """Groove time as a function of real time."""

    def __init__(self, spec: Spec, timebase: Timebase) -> None:
        self.spec = spec
        self.timebase = timebase
        self.speed = PlatterSpeed(spec.deck, spec.disc.rated_rpm)
        self.bands = place_bands(spec)
        self.end = (self.bands[-1].end if self.bands else spec.take.lead_in_s) + spec.take.lead_out_s
        self.landing_s = spec.take.lifted_before_s
        knots = [(0.0, spec.disc.start_radius_mm)]
        for band in self.bands:
            knots += [(band.start, band.start_radius_mm), (band.end, band.end_radius_mm)]
        self._knot_times, self._knot_radii = np.array(knots).T
        disc = spec.disc
        self._per_rad = (1.0 + disc.tone_error_percent / 100.0) / (TWO_PI * self.speed.rated_hz)
        self._centre = disc.eccentricity_mm * np.exp(1j * np.deg2rad(disc.eccentricity_phase_deg))
        self._landing_angle = float(self.speed.angle(np.array([self.landing_s]))[0])
        self._landing_groove_angle = 0.0
        self._landing_groove_angle = float(self._groove_angle(np.array([self._landing_angle]))[0])
        self.lifting_s = float(self.times_of(np.array([self.end]))[0])
        self.duration_s = self.lifting_s + spec.take.lifted_after_s

    def radius_mm(self, angle: np.ndarray) -> np.ndarray:
        """Groove radius under the stylus at a platter angle."""
        turned_s = (angle - self._landing_angle) * self._per_rad
        return np.asarray(np.interp(turned_s, self._knot_times, self._knot_radii))

    def _groove_angle(self, angle: np.ndarray) -> np.ndarray:
        """Angle along the groove, from where the stylus landed, at a platter angle."""
        disc, arm = self.spec.disc, self.spec.arm
        out = angle
        spiral = np.ptp(self._knot_radii) > 0.0
        if spiral or disc.eccentricity_mm or disc.warp_mm:
            radius = self.radius_mm(angle)
        if disc.eccentricity_mm or spiral:
            centre = self._centre * np.exp(1j * angle) if disc.eccentricity_mm else np.zeros(1, complex)
            out = out - stylus_angle(arm, radius, centre)
        if disc.warp_mm and arm.tracking == "pivoted":
            height = disc.warp_mm * np.cos(disc.warp_order * angle + np.deg2rad(disc.warp_phase_deg))
            out = out + height * (arm.pivot_height_mm / arm.effective_length_mm) / radius
        return out - self._landing_groove_angle

    def groove_time(self, t: np.ndarray, random_angle: np.ndarray | float = 0.0) -> tuple[np.ndarray, np.ndarray]:
        """Platter angle and groove time at real times ``t``."""
        angle = self.speed.angle(t) + random_angle
        return angle, self._groove_angle(angle) * self._per_rad

    def times_of(self, groove_times: np.ndarray) -> np.ndarray:
        """Real times at which places along the groove are played (random flutter left out: well below 1 ms)."""
        rate = self.speed.mean_hz / self.speed.rated_hz * (1.0 + self.spec.disc.tone_error_percent / 100.0)
        t = self.landing_s + np.asarray(groove_times, float) / rate
        for _ in range(30):
            step = (groove_times - self.groove_time(t)[1]) / rate
            t = t + step
            if step.size == 0 or np.max(np.abs(step)) < 1e-10:
                break
        return t

    def motion(self, first: int, count: int, random: RandomAngle) -> Motion:
        """Motion of ``count`` nodes from ``first`` on, with the extra nodes interpolation needs."""
        start, total = first - BEFORE, count + BEFORE + AFTER
        angle, groove_time = self.groove_time(
            self.timebase.node_times_s(start, total), random.take(start, total) if random.flutter else 0.0
        )
        return Motion(first, angle, groove_time)

    def random_angle(self) -> RandomAngle:
        """A fresh run of the random part."""
        return RandomAngle(self.spec.deck.random_flutter, self.speed.mean_hz, self.timebase, self.spec.seed)
