"""Surface noise: the hiss of the groove, as the ear weighs it.

A-weighted rms of a silent band per channel, with 5 ms left out on each side of every click. The weighting is applied
to spectra, so it is that of the definition within 0.01 dB at any sample rate up to 20 kHz or 0.45 of the rate; the
upper frequency stands in the conditions. A reading speaks of the steady noise of which the band is a sample.

Source: readings contract; A-weighting IEC 61672-1:2013 (from memory, agrees with the recalled table).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Literal

import numpy as np

from spindlewright.bands.band import Band
from spindlewright.readings.budget_lines import kept
from spindlewright.readings.method import Observation, Outcome, Quantity, Stretch, View
from spindlewright.readings.quiet_bands import (
    DB_PER_NEPER_OF_POWER,
    Scale,
    level_db,
    main_first,
    reference_line,
    scale_of,
)
from spindlewright.readings.reading import Reading
from spindlewright.readings.side import Side
from spindlewright.signal.weighted_noise import WeightedNoise, WeightedNoiseState
from spindlewright.standards import iec_61672_1_2013 as iec
from spindlewright.standards.iec_60098_2020 import riaa_replay_response
from spindlewright.standards.jcgm_101_2008 import Contribution, coverage_half_width, rectangular

HIGHEST_HZ = 20_000.0
HIGHEST_SHARE = 0.45
"""Of the sample rate: above it the recorder's own filter takes over."""
CHANNELS: tuple[Literal["left", "right"], ...] = ("left", "right")
_REALISATION_DB = 0.01
"""Half-width: smearing of the curve by the segments (derived)."""
_CLEAR = 0.05
"""Share of the power that must be left when the mains lines are taken off, for the rest to be told."""
_SOURCE = f"readings contract; {iec.SOURCE}"


def power_gain(frequency_hz: np.ndarray, equalise: bool) -> np.ndarray:
    """A-weighting as power gain; ``equalise`` puts the replay curve before it."""
    gain = np.abs(iec.a_weighting_response(frequency_hz))
    if equalise:
        gain = gain * np.abs(riaa_replay_response(frequency_hz))
    return np.asarray(gain**2)


def mains_power(earlier: Mapping[str, Sequence[Reading]], band: Band, channel: str) -> float:
    """A-weighted power of the mains lines found in this band and channel (a full-scale sine of weight 1 is 1)."""
    lines = (
        10.0 ** (float(line["level_dbfs"]) / 10.0) * float(power_gain(np.array(line["frequency_hz"]), False))
        for reading in earlier.get("hum", ())
        if reading.band == band.index and reading.channel == channel
        for line in reading.conditions.get("lines", ())
    )
    return float(sum(lines))


class SurfaceNoiseState:
    """A-weighted power of one silent band."""

    def __init__(self, rate_hz: float, equalise: bool) -> None:
        upper = min(HIGHEST_HZ, HIGHEST_SHARE * rate_hz)
        self._noise = WeightedNoiseState(rate_hz, lambda f: power_gain(f, equalise), upper)

    def feed(self, block: np.ndarray) -> None:
        """Take float32 (n, 2) as recorded."""
        self._noise.feed(block)

    def observe(self) -> WeightedNoise | None:
        """The noise so far, None before a second."""
        return self._noise.noise()


class SurfaceNoise:
    """``surface_noise`` per silent band and channel."""

    name = "surface noise"
    version = 1
    view: View = "wide"
    quantities = (
        Quantity(
            "surface_noise",
            "dB",
            "A-weighted rms of a silent band per channel, 5 ms on each side of every click left out; "
            "upper frequency in the conditions",
            _SOURCE,
        ),
    )

    def wants(self, band: Band, side: Side) -> bool:
        return band.kind == "silence"

    def start(self, stretch: Stretch, side: Side) -> SurfaceNoiseState:
        return SurfaceNoiseState(stretch.rate_hz, side.chain == "flat")

    def conclude(
        self, observations: Sequence[Observation], side: Side, earlier: Mapping[str, Sequence[Reading]]
    ) -> Outcome:
        scale = scale_of(earlier)
        seen: dict[int, WeightedNoise] = {o.band.index: o.data for o in observations}
        return Outcome(
            tuple(
                self._reading(band, seen[band.index], channel, side, scale, earlier, place == 0)
                for place, band in enumerate(main_first((o.band for o in observations), ("silence",)))
                for channel in CHANNELS
                if float(seen[band.index].counted.sum()) > 0.0
            )
        )

    def _reading(
        self,
        band: Band,
        noise: WeightedNoise,
        channel: Literal["left", "right"],
        side: Side,
        scale: Scale,
        earlier: Mapping[str, Sequence[Reading]],
        main: bool,
    ) -> Reading:
        power = noise.power[:, CHANNELS.index(channel)]
        weight = noise.stands_for * noise.counted
        heard = np.maximum(noise.counted, 1e-9)
        mean = max(float(noise.stands_for @ power) / float(weight.sum()), 1e-30)
        count = len(power)
        spread = float(weight @ (power / heard - mean) ** 2 / weight.sum()) * count / (count - 1)
        effective = float(weight.sum() ** 2 / (weight @ weight))
        budget = [
            Contribution(
                "length of the band",
                DB_PER_NEPER_OF_POWER * math.sqrt(spread / effective) / mean,
                degrees_of_freedom=count - 1.0,
            ),
            rectangular("realised curve", _REALISATION_DB),
            *reference_line(scale, channel),
        ]
        told = kept(side, budget)
        quiet = mean - mains_power(earlier, band, channel)
        zero = scale.left_dbfs if channel == "left" else scale.right_dbfs
        return Reading(
            "surface_noise",
            level_db(mean) - zero,
            scale.unit,
            coverage_half_width(told),
            told,
            "A-weighted rms from weighted spectra of segments of a third of a second, clicks left out",
            _SOURCE,
            channel=channel,
            band=band.index,
            method_version=self.version,
            conditions={
                "upper_hz": noise.upper_hz,
                "without_mains_lines_db": level_db(quiet) - zero if quiet > _CLEAR * mean else None,
                "left_out_s": noise.left_out_s,
                "clicks_left_out": noise.clicks,
                "duration_s": noise.duration_s,
                "heard_s": noise.duration_s * count / float(noise.stands_for.sum()),
                "main": main,
                "chain": side.chain,
                "equalised_here": side.chain == "flat",
                **scale.conditions,
            },
        )
