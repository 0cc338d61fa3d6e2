"""Speed against the disc: deviation from nominal, drift, and the platter's rate of rotation.

A quadratic is fitted by least squares through the phase of each tone. Its linear term at the middle of the band,
against the nominal frequency, is the speed deviation; twice its quadratic term is the drift.

Source: definitions of the readings contract (derived). The disc's own error is the layout's or the default
(common practice, printed with the reading).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from spindlewright.bands.band import TONE_KINDS, Band
from spindlewright.readings.method import Observation, Outcome, Quantity, Stretch, View
from spindlewright.readings.reading import Curve, Reading
from spindlewright.readings.side import Side
from spindlewright.signal.slow_track import SlowPhase, SlowTrack
from spindlewright.signal.trend_and_lines import TrendAndLines, trend_and_lines
from spindlewright.standards.jcgm_101_2008 import Contribution, coverage_half_width, rectangular

LEAST_S = 2.0
LEAST_FOR_DRIFT_S = 20.0
CENTRE_DOUBT_S = 0.05
"""Half-width of the error in the band's centre, its ends being good to 0.1 s; matters where the speed drifts."""
SPIRAL_PERCENT = 0.01
"""Half-width for the spiral: an arm on a pivot moves along an arc while the groove carries it inwards, which takes
tan(phi)·pitch/(2π·radius) off the speed heard. With 0.15 mm a turn at 100 mm under a 230 mm arm that is 0.010 %;
pitch and radius of the band are seldom known (derived; the pitch is common practice, no source)."""
_PEAK_DOUBT = 1.12
"""Allowance for the error of a line's own peak."""
_METHOD = "least-squares quadratic through the phase of the tone"
_SOURCE = "readings contract; derived"
_CURVE_POINTS = 6000


@dataclass(frozen=True, slots=True)
class SpeedSeen:
    """One band's phase and what it is made of."""

    slow: SlowPhase
    carrier_hz: float
    start_s: float
    made_of: TrendAndLines


class SpeedState:
    """Keeps the slow track of one band."""

    def __init__(self, stretch: Stretch, side: Side) -> None:
        self._stretch = stretch
        self._turns_per_cycle = side.rpm / 60.0 / (stretch.band.nominal_hz or 1.0)
        self._track = SlowTrack(stretch.rate_hz)

    def feed(self, block: np.ndarray) -> None:
        self._track.feed(block)

    def observe(self) -> SpeedSeen | None:
        slow = self._track.result()
        carrier_hz = self._stretch.carrier_hz or 0.0
        if slow.duration_s < LEAST_S:
            return None
        made_of = trend_and_lines(slow, carrier_hz, self._turns_per_cycle)
        return None if made_of is None else SpeedSeen(slow, carrier_hz, self._stretch.start_s, made_of)


class Speed:
    """``speed_deviation``, ``rotation_rate`` and ``speed_drift`` of every tone band."""

    name = "speed"
    version = 1
    view: View = "phase"
    quantities = (
        Quantity(
            "speed_deviation",
            "%",
            "linear term, at the band's centre, of a least-squares quadratic through the carrier's phase, against "
            "nominal",
            _SOURCE,
        ),
        Quantity("rotation_rate", "rpm", "rate the disc was cut for times one plus the speed deviation", _SOURCE),
        Quantity(
            "speed_drift",
            "%/min",
            "twice the quadratic term of the same fit, for bands of 20 s and more",
            _SOURCE,
        ),
    )

    def wants(self, band: Band, side: Side) -> bool:
        has_tone = band.kind in TONE_KINDS and band.frequency_hz is not None and band.nominal_hz is not None
        return has_tone and band.duration_s >= LEAST_S

    def start(self, stretch: Stretch, side: Side) -> SpeedState:
        return SpeedState(stretch, side)

    def conclude(
        self, observations: Sequence[Observation], side: Side, earlier: Mapping[str, Sequence[Reading]]
    ) -> Outcome:
        readings: list[Reading] = []
        curves: list[Curve] = []
        for observation in observations:
            readings.extend(_readings(observation.band, observation.data, side))
            curves.append(deviation_curve(observation.band, observation.data))
        return Outcome(readings=tuple(readings), curves=tuple(curves))


