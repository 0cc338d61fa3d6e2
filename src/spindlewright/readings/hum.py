"""Hum: the lines in quiet bands that are locked to the mains, and the mains frequency itself.

The mains frequency is found from all lines of both channels together, within ±1 Hz of 50 or 60 Hz, and followed
while it wanders; each line is then the least-squares sine at its multiple, orders 1 to 20. A line counts when noise
alone would make one as strong in less than one of 40 000 cases, so of 1000 silent bands without hum one shows a line.
A motor that runs in step with the mains makes lines at the same places: the readings speak of lines, not of causes.

Source: definition of the readings contract; own estimator (derived); 0 dBFS is the rms of a full-scale sine (AES17,
confirmed).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from spindlewright.bands.band import Band
from spindlewright.readings.budget_lines import kept
from spindlewright.readings.method import Observation, Outcome, Quantity, Stretch, View
from spindlewright.readings.quiet_bands import (
    DB_PER_NEPER_OF_POWER,
    LOW_VIEW_DB,
    Scale,
    level_db,
    main_first,
    reference_line,
    scale_of,
)
from spindlewright.readings.reading import Reading
from spindlewright.readings.side import Side
from spindlewright.signal.hann_segments import segment_seconds
from spindlewright.signal.mains_lines import FALSE_ALARM, ORDERS
from spindlewright.signal.mains_track import LINE_FALSE_ALARM, MainsLines, MainsTrack
from spindlewright.standards.iec_60098_2020 import riaa_replay_response
from spindlewright.standards.jcgm_101_2008 import Contribution, coverage_half_width, rectangular

KINDS = ("lifted", "silence")
"""Bands it listens to; the main one is the longest lifted band, else the longest silent one."""
CHANNELS: tuple[Literal["left", "right"], ...] = ("left", "right")
_SOURCE = "readings contract; least squares (derived); 0 dBFS after AES17 (confirmed)"


@dataclass(frozen=True, slots=True)
class HumState:
    """Mains lines of one band."""

    track: MainsTrack
    before_s: float
    """From the band's onset to the first sample of the view."""

    def feed(self, block: np.ndarray) -> None:
        """Take float64 (n, 2) of the low view."""
        self.track.feed(block)

    def observe(self) -> HumSeen | None:
        """The lines so far, None while there are too few."""
        lines = self.track.lines()
        return None if lines is None else HumSeen(lines, self.before_s)


@dataclass(frozen=True, slots=True)
class HumSeen:
    """Lines of one band, and the time from the band's onset to the moment their phase is told for."""

    lines: MainsLines
    before_s: float

    @property
    def onset_phase_rad(self) -> np.ndarray:
        """Phase (20, 2) of each line's cosine at the band's onset."""
        back = 2.0 * np.pi * self.lines.frequency_hz * self.before_s * ORDERS
        return np.asarray(self.lines.phase_rad - back[:, None])


