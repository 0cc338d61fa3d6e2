"""Flat tops: places where the wave rises to a limit and stays on it, at full scale or below.

Evidence, per channel and side of zero: n ≥ 3 samples in a row that all equal the extreme value of their
surroundings, entered and left far more steeply than a smooth top could be. A smooth top whose n samples all lie within
one quantising step q has, m samples outside them, fallen by at most q·(1 + 2m/n)² (derived: parabola through the top).
With m = n/2, but at least 2, that is 5.4 q or less; ``STEEP_STEPS`` asks for more than twice as much.
So a clean tone of any level, also one that
just reaches full scale, never counts. Below full scale the rise itself must be seen as well: a generator's square
wave, which jumps from one value to the other, is no clipped sound.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from spindlewright.capture.flat_tops import flat_share

SHORTEST_RUN = 3
STEEP_STEPS = 12.0
SMALLEST_RAIL_STEPS = 50.0
"""Nothing is told about tops lower than this many quantising steps."""
FULL_SCALE_FROM = 0.9999
CODED_FULL_SCALE_FROM = 0.98
"""A limit from here on is the converter's own (16-bit full scale is 0.99997; coarser words end lower)."""
RISING_SHARE = 0.2
"""Share of the runs below full scale before which a value between the two limits must be seen."""
MERGE_S = 0.1
"""Runs nearer than this belong to one interval: two tops of a 20 Hz tone (working choice)."""
STEP_SAMPLES = 4096
"""Samples from which the true quantising step is taken (a 16-bit sound may sit in a 24-bit or float file)."""


@dataclass(slots=True)
class ClippedInterval:
    """One stretch with flat tops, in frames; ``flat_frames`` of it lie on a limit of ``rail`` (re full scale)."""

    start: int
    stop: int
    flat_frames: int
    runs: int
    rail: float


@dataclass(slots=True)
class ClippingFinder:
    """Collects intervals per channel from those chunks in which a cheap test fired."""

    rate_hz: float
    bits: int | None
    intervals: tuple[list[ClippedInterval], list[ClippedInterval]] = field(default_factory=lambda: ([], []))

    def look(self, samples: np.ndarray, channel: int, side: int, first_frame: int) -> None:
        """One channel of one chunk, float32 (n,); ``side`` 1 for its top, -1 for its bottom."""
        x = np.ascontiguousarray(samples) * np.float32(side)
        rail, lowest = float(x.max()), float(x.min())
        step = self._step(x, rail)
        if rail < SMALLEST_RAIL_STEPS * step:
            return
        starts, stops = runs_of(x == x.max())
        long = stops - starts >= SHORTEST_RUN
        starts, stops = starts[long], stops[long]
        if not len(starts):
            return
        last = len(x) - 1
        steep = STEEP_STEPS * step
        away = np.maximum(2, (stops - starts) // 2)
        front, back = starts - away, stops - 1 + away
        before = (front < 0) | (rail - x[np.maximum(front, 0)] >= steep)
        after = (back > last) | (rail - x[np.minimum(back, last)] >= steep)
        inside = (front >= 0) | (back <= last)
        hard = before & after & inside
        starts, stops = starts[hard], stops[hard]
        if not len(starts):
            return
        if rail < full_scale_from(self.bits):
            between = x[np.maximum(starts - 1, 0)] - lowest
            if np.count_nonzero(between > 0.02 * (rail - lowest)) < RISING_SHARE * len(starts):
                return
        for start, stop in zip(starts.tolist(), stops.tolist(), strict=True):
            self._add(channel, first_frame + start, first_frame + stop, rail)

    def look_at_crest(self, samples: np.ndarray, channel: int, first_frame: int) -> None:
        """One channel of one chunk whose power is suspicious: tops that are flat but for noise on them."""
        known = self.intervals[channel]
        if known and known[-1].stop > first_frame:
            return  # equal samples have told it already
        share = flat_share(samples)
        if share > 0.0:
            rail = float(np.quantile(np.abs(samples), 1.0 - 0.5 * share))
            self._add(channel, first_frame, first_frame + len(samples), rail, round(share * len(samples)))

    def _step(self, x: np.ndarray, rail: float) -> float:
        """Quantising step re full scale, from the word length or, where that says too little, from the samples."""
        if self.bits is None:
            return rail / 32.0  # companded codes are this coarse near their top
        stated = 2.0 ** (1 - min(self.bits, 24))
        if self.bits <= 16:
            return stated
        steps = np.abs(np.diff(x[:STEP_SAMPLES]))
        steps = steps[steps > 0]
        return max(stated, float(steps.min())) if len(steps) else stated

    def _add(self, channel: int, start: int, stop: int, rail: float, flat_frames: int | None = None) -> None:
        known = self.intervals[channel]
        flat = stop - start if flat_frames is None else flat_frames
        if known and start - known[-1].stop <= MERGE_S * self.rate_hz:
            last = known[-1]
            last.start = min(last.start, start)
            last.stop = max(last.stop, stop)
            last.flat_frames += flat
            last.runs += 1
            return
        known.append(ClippedInterval(start, stop, flat, 1, rail))


def full_scale_from(bits: int | None) -> float:
    """The value from which on a limit is the converter's own.

    >>> round(full_scale_from(8), 3), full_scale_from(24)
    (0.988, 0.9999)
    """
    return CODED_FULL_SCALE_FROM if bits is None else min(FULL_SCALE_FROM, 1.0 - 1.5 * 2.0 ** (1 - bits))


def runs_of(mask: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """First index and one past the last of each run of True in a boolean array (n,).

    >>> [edge.tolist() for edge in runs_of(np.array([1, 1, 0, 1], bool))]
    [[0, 3], [2, 4]]
    """
    places = np.flatnonzero(mask)
    if not len(places):
        return places, places
    breaks = np.flatnonzero(np.diff(places) > 1)
    return places[np.concatenate(([0], breaks + 1))], places[np.concatenate((breaks, [len(places) - 1]))] + 1


def overdrive_db(interval: ClippedInterval) -> float:
    """How far a sine that was cut to the share of flat time seen had gone over its limit, dB.

    A sine of peak 1 stays above c for the share 2·acos(c)/π of the time, both sides together (derived).

    >>> round(overdrive_db(ClippedInterval(0, 3000, 1000, 100, 1.0)), 2)
    1.25
    """
    share = min(0.95, interval.flat_frames / max(1, interval.stop - interval.start))
    return -20.0 * math.log10(math.cos(0.5 * math.pi * share))