def _readings(band: Band, seen: SpeedSeen, side: Side) -> list[Reading]:
    nominal_hz = band.nominal_hz or seen.made_of.tone_hz
    made_of = seen.made_of
    # The stretch heard may lie a little off the band's centre, where the deviation is defined.
    off_centre_s = 0.5 * (band.start_s + band.end_s) - (seen.start_s + made_of.middle_s)
    tone_hz = made_of.tone_hz + made_of.bend_rad_s2 / (2.0 * math.pi) * off_centre_s
    deviation = 100.0 * (tone_hz / nominal_hz - 1.0)
    scale = tone_hz / nominal_hz
    centre_doubt = 100.0 * abs(made_of.bend_rad_s2) / (2.0 * math.pi * nominal_hz) * CENTRE_DOUBT_S
    conditions = {
        "main": band.index == side.main_band,
        "nominal_hz": nominal_hz,
        "tone_hz": tone_hz,
        "measured_s": round(made_of.duration_s, 3),
        "disc_speed_percent": side.disc_speed_percent,
        "disc_speed_source": side.disc_speed_source,
        "clock_percent": side.clock_percent,
    }
    budget = _kept(
        side,
        Contribution("noise", 100.0 * scale * _noise(seen, 1)),
        *_length(made_of, 1, 100.0 * scale),
        rectangular("centre", centre_doubt),
        rectangular("groove spiral under the arm", SPIRAL_PERCENT * scale),
        rectangular("clock", side.clock_percent * scale),
        rectangular("disc", side.disc_speed_percent * scale),
    )
    in_rpm = side.rpm / 100.0
    rpm_budget = tuple(
        Contribution(c.name, c.standard_uncertainty * in_rpm, c.distribution, c.degrees_of_freedom) for c in budget
    )

    def reading(
        quantity: str, value: float, unit: str, lines: tuple[Contribution, ...], seen_as: Mapping[str, Any]
    ) -> Reading:
        return Reading(
            quantity,
            value,
            unit,
            coverage_half_width(lines),
            lines,
            _METHOD,
            _SOURCE,
            band=band.index,
            conditions=seen_as,
        )

    in_rpm_too = conditions | {"deviation_percent": deviation, "nominal_rpm": side.rpm}
    readings = [
        reading("speed_deviation", deviation, "%", budget, conditions),
        reading("rotation_rate", side.rpm * (1.0 + deviation / 100.0), "rpm", rpm_budget, in_rpm_too),
    ]
    if made_of.duration_s >= LEAST_FOR_DRIFT_S - 0.5:
        per_minute = 6000.0 / (2.0 * math.pi * nominal_hz)
        drift_budget = _kept(
            side,
            Contribution("noise", 6000.0 * scale * _noise(seen, 2)),
            *_length(made_of, 2, 6000.0 * scale),
        )
        shared = {key: conditions[key] for key in ("main", "nominal_hz", "tone_hz", "measured_s")}
        readings.append(reading("speed_drift", made_of.bend_rad_s2 * per_minute, "%/min", drift_budget, shared))
    return readings


def _kept(side: Side, *contributions: Contribution) -> tuple[Contribution, ...]:
    return tuple(c for c in contributions if c.name not in side.without_contributions)


def _noise(seen: SpeedSeen, order: int) -> float:
    """Standard error of slope (1) or drift per second (2), relative, that white phase noise causes."""
    duration = seen.made_of.duration_s
    per_rad = 1.0 / (2.0 * math.pi * seen.made_of.tone_hz)
    power = 12.0 / duration**3 if order == 1 else 720.0 / duration**5
    return per_rad * math.sqrt(power * seen.slow.noise_rad2_s)


def _length(made_of: TrendAndLines, order: int, unit: float) -> tuple[Contribution, Contribution]:
    """What wow does to the fit because the band does not hold a whole number of its periods; lines, then the rest."""
    lines = unit * made_of.leak_of_lines(order)
    total = math.sqrt(0.5 * float(np.sum(lines**2)))
    one_line = len(lines) > 0 and 0.5 * float(np.max(lines)) ** 2 > 0.8 * total**2
    return (
        Contribution("length", _PEAK_DOUBT * total, "arcsine" if one_line else "normal"),
        Contribution("random flutter", unit * made_of.leak_of_rest(order)),
    )


def deviation_curve(band: Band, seen: SpeedSeen) -> Curve:
    """Deviation from nominal over file time, 25 Hz wide at most and bounded in size."""
    slow = seen.slow
    skip = max(1, math.ceil(len(slow.time_s) / _CURVE_POINTS))
    phase, time_s = slow.phase_rad[::skip], slow.time_s[::skip]
    frequency = seen.carrier_hz + np.diff(phase) / (2.0 * math.pi * slow.block_s * skip)
    middle = 0.5 * (time_s[1:] + time_s[:-1]) + seen.start_s
    deviation = 100.0 * (frequency / (band.nominal_hz or seen.made_of.tone_hz) - 1.0)
    return Curve("deviation", middle, "s", deviation, "%", band=band.index)
