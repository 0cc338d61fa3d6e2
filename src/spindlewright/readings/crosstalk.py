"""Crosstalk: what the channel that is not driven gives at the tone's frequency, against the driven one.

Read in left-only and right-only bands as the outputs stand, not corrected for balance. The driven channel carries
the phase, so wow does not blur the ratio; noise power is taken off the size. A leak lost in noise is given as its
upper bound with ``conditions.below_noise``.

Source: definition of the readings contract. Status: derived. Range: leaks up to 0 dB; the disc's own crosstalk, as
cut, is part of the reading (the trade meets −30 dB, published values 13 and trade practice 3.1).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from spindlewright.bands.band import Band
from spindlewright.readings.band_pairs import AS_CUT, EXCHANGED, by_disc_channel, nearest_to_main, tone_hz
from spindlewright.readings.budget_lines import kept
from spindlewright.readings.channel_pair import DB_PER_NEPER, ChannelPairState, TonePair
from spindlewright.readings.hum_at_tone import hum_amplitude, in_decibels
from spindlewright.readings.leak_size import leak_size
from spindlewright.readings.method import Observation, Outcome, Quantity, Stretch, View
from spindlewright.readings.reading import Reading
from spindlewright.readings.side import Side
from spindlewright.standards.jcgm_101_2008 import Contribution, coverage_half_width

_DEFINITION = (
    "undriven output ({quiet}) over driven output ({loud}) at the tone's frequency alone, read in a {loud}-only band, "
    "as the outputs stand (not corrected for balance); phase in the conditions"
)


class Crosstalk:
    """``crosstalk_left_to_right`` and ``crosstalk_right_to_left``: one reading per single-channel band, the one
    nearest 1 kHz each way with ``conditions.main``."""

    name = "crosstalk"
    version = 1
    view: View = "carrier"
    quantities = (
        Quantity(
            "crosstalk_left_to_right",
            "dB",
            _DEFINITION.format(loud="left", quiet="right"),
            "readings contract; derived",
        ),
        Quantity(
            "crosstalk_right_to_left",
            "dB",
            _DEFINITION.format(loud="right", quiet="left"),
            "readings contract; derived",
        ),
    )

    def wants(self, band: Band, side: Side) -> bool:
        return band.kind in ("left", "right")

    def start(self, stretch: Stretch, side: Side) -> ChannelPairState:
        return ChannelPairState(stretch.rate_hz, side.platter_rate_hz)

    def conclude(
        self, observations: Sequence[Observation], side: Side, earlier: Mapping[str, Sequence[Reading]]
    ) -> Outcome:
        told, exchanged = by_disc_channel(observations)
        readings: list[Reading] = []
        for driven, quantity in (("left", self.quantities[0]), ("right", self.quantities[1])):
            mine = [o.band for o in observations if o.band.kind == driven and o.band.index in told]
            main = nearest_to_main(mine)
            for band in mine:
                made = self._reading(band, told[band.index], driven, quantity, side, earlier)
                if made is not None:
                    more = {"main": band is main} | ({"channels": EXCHANGED} if exchanged else {})
                    readings.append(replace(made, conditions={**made.conditions, **more}))
        return Outcome(tuple(readings))

    def _reading(
        self,
        band: Band,
        pair: TonePair,
        driven: str,
        quantity: Quantity,
        side: Side,
        earlier: Mapping[str, Sequence[Reading]],
    ) -> Reading | None:
        leak = pair.right_over_left if driven == "left" else pair.left_over_right
        level = pair.level(driven)
        if leak is None or level is None:
            return None
        size = leak_size(leak, level.amplitude)
        hum = hum_amplitude(earlier, band, "right" if driven == "left" else "left") / level.amplitude
        value = 10.0 ** (size.value_db / 20.0)
        lines = [Contribution("noise", size.standard_uncertainty_db), in_decibels(hum, value)]
        conditions: dict[str, Any] = {
            "frequency_hz": tone_hz(band),
            "played_hz": band.frequency_hz,
            "driven": driven,
            "phase_deg": None if size.below_noise else math.degrees(math.atan2(leak.value.imag, leak.value.real)),
            "in_phase": leak.value.real,
            "quadrature": leak.value.imag,
            "below_noise": size.below_noise,
            "disc": AS_CUT,
        }
        budget = kept(side, lines)
        return Reading(
            quantity.name,
            DB_PER_NEPER * math.log(value + hum) if size.below_noise else size.value_db,
            "dB",
            coverage_half_width(budget),
            budget,
            "cross power of both outputs over the driven output's power at the tone alone, followed through wow",
            quantity.source,
            band=band.index,
            method_version=self.version,
            conditions=conditions,
        )
