"""Rumble: the low-frequency noise that deck and pressing put into a silent groove.

Unweighted and weighted, left, right, lateral and vertical, as rms over the silent band under the curves of the
working model (standards/din_45539_1971.py). The curves are applied to spectra of half-overlapping segments of two
seconds (one in short bands), so they are those of the definition within 0.01 dB from 5 to 1000 Hz and nothing has to
settle. A reading speaks of the steady noise of which the band is a sample; that the sample is short is in the
uncertainty.

Source: readings contract; curves: working model, no published table seen; reference DIN 45539 (confirmed, secondary).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

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
from spindlewright.readings.reading import Channel, Reading
from spindlewright.readings.side import Side
from spindlewright.signal.hann_segments import HannSegments, segment_seconds
from spindlewright.signal.weighted_power import (
    PairPower,
    PairPowerState,
    mean_and_scatter,
    sharpened,
    without_lines,
)
from spindlewright.standards import din_45539_1971 as din
from spindlewright.standards.iec_60098_2020 import riaa_replay_response
from spindlewright.standards.jcgm_101_2008 import Contribution, coverage_half_width, rectangular

TOP_HZ = 1300.0
"""The low view is flat so far. What the curves leave above it (0.03 dB of white noise) is put back as if the spectrum
went on at its level above 1 kHz, with all of it in the uncertainty."""
_LEVEL_FROM_HZ = 1000.0
CURVES = ("rumble_unweighted", "rumble_weighted")
CHANNELS: tuple[Channel, ...] = ("left", "right", "lateral", "vertical")
_SOURCE = f"{din.WORKING_MODEL}; reference 10 cm/s peak at 1 kHz (confirmed, secondary)"


def curves(frequency_hz: np.ndarray, equalise: bool) -> np.ndarray:
    """Power gain (2, n) of the unweighted and the weighted curve; ``equalise`` puts the replay curve before them."""
    gain = np.stack([np.abs(din.unweighted_response(frequency_hz)), np.abs(din.weighted_response(frequency_hz))])
    if equalise:
        gain = gain * np.abs(riaa_replay_response(frequency_hz))
    return np.asarray(gain**2)


def share_above(curve: int, bin_hz: float, equalise: bool) -> float:
    """Sum of the curve's power gain over the bins above 1.3 kHz."""
    step_hz = 10.0
    frequency = np.arange(TOP_HZ, 20_000.0, step_hz) + 0.5 * step_hz
    return float(curves(frequency, equalise)[curve].sum() * step_hz / bin_hz)


@dataclass(frozen=True, slots=True)
class RumbleState:
    """Power of one silent band under both curves."""

    segments: HannSegments
    gathered: PairPowerState

    def feed(self, block: np.ndarray) -> None:
        """Take float64 (n, 2) of the low view."""
        for segment in self.segments.feed(block):
            self.gathered.add(segment)

    def observe(self) -> PairPower | None:
        """The power so far, None before three segments."""
        return self.gathered.power()


