"""The noise-free speed as it is heard: over time, and as straight-line figures of one band."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from spindlewright.simulate.groove import Groove
from spindlewright.simulate.recorder import file_time_s
from spindlewright.simulate.spec import Spec
from spindlewright.simulate.speed import TWO_PI
from spindlewright.simulate.timebase import derivative, timebase_of

HIGHEST_HZ = 100.0
"""Faster lines are too far from the platter's rate to leak into its line."""


@dataclass(frozen=True, slots=True)
class Deviation:
    """Noise-free speed deviation in % on equidistant file times ``start_s + i/rate_hz``.

    ``heard_percent`` is all together; ``deck_percent`` the platter alone (mean, drift, lines, random);
    ``disc_percent`` what cutting error, centre, warp, spiral and arm add. ``groove_time_s`` is the integral of the
    heard speed: a tone of f Hz has the phase 2 pi f · ``groove_time_s`` (plus a constant in its band).
    ``platter_angle_rad`` counts from the start of the recording.
    """

    start_s: float
    rate_hz: float
    heard_percent: np.ndarray
    deck_percent: np.ndarray
    disc_percent: np.ndarray
    groove_time_s: np.ndarray
    platter_angle_rad: np.ndarray

    @property
    def times_s(self) -> np.ndarray:
        """File times of the values."""
        return np.asarray(self.start_s + np.arange(self.heard_percent.size) / self.rate_hz)


@dataclass(frozen=True, slots=True)
class HeardFigures:
    """Least-squares figures of a stretch; the once-per-turn figures are None below one turn."""

    speed_percent: float
    drift_percent_per_min: float
    once_per_revolution_percent: float | None
    once_per_revolution_phase_deg: float | None


def deviation(spec: Spec, start_s: float, end_s: float) -> Deviation:
    """Noise-free speed deviation of a specification between two file times (no samples lost in between)."""
    timebase = timebase_of(spec.recorder)
    groove = Groove(spec, timebase)
    clock = timebase.file_rate_hz / timebase.true_rate_hz
    lost_s = start_s - float(file_time_s(spec.recorder, timebase, start_s * clock))
    first = int(np.ceil((start_s + lost_s) * clock * timebase.node_rate_hz))
    count = max(1, int((end_s - start_s) * clock * timebase.node_rate_hz))
    random = groove.random_angle()
    if random.flutter is not None:
        for skipped in range(0, first - 64, 1 << 16):
            random.take(skipped, min(1 << 16, first - 32 - skipped))
    start, total = first - 3, count + 6
    extra = random.take(start, total) if random.flutter is not None else 0.0
    angle, groove_time = groove.groove_time(timebase.node_times_s(start, total), extra)
    spacing = 1.0 / timebase.node_rate_hz
    heard = derivative(groove_time, spacing)
    deck = derivative(angle, spacing) / (TWO_PI * groove.speed.rated_hz)
    return Deviation(
        start_s=first / timebase.node_rate_hz / clock - lost_s,
        rate_hz=timebase.node_rate_hz * clock,
        heard_percent=100.0 * (heard * clock - 1.0),
        deck_percent=100.0 * (deck - 1.0),
        disc_percent=100.0 * (heard / deck - 1.0),
        groove_time_s=groove_time[3:-3],
        platter_angle_rad=angle[3:-3],
    )


def heard_figures(groove: Groove, start: float, end: float) -> HeardFigures:
    """Figures of the stretch between two real times, random flutter left out.

    Speed and drift come from a quadratic through the phase (contract: ``speed_deviation``, ``speed_drift``). The
    line at the platter's rate comes from one fit of a cubic, both parts of the line, its harmonics and every other
    line put in, so that none of them leaks into it; its phase is that of the cosine at the start, in platter angle.
    """
    to_file = groove.timebase.true_rate_hz / groove.timebase.file_rate_hz
    count = int(np.clip((end - start) * 500.0, 64, 200_000))
    t = np.linspace(start, end, count)
    angle, groove_time = groove.groove_time(t)
    u = 2.0 * (t - start) / (end - start) - 1.0
    half_s = 0.5 * (end - start) * to_file
    _, linear, quadratic = np.polynomial.polynomial.polyfit(u, groove_time - groove_time.mean(), 2)
    speed = 100.0 * (float(linear) / half_s - 1.0)
    drift = 2.0 * float(quadratic) / half_s**2 * 6000.0
    turned = angle - angle[0]
    if turned[-1] < TWO_PI:
        return HeardFigures(speed, drift, None, None)
    turns = [1.0, *_other_turns(groove, TWO_PI * (end - start) / float(turned[-1]))]
    waves = [wave(ratio * turned) for ratio in turns for wave in (np.cos, np.sin)]
    columns = np.stack([np.ones(count), u, u**2, u**3, *waves], axis=1)
    fit = np.linalg.lstsq(columns, groove_time - groove_time.mean(), rcond=None)[0]
    # groove time c cos + s sin of the platter's angle: its rate is the angle's rate · (s cos − c sin)
    per_s = float(turned[-1]) / (end - start) / to_file
    line = complex(fit[5], fit[4]) * per_s * 100.0
    return HeardFigures(speed, drift, abs(line), float(np.angle(line, deg=True)))


def _other_turns(groove: Groove, turn_s: float) -> list[float]:
    """Turns per platter turn of harmonics and of the lines put in, up to 100 Hz."""
    parts, lines = groove.spec.deck.parts, groove.spec.deck.lines
    put_in = {
        (line.hz or 0.0) * turn_s if line.part is None else line.order * parts.turns_per_platter_turn(line.part)
        for line in lines
    }
    return sorted(({2.0, 3.0} | put_in) - {1.0} - {ratio for ratio in put_in if ratio > HIGHEST_HZ * turn_s})
