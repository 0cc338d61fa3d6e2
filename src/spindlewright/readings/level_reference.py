"""Reference level: the output that other levels of the side are told against.

Taken from the layout's reference band, else from the left-only, right-only or lateral tone nearest 1 kHz within
300 to 1250 Hz. It is the output for the reference velocity in the direction read: the level of a channel in its own
single-channel band, or a lateral tone's level per channel plus 3.01 dB, since a lateral velocity gives each wall
1/√2 of it. With a velocity pick-up and RIAA replay the output is velocity times replay gain at the tone, so a known
velocity also tells the output for 10 cm/s peak at 1 kHz: 315 Hz at 5.509 cm/s comes out the same (published values 3).

Source: readings contract, "Reference level"; 0 dBFS is the rms of a full-scale sine (AES17, confirmed); replay gain
of IEC 60098 (constants confirmed); the rest derived.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal, cast

from spindlewright.bands.band import Band
from spindlewright.readings.band_pairs import (
    EXCHANGED,
    Direction,
    by_disc_channel,
    distance_from_main,
    same_tone,
    speed_lines,
    tone_hz,
    velocity_read_in,
)
from spindlewright.readings.budget_lines import kept
from spindlewright.readings.channel_pair import DB_PER_NEPER, ChannelPairState, TonePair
from spindlewright.readings.method import Observation, Outcome, Quantity, Stretch, View
from spindlewright.readings.reading import Reading
from spindlewright.readings.side import Side
from spindlewright.standards.iec_60098_2020 import riaa_replay_db
from spindlewright.standards.jcgm_101_2008 import Contribution, coverage_half_width

LOWEST_HZ, HIGHEST_HZ = 300.0, 1250.0
BOTH_CHANNELS_DB = 10.0 * math.log10(2.0)
"""From the level per channel of a lateral (or vertical) tone to the level in its own direction: 3.01 dB."""
REFERENCE_VELOCITY_CM_S = 10.0
"""Peak velocity at 1 kHz that absolute figures are referred to (DIN 45539, confirmed by two secondary pages)."""
CUT_ALIKE_DB = 3.0
"""Left-only and right-only bands of one tone that differ by less were cut with one velocity (working choice)."""
_DIRECTION: dict[str, Direction] = {"left": "wall", "right": "wall", "tone": "lateral", "vertical": "vertical"}


@dataclass(frozen=True, slots=True)
class ReferenceLevels:
    """Reference per channel in dBFS with standard uncertainties in dB, after RIAA replay.

    With ``velocity_known`` it is the output for 10 cm/s peak at 1 kHz, else the reference tone's own level.
    """

    left_dbfs: float
    right_dbfs: float
    left_standard_uncertainty_db: float
    right_standard_uncertainty_db: float
    velocity_known: bool
    bands: tuple[int, ...]


def reference_levels(earlier: Mapping[str, Sequence[Reading]]) -> ReferenceLevels | None:
    """The reference for level readings of the same side, from the readings concluded before; None without one.

    A side with a reference in one channel only lends it to the other.
    """
    found = {r.channel: r for r in earlier.get("level_reference", ())}
    left, right = found.get("left", found.get("right")), found.get("right", found.get("left"))
    if left is None or right is None:
        return None
    referral = [r.conditions.get("to_10_cm_s_at_1_khz_db") for r in (left, right)]
    known = all(r is not None for r in referral)
    add = [float(r) if known else 0.0 for r in referral]  # type: ignore[arg-type]
    u = [math.sqrt(sum(c.standard_uncertainty**2 for c in r.budget)) for r in (left, right)]
    bands = tuple(sorted({r.band for r in (left, right) if r.band is not None}))
    return ReferenceLevels(left.value + add[0], right.value + add[1], u[0], u[1], known, bands)


def reference_bands(bands: Sequence[Band]) -> tuple[Band, ...]:
    """One both-channel band, or the single-channel band chosen and its partner in the other channel if any.

    Of equally near tones one with a stated velocity goes first, then single-channel bands, then the earlier.
    """
    tones = [b for b in bands if b.kind in _DIRECTION]
    flagged = [b for b in tones if b.cut is not None and b.cut.reference]
    candidates = flagged or [
        b for b in tones if b.kind != "vertical" and LOWEST_HZ <= (tone_hz(b) or 0.0) <= HIGHEST_HZ
    ]
    if not candidates:
        return ()

    def rank(band: Band) -> tuple[float, bool, bool, int]:
        stated = band.cut is not None and bool(band.cut.velocity_cm_s)
        return (round(distance_from_main(band), 3), not stated, band.kind == "tone", band.index)

    first = min(candidates, key=rank)
    if first.kind not in ("left", "right"):
        return (first,)
    other_kind = "right" if first.kind == "left" else "left"
    partners = [b for b in (flagged + tones) if b.kind == other_kind and same_tone(first, b)]
    if not partners:
        return (first,)
    level = _own_level(first)
    flagged_first = {b.index for b in flagged}
    partner = min(
        partners,
        key=lambda b: (
            b.index not in flagged_first,
            _velocity(b) != _velocity(first),
            round(abs(_own_level(b) - level) / 3.0),
            abs(b.index - first.index),
        ),
    )
    return (first, partner)


def _own_level(band: Band) -> float:
    return max(band.level_dbfs.left, band.level_dbfs.right)


def _velocity(band: Band) -> tuple[float, str] | None:
    """Velocity as the layout states it, brought to the direction the band is read in."""
    stated = None if band.cut is None else velocity_read_in(band.cut, _DIRECTION[band.kind])
    return None if band.cut is None or stated is None else (stated, band.cut.velocity)


def _velocities(bands: Sequence[Band]) -> dict[int, tuple[float, str, int]]:
    """Velocity, how it is counted and the band that states it, by band index.

    A single-channel band without a velocity borrows that of its partner in the other channel when both come out
    alike: then they were cut alike (common practice, no source).
    """
    own = {b.index: velocity for b in bands if (velocity := _velocity(b)) is not None}
    known = {index: (*velocity, index) for index, velocity in own.items()}
    for band in bands:
        for other in bands:
            wanting = band.index not in own and other.index in own
            walls = {band.kind, other.kind} == {"left", "right"}
            if wanting and walls and abs(_own_level(band) - _own_level(other)) < CUT_ALIKE_DB:
                known[band.index] = (*own[other.index], other.index)
    return known


class LevelReference:
    """``level_reference``, one reading per channel that the chosen band or pair of bands drives."""

    name = "reference level"
    version = 1
    view: View = "carrier"
    quantities = (
        Quantity(
            "level_reference",
            "dBFS",
            "output for the reference velocity in the direction read: level of a channel in its own single-channel "
            "band, or a lateral band's level per channel plus 3.01 dB; velocity and direction in the conditions",
            "readings contract; AES17 (confirmed); IEC 60098 replay gain (constants confirmed); derived",
        ),
    )

    def wants(self, band: Band, side: Side) -> bool:
        return band in reference_bands(side.bands)

    def start(self, stretch: Stretch, side: Side) -> ChannelPairState:
        return ChannelPairState(stretch.rate_hz, side.platter_rate_hz)

    def conclude(
        self, observations: Sequence[Observation], side: Side, earlier: Mapping[str, Sequence[Reading]]
    ) -> Outcome:
        readings: list[Reading] = []
        _, exchanged = by_disc_channel(observations)
        velocities = _velocities([seen.band for seen in observations])
        other = {"left": "right", "right": "left"}
        for seen in observations:
            kind = seen.band.kind
            channels = (other[kind] if exchanged else kind,) if kind in other else ("left", "right")
            for channel in channels:
                pair = cast(TonePair, seen.data)
                velocity = velocities.get(seen.band.index)
                made = self._reading(
                    seen.band, pair, cast(Literal["left", "right"], channel), side, exchanged, velocity
                )
                if made is not None:
                    readings.append(made)
        return Outcome(tuple(readings))

    def _reading(
        self,
        band: Band,
        pair: TonePair,
        channel: Literal["left", "right"],
        side: Side,
        exchanged: bool,
        velocity: tuple[float, str, int] | None,
    ) -> Reading | None:
        level = pair.level(channel)
        frequency = band.frequency_hz or band.nominal_hz
        if level is None or not frequency:
            return None
        single = band.kind in ("left", "right")
        gain_db = float(riaa_replay_db(frequency))
        value = level.dbfs + (0.0 if single else BOTH_CHANNELS_DB)
        equalised_here = side.chain == "flat"
        if equalised_here:
            value += gain_db
        conditions: dict[str, Any] = {
            "velocity_cm_s": velocity[0] if velocity else None,
            "velocity": velocity[1] if velocity else None,
            "velocity_known": velocity is not None,
            "velocity_stated_for_band": velocity[2] if velocity else None,
            "direction": _DIRECTION[band.kind],
            "frequency_hz": tone_hz(band),
            "layout_name": band.layout_name,
            "chain": side.chain,
            "equalised_here": equalised_here,
            "to_10_cm_s_at_1_khz_db": None,
        }
        if exchanged:
            conditions["channels"] = EXCHANGED
        if velocity is not None and side.chain != "unknown":
            pace = frequency / band.nominal_hz if band.nominal_hz else 1.0  # a groove gives more the faster it passes
            peak = velocity[0] * (math.sqrt(2.0) if velocity[1] == "rms" else 1.0) * pace
            conditions["to_10_cm_s_at_1_khz_db"] = -DB_PER_NEPER * math.log(peak / REFERENCE_VELOCITY_CM_S) - gain_db
        budget = kept(side, [Contribution("noise", level.standard_uncertainty_db), *speed_lines(band, pair, side)])
        return Reading(
            "level_reference",
            value,
            "dBFS",
            coverage_half_width(budget),
            budget,
            "level of the channel in its own band"
            if single
            else "level per channel of a both-channel tone plus 3.01 dB",
            self.quantities[0].source,
            channel=channel,
            band=band.index,
            method_version=self.version,
            conditions=conditions,
        )