class Rumble:
    """``rumble_unweighted`` and ``rumble_weighted``: four channels each, per silent band."""

    name = "rumble"
    version = 1
    view: View = "low"
    quantities = (
        Quantity(
            "rumble_unweighted",
            "dB",
            "rms over the silent band between 10 and 500 Hz (Butterworth, order 2 below and 4 above), mains lines "
            "included, against 10 cm/s peak at 1 kHz; left, right, lateral (L+R)/√2 and vertical (L−R)/√2",
            _SOURCE,
        ),
        Quantity(
            "rumble_weighted",
            "dB",
            "the same under the weighted curve [s·w0/(s² + s·w0 + w0²)]², w0 = 2π·315 Hz",
            _SOURCE,
        ),
    )

    def wants(self, band: Band, side: Side) -> bool:
        return band.kind == "silence"

    def start(self, stretch: Stretch, side: Side) -> RumbleState:
        segments = HannSegments(stretch.rate_hz, segment_seconds(stretch.band.duration_s), TOP_HZ)
        gain = curves(np.arange(segments.bins) * segments.bin_hz, side.chain == "flat")
        return RumbleState(segments, PairPowerState(segments.bin_hz, segments.hop_s, gain))

    def conclude(
        self, observations: Sequence[Observation], side: Side, earlier: Mapping[str, Sequence[Reading]]
    ) -> Outcome:
        scale = scale_of(earlier)
        balance = _Balance.of(scale, earlier)
        seen: dict[int, PairPower] = {o.band.index: o.data for o in observations}
        readings: list[Reading] = []
        for place, band in enumerate(main_first((o.band for o in observations), ("silence",))):
            lines_hz = _mains_lines_hz(earlier, band)
            for curve in range(len(CURVES)):
                for channel in CHANNELS:
                    readings.append(
                        self._reading(
                            band, seen[band.index], curve, channel, side, scale, balance, lines_hz, place == 0
                        )
                    )
        return Outcome(tuple(readings))

    def _reading(
        self,
        band: Band,
        power: PairPower,
        curve: int,
        channel: Channel,
        side: Side,
        scale: Scale,
        balance: _Balance,
        lines_hz: Sequence[float],
        main: bool,
    ) -> Reading:
        inverted = side.polarity == "inverted"
        mix = _mix(channel, scale, balance.db, inverted)
        mean, scatter, freedom = mean_and_scatter(power.segments[:, curve] @ mix)
        frequency = np.arange(len(power.spectrum)) * power.bin_hz
        equalise = side.chain == "flat"
        level = float(np.median(power.spectrum[frequency > _LEVEL_FROM_HZ] @ mix))
        above = max(level, 0.0) * share_above(curve, power.bin_hz, equalise)
        mean = max(mean + above, 1e-30)
        quiet = above + sharpened(curves(frequency, equalise)[curve]) @ (
            without_lines(power.spectrum, power.bin_hz, lines_hz) @ mix
        )
        budget = [
            Contribution("length of the band", DB_PER_NEPER_OF_POWER * scatter / mean, degrees_of_freedom=freedom),
            rectangular("flatness", LOW_VIEW_DB),
            rectangular("above 1.3 kHz", DB_PER_NEPER_OF_POWER * above / mean),
            rectangular("ticks bridged", DB_PER_NEPER_OF_POWER * power.bridged),
            *reference_line(scale, channel),
        ]
        if channel in ("lateral", "vertical"):
            moved = [
                float(np.mean(power.segments[:, curve] @ _mix(channel, scale, balance.db + step, inverted))) + above
                for step in (-balance.u_db, balance.u_db)
            ]
            budget.append(Contribution("channel balance", max(abs(level_db(m / mean)) for m in moved)))
        told = kept(side, budget)
        conditions: dict[str, Any] = {
            "without_mains_lines_db": level_db(float(quiet)),
            "mains_lines_hz": list(lines_hz),
            "main": main,
            "duration_s": power.duration_s,
            "bridged_share": power.bridged,
            "balance_db": balance.db if channel in ("lateral", "vertical") else None,
            "balance_known": balance.known,
            "polarity": side.polarity,
            "chain": side.chain,
            "equalised_here": equalise,
            **scale.conditions,
        }
        return Reading(
            CURVES[curve],
            level_db(mean),
            scale.unit,
            coverage_half_width(told),
            told,
            "rms under the curve, from weighted spectra of half-overlapping segments, mains lines included",
            _SOURCE,
            channel=channel,
            band=band.index,
            method_version=self.version,
            conditions=conditions,
        )


@dataclass(frozen=True, slots=True)
class _Balance:
    """Left minus right in dB for equal modulation, with standard uncertainty; 0 when it was not measured."""

    db: float
    u_db: float
    known: bool

    @classmethod
    def of(cls, scale: Scale, earlier: Mapping[str, Sequence[Reading]]) -> _Balance:
        found = earlier.get("channel_balance", ())
        main = [r for r in found if r.conditions.get("main")] or list(found)
        if main:
            u = math.sqrt(sum(line.standard_uncertainty**2 for line in main[0].budget))
            return cls(main[0].value, u, True)
        return cls(scale.left_dbfs - scale.right_dbfs, 0.0, scale.unit != "dBFS")


def _mix(channel: Channel, scale: Scale, balance_db: float, inverted: bool) -> np.ndarray:
    """Weights (3,) of left², right² and left·right that give the power of ``channel`` re the scale."""
    if channel == "left":
        return np.array([10.0 ** (-scale.left_dbfs / 10.0), 0.0, 0.0])
    if channel == "right":
        return np.array([0.0, 10.0 ** (-scale.right_dbfs / 10.0), 0.0])
    middle = 0.5 * (scale.left_dbfs + scale.right_dbfs)
    left = 10.0 ** (-(middle + 0.5 * balance_db) / 20.0)
    right = 10.0 ** (-(middle - 0.5 * balance_db) / 20.0)
    sign = (1.0 if channel == "lateral" else -1.0) * (-1.0 if inverted else 1.0)
    return np.array([0.5 * left**2, 0.5 * right**2, sign * left * right])


def _mains_lines_hz(earlier: Mapping[str, Sequence[Reading]], band: Band) -> list[float]:
    """Frequencies of the mains lines that were significant in this band, in either channel."""
    lines = {
        line["order"]: line["frequency_hz"]
        for reading in earlier.get("hum", ())
        if reading.band == band.index
        for line in reading.conditions.get("lines", ())
    }
    return [lines[order] for order in sorted(lines)]
