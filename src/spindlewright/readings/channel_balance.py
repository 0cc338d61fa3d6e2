"""Channel balance: how much louder the left channel is than the right for equal modulation of the groove.

Each channel's own output is read in its own left-only or right-only band, where a leaning headshell costs almost
nothing (1° is 0.0013 dB). Without such bands a lateral tone serves, but there a lean makes one channel louder:
tan(45° + 2°) is 0.61 dB, and that stands in the uncertainty.

Source: definition of the readings contract; leaning headshell derived here (published values 13). Status: derived.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from spindlewright.bands.band import Band
from spindlewright.readings.band_pairs import (
    AS_CUT,
    EXCHANGED,
    Pair,
    balance_of,
    can_pair,
    nearest_to_main,
    pairs,
    speed_line_between,
    tone_hz,
)
from spindlewright.readings.budget_lines import kept
from spindlewright.readings.channel_pair import DB_PER_NEPER, ChannelPairState, TonePair
from spindlewright.readings.hum_at_tone import hum_amplitude, in_decibels
from spindlewright.readings.method import Observation, Outcome, Quantity, Stretch, View
from spindlewright.readings.reading import Reading
from spindlewright.readings.side import Side
from spindlewright.standards.jcgm_101_2008 import Contribution, coverage_half_width, rectangular

TILT_UNKNOWN_DEG = 2.0
"""A headshell that looks upright leans less than this (common practice, no source)."""
TILT_UNKNOWN_DB = DB_PER_NEPER * math.log(math.tan(math.radians(45.0 + TILT_UNKNOWN_DEG)))
"""What that lean does to the two levels of a lateral tone: 0.61 dB (derived)."""


class ChannelBalance:
    """``channel_balance``: one reading per pair of single-channel bands with one tone, the one nearest 1 kHz
    with ``conditions.main``; else one from the lateral tone nearest 1 kHz."""

    name = "channel balance"
    version = 1
    view: View = "carrier"
    quantities = (
        Quantity(
            "channel_balance",
            "dB",
            "left minus right for equal modulation, each channel's own output in its own left-only or right-only "
            "band; without those from a both-channel tone, with the unknown lean of the headshell in the uncertainty",
            "readings contract; derived",
        ),
    )

    def wants(self, band: Band, side: Side) -> bool:
        if band.kind in ("left", "right"):
            return True
        if can_pair(side.bands):
            return False
        both = [b for b in side.bands if b.kind == "tone"] or [b for b in side.bands if b.kind == "vertical"]
        return band == nearest_to_main(both)

    def start(self, stretch: Stretch, side: Side) -> ChannelPairState:
        return ChannelPairState(stretch.rate_hz, side.platter_rate_hz)

    def conclude(
        self, observations: Sequence[Observation], side: Side, earlier: Mapping[str, Sequence[Reading]]
    ) -> Outcome:
        found = pairs(observations)
        if found:
            return Outcome(tuple(self._from_pair(pair, side, earlier) for pair in found))
        both = {o.band.index: o for o in observations if o.band.kind in ("tone", "vertical")}
        main = nearest_to_main(o.band for o in both.values())
        if main is None or both[main.index].data.balance is None:
            return Outcome()
        return Outcome((self._from_both(main, both[main.index].data, side),))

    def _from_pair(self, pair: Pair, side: Side, earlier: Mapping[str, Sequence[Reading]]) -> Reading:
        left, right = pair.left.left, pair.right.right
        assert left is not None
        assert right is not None
        value, correction = balance_of(pair)
        conditions: dict[str, Any] = {
            "bands": pair.bands,
            "main": pair.main,
            "frequency_hz": tone_hz(pair.left_band),
            "modulation": "taken as equal",
            "disc": AS_CUT,
        }
        if correction is not None:
            conditions["modulation"] = "corrected by the layout" if correction else "equal by the layout"
            conditions["modulation_correction_db"] = correction
        if pair.exchanged:
            conditions["channels"] = EXCHANGED
        budget = kept(
            side,
            [
                Contribution("noise, left band", left.standard_uncertainty_db),
                Contribution("noise, right band", right.standard_uncertainty_db),
                speed_line_between(pair.left_band, pair.left, side),
                speed_line_between(pair.right_band, pair.right, side),
                in_decibels(hum_amplitude(earlier, pair.left_band, "left"), left.amplitude),
                in_decibels(hum_amplitude(earlier, pair.right_band, "right"), right.amplitude),
            ],
        )
        return Reading(
            "channel_balance",
            value,
            "dB",
            coverage_half_width(budget),
            budget,
            "level of each channel in its own single-channel band",
            self.quantities[0].source,
            method_version=self.version,
            conditions=conditions,
        )

    def _from_both(self, band: Band, seen: TonePair, side: Side) -> Reading:
        assert seen.balance is not None
        value, noise = seen.balance
        budget = kept(side, [Contribution("noise", noise), rectangular("headshell lean not known", TILT_UNKNOWN_DB)])
        return Reading(
            "channel_balance",
            value,
            "dB",
            coverage_half_width(budget),
            budget,
            "levels of a both-channel tone; a headshell leaning up to 2° shifts them by up to 0.61 dB",
            self.quantities[0].source,
            band=band.index,
            method_version=self.version,
            conditions={"main": True, "frequency_hz": tone_hz(band), "disc": AS_CUT},
        )
