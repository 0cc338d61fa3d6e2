"""The line in the speed that returns once with every turn of the platter.

Its peak and phase come from a least-squares fit at the platter's own measured rate, together with a quadratic
trend, the lines at two and three a turn and any other line that stands out. A belt or another part that turns
almost as fast as the platter needs a long band to be told apart: 0.51 Hz beside 0.556 Hz takes more than 20 s.

Source: definition of the readings contract; least squares, derived.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from spindlewright.bands.band import TONE_KINDS, Band
from spindlewright.readings.method import Observation, Outcome, Quantity, Stretch, View
from spindlewright.readings.reading import Curve, Reading
from spindlewright.readings.side import Side
from spindlewright.readings.speed import SpeedSeen, SpeedState
from spindlewright.signal.trend_and_lines import Line, TrendAndLines
from spindlewright.standards.jcgm_101_2008 import Contribution, coverage_half_width, rectangular

LEAST_TURNS = 2.0
NEAREST_NEIGHBOUR_HZ = 0.04
"""Least distance of a belt's line from the platter's on common decks (0.51 beside 0.556 Hz is 0.045; common
practice, no source, with some room)."""
SEEN_FROM = 2.0
"""The line counts as seen when its peak is this many standard uncertainties of a quadrature part."""
_ANGLE_BINS = 72
_MOST_TURNS = 40
_SOURCE = "readings contract; derived"


class OncePerRevolution:
    """``once_per_revolution`` of every tone band of two turns and more."""

    name = "once per revolution"
    version = 1
    view: View = "phase"
    quantities = (
        Quantity(
            "once_per_revolution",
            "%",
            "peak of the speed line at the platter's own measured rate; phase of its cosine at the band's onset, in "
            "disc angle, in conditions",
            _SOURCE,
        ),
    )

    def wants(self, band: Band, side: Side) -> bool:
        has_tone = band.kind in TONE_KINDS and band.frequency_hz is not None and band.nominal_hz is not None
        return has_tone and band.duration_s >= LEAST_TURNS * 60.0 / side.rpm

    def start(self, stretch: Stretch, side: Side) -> SpeedState:
        return SpeedState(stretch, side)

    def conclude(
        self, observations: Sequence[Observation], side: Side, earlier: Mapping[str, Sequence[Reading]]
    ) -> Outcome:
        readings: list[Reading] = []
        curves: list[Curve] = []
        for observation in observations:
            reading = _reading(observation.band, observation.data, side)
            if reading is not None:
                readings.append(reading)
                curves.append(by_angle_curve(observation.band, observation.data))
        return Outcome(readings=tuple(readings), curves=tuple(curves))


def _reading(band: Band, seen: SpeedSeen, side: Side) -> Reading | None:
    made_of = seen.made_of
    line = next((line for line in made_of.lines if line.order == 1), None)
    if line is None or not math.isfinite(made_of.line_scatter):
        return None
    density, degrees = made_of.density_near(line.frequency_hz)
    noise = 100.0 * made_of.line_scatter * math.sqrt(density)
    neighbours = 100.0 * _unresolved(made_of, density)
    budget = tuple(
        c
        for c in (
            Contribution("noise", noise, degrees_of_freedom=degrees if degrees < 200.0 else None),
            rectangular("neighbouring lines", neighbours),
        )
        if c.name not in side.without_contributions
    )
    uncertainty = coverage_half_width(budget)
    size = 100.0 * line.peak
    below = size < SEEN_FROM * math.hypot(noise, neighbours / math.sqrt(3.0))
    value = size + uncertainty if below else size
    conditions = {
        "main": band.index == side.main_band,
        "rate_hz": line.frequency_hz,
        "phase_deg": _phase_at_onset_deg(line, made_of, band, seen.start_s),
        "turns": round(made_of.duration_s * made_of.turn_hz, 2),
        "measured_s": round(made_of.duration_s, 3),
        "other_lines": [
            {"frequency_hz": round(o.frequency_hz, 4), "peak_percent": 100.0 * o.peak}
            for o in made_of.lines
            if o != line
        ],
        "below_noise": below,
    }
    return Reading(
        "once_per_revolution",
        value,
        "%",
        value if below else uncertainty,
        budget,
        method="least-squares line at the platter's measured rate, with trend, multiples and other lines",
        source=_SOURCE,
        band=band.index,
        conditions=conditions,
    )


def _unresolved(made_of: TrendAndLines, density: float) -> float:
    """Half-width of what a line too near to be told apart may add, from how unsteady the peak is.

    A neighbour of peak b, D Hz away, adds b sin(x)/x to the peak, x = pi D T, and changes it towards the ends by
    3 b (sin x - x cos x)/x² (least squares over the band, derived).
    """
    expected = 2.0 * made_of.unsteadiness_scatter**2 * density
    excess = math.sqrt(max(0.0, made_of.unsteadiness**2 - expected))
    x = math.pi * NEAREST_NEIGHBOUR_HZ * made_of.duration_s
    found = any(
        line.order is None and abs(line.frequency_hz - made_of.turn_hz) < 2.5 / made_of.duration_s
        for line in made_of.lines
    )
    if found or x > 1.5 * math.pi:
        return 0.0
    added = x * math.sin(x) / (3.0 * (math.sin(x) - x * math.cos(x)))
    return excess * max(added, 0.1)


def _phase_at_onset_deg(line: Line, made_of: TrendAndLines, band: Band, start_s: float) -> float:
    """Phase of the cosine where the disc was at the band's onset, -180 to 180."""
    t = band.start_s - (start_s + made_of.middle_s)
    # the platter's angle from the middle of the stretch back to the onset, drift included
    turned = t + 0.5 * made_of.bend_rad_s2 * t * t / (2.0 * math.pi * made_of.tone_hz)
    phase = math.degrees(line.phase_rad + 2.0 * math.pi * made_of.turn_hz * turned)
    return (phase + 180.0) % 360.0 - 180.0


def by_angle_curve(band: Band, seen: SpeedSeen) -> Curve:
    """Deviation from the mean against the platter's angle in degrees from the onset, turn after turn."""
    slow, made_of = seen.slow, seen.made_of
    t = 0.5 * (slow.time_s[1:] + slow.time_s[:-1])
    deviation = np.diff(slow.phase_rad) / slow.block_s - made_of.slope_rad_s
    percent = 100.0 * deviation / (2.0 * math.pi * made_of.tone_hz)
    since = t + seen.start_s - band.start_s
    middle = seen.start_s + made_of.middle_s - band.start_s
    bend = 0.5 * made_of.bend_rad_s2 / (2.0 * math.pi * made_of.tone_hz)
    turned = since + bend * ((since - middle) ** 2 - middle**2)
    degrees = 360.0 * made_of.turn_hz * turned
    step = 360.0 / _ANGLE_BINS
    slot = np.floor(degrees / step).astype(int)
    kept = (slot >= 0) & (slot < _ANGLE_BINS * _MOST_TURNS)
    count = np.bincount(slot[kept], minlength=1)
    total = np.bincount(slot[kept], weights=percent[kept], minlength=1)
    used = np.flatnonzero(count)
    return Curve("deviation_by_angle", (used + 0.5) * step, "°", total[used] / count[used], "%", band=band.index)