class Hum:
    """``hum`` per quiet band and channel, and ``mains_frequency`` of the side."""

    name = "hum"
    version = 1
    view: View = "low"
    quantities = (
        Quantity(
            "hum",
            "dB",
            "power sum of the lines at multiples 1 to 20 of the mains frequency that are significant over the noise, "
            "per channel, from lifted or silent bands; the lines themselves in the conditions",
            _SOURCE,
        ),
        Quantity(
            "mains_frequency",
            "Hz",
            "frequency of which those lines are multiples, mean over the quiet bands",
            "readings contract; least squares (derived)",
        ),
    )

    def wants(self, band: Band, side: Side) -> bool:
        return band.kind in KINDS

    def start(self, stretch: Stretch, side: Side) -> HumState:
        families: tuple[float, ...] = (50.0, 60.0)
        if side.mains_hz is not None:
            families = (min(families, key=lambda f: abs(f - (side.mains_hz or f))),)
        track = MainsTrack(stretch.rate_hz, segment_seconds(stretch.band.duration_s), families)
        return HumState(track, stretch.start_s - stretch.band.start_s)

    def conclude(
        self, observations: Sequence[Observation], side: Side, earlier: Mapping[str, Sequence[Reading]]
    ) -> Outcome:
        scale = scale_of(earlier)
        seen: dict[int, HumSeen] = {o.band.index: o.data for o in observations}
        order = main_first((o.band for o in observations), KINDS)
        readings = [
            self._hum(band, seen[band.index], channel, side, scale, main=place == 0)
            for place, band in enumerate(order)
            for channel in CHANNELS
        ]
        mains = self._mains([(band, seen[band.index].lines) for band in order], side)
        return Outcome(tuple(readings) + ((mains,) if mains is not None else ()))

    def _hum(
        self, band: Band, seen: HumSeen, channel: Literal["left", "right"], side: Side, scale: Scale, main: bool
    ) -> Reading:
        column = CHANNELS.index(channel)
        lines = seen.lines
        gain = riaa_replay_response(lines.frequency_hz * ORDERS) if side.chain == "flat" else np.ones(len(ORDERS))
        weight = np.abs(gain) ** 2
        power = lines.power[:, column] * weight
        variance = lines.power_variance[:, column] * weight**2
        shown = lines.significant[:, column]
        phase = np.degrees(np.angle(np.exp(1j * (seen.onset_phase_rad[:, column] + np.angle(gain)))))
        below = not bool(shown.any())
        if below:
            total = float(np.sum(np.maximum(power, 0.0))) + 1.645 * math.sqrt(float(np.sum(variance)))
            budget: list[Contribution] = []
        else:
            total = float(np.sum(power[shown]))
            budget = _budget(total, power, variance, shown, lines)
        budget.extend(reference_line(scale, channel))
        lines_told = kept(side, budget)
        zero = scale.left_dbfs if channel == "left" else scale.right_dbfs
        conditions: dict[str, Any] = {
            "lines": [
                _told(int(row), lines, float(power[row]), float(variance[row]), float(phase[row]))
                for row in np.flatnonzero(shown & (power > 0.0))
            ],
            "mains_hz": lines.frequency_hz if lines.found else None,
            "main": main,
            "kind": band.kind,
            "duration_s": lines.duration_s,
            "resolution_hz": lines.resolution_hz,
            "false_alarm_per_band": FALSE_ALARM,
            "false_alarm_per_line": LINE_FALSE_ALARM,
            "below_noise": below,
            "bridged_share": lines.bridged,
            "chain": side.chain,
            "equalised_here": side.chain == "flat",
            **scale.conditions,
        }
        return Reading(
            "hum",
            level_db(total) - zero,
            scale.unit,
            coverage_half_width(lines_told),
            lines_told,
            "upper bound (95 %) of the power at multiples 1 to 20 of the mains: no line stands over the noise"
            if below
            else "power sum of the sines locked to the mains, orders 1 to 20, fitted while the mains wanders",
            _SOURCE,
            channel=channel,
            band=band.index,
            method_version=self.version,
            conditions=conditions,
        )

    def _mains(self, seen: Sequence[tuple[Band, MainsLines]], side: Side) -> Reading | None:
        told = [(band, lines) for band, lines in seen if lines.significant.any()]
        if not told:
            return None
        family = round(told[0][1].frequency_hz / 10.0)
        told = [(band, lines) for band, lines in told if round(lines.frequency_hz / 10.0) == family]
        share = np.array([lines.duration_s for _, lines in told])
        share = share / share.sum()
        frequency = np.array([lines.frequency_hz for _, lines in told])
        value = float(share @ frequency)
        variance = float(share**2 @ np.array([lines.frequency_variance for _, lines in told]))
        budget = kept(
            side,
            [
                Contribution("noise", math.sqrt(variance)),
                rectangular("clock", value * side.clock_percent / 100.0),
            ],
        )
        bands = sorted(band.index for band, _ in told)
        return Reading(
            "mains_frequency",
            value,
            "Hz",
            coverage_half_width(budget),
            budget,
            "one phase common to all mains lines of both channels, followed through the quiet bands",
            "readings contract; least squares (derived)",
            band=bands[0] if len(bands) == 1 else None,
            method_version=self.version,
            conditions={
                "bands": bands,
                "nominal_hz": 10.0 * family,
                "lowest_hz": float(frequency.min()),
                "highest_hz": float(frequency.max()),
                "lines": int(np.sum(np.any(told[0][1].significant, axis=1))),
                "main": True,
            },
        )


def _told(row: int, lines: MainsLines, power: float, variance: float, phase_deg: float) -> dict[str, Any]:
    """One line as the conditions tell it."""
    noise_db = DB_PER_NEPER_OF_POWER * math.sqrt(variance) / power
    return {
        "order": int(ORDERS[row]),
        "frequency_hz": float(ORDERS[row] * lines.frequency_hz),
        "level_dbfs": level_db(power),
        "level_uncertainty_db": coverage_half_width(
            [Contribution("noise", noise_db), rectangular("flatness", LOW_VIEW_DB)]
        ),
        "phase_deg": None if math.isnan(phase_deg) else phase_deg,
    }


def _budget(
    total: float, power: np.ndarray, variance: np.ndarray, shown: np.ndarray, lines: MainsLines
) -> list[Contribution]:
    """Contributions in dB to the power sum ``total`` of the lines ``shown``."""
    per_power = DB_PER_NEPER_OF_POWER / total
    following = float(np.sum(power[shown] * 2.0 * lines.lost[shown])) * per_power
    return [
        Contribution("noise", math.sqrt(float(np.sum(variance[shown]))) * per_power),
        Contribution("lines lost in noise", math.sqrt(float(np.sum(variance[~shown]))) * per_power),
        Contribution("following the mains", 0.3 * following),
        rectangular("flatness", LOW_VIEW_DB),
        rectangular("ticks bridged", DB_PER_NEPER_OF_POWER * lines.bridged),
    ]
