"""Azimuth: how far the headshell leans to one side, told from the signs of the crosstalk both ways.

A lean by θ turns the two directions in which the cartridge hears: L' = c·l + s·r, R' = −s·l + c·r with c = cos θ,
s = sin θ. The left-only band then leaks −tan θ into the right, the right-only band +tan θ into the left; leaks of
coils and wiring come with one sign both ways. With the own-channel gain g (left over right) taken out,

    tan θ = (x_RL/g − g·x_LR)/2        in phase,
    common = (x_RL/g + g·x_LR)/2       size of the complex value: its part in quadrature is no lean's either.

g carries the phase between the channels too, as a both-channel tone of the same side shows it, so that converters
or wiring that delay one channel do not turn a leak.

Source: definitions of the readings contract, trade practice 4.5; tan θ of published values 13. Status: derived.
Range: leans up to about 20°.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Mapping, Sequence
from typing import Any

from spindlewright.bands.band import Band
from spindlewright.readings.channel_pair import (
    AS_CUT,
    DB_PER_NEPER,
    EXCHANGED,
    ChannelPairState,
    Leak,
    Pair,
    TonePair,
    kept,
    nearest_to_main,
    pairs,
    peak_velocity_cm_s,
    tone_hz,
)
from spindlewright.readings.leak_size import leak_size
from spindlewright.readings.method import Observation, Outcome, Quantity, Stretch, View
from spindlewright.readings.reading import Finding, Reading
from spindlewright.readings.side import Side
from spindlewright.standards.jcgm_101_2008 import Contribution, coverage_half_width, rectangular

UPRIGHT_WITHIN_DEG = 2.0
"""Beyond this a reading first asks for setting upright by eye (readings contract)."""
SET_UPRIGHT = "set it upright by eye (unipivot: lateral balance), then measure again"
PHASE_UNKNOWN_DEG = 3.0
"""Phase between the channels at 1 kHz when no both-channel tone shows it (common practice, no source)."""


class Azimuth:
    """``azimuth_error`` and ``symmetric_crosstalk`` from the pair of single-channel bands nearest 1 kHz."""

    name = "azimuth"
    version = 1
    view: View = "carrier"
    quantities = (
        Quantity(
            "azimuth_error",
            "°",
            "lean of the headshell, positive when rolled clockwise seen from its front; balance taken out first: "
            "arctan((x_RL/g − g·x_LR)/2) with the in-phase leaks x and the own-channel gain g left over right",
            "readings contract; derived",
        ),
        Quantity(
            "symmetric_crosstalk",
            "dB",
            "size of (x_RL/g + g·x_LR)/2: leak of coils and wiring, which no roll of the headshell cures",
            "readings contract; derived",
        ),
    )

    def wants(self, band: Band, side: Side) -> bool:
        kinds = {b.kind for b in side.bands}
        if not {"left", "right"} <= kinds:
            return False
        return band.kind in ("left", "right") or band == _both_channel_band(side.bands)

    def start(self, stretch: Stretch, side: Side) -> ChannelPairState:
        return ChannelPairState(stretch.rate_hz)

    def conclude(
        self, observations: Sequence[Observation], side: Side, earlier: Mapping[str, Sequence[Reading]]
    ) -> Outcome:
        pair = next((p for p in pairs(observations) if p.main), None)
        if pair is None or pair.left.right_over_left is None or pair.right.left_over_right is None:
            return Outcome()
        both = {o.band.index: o for o in observations if o.band.kind in ("tone", "vertical")}
        chosen = _both_channel_band([o.band for o in both.values()])
        seen = both[chosen.index] if chosen is not None else None
        phase = _phase_between(pair, seen, side.polarity)
        return _concluded(pair, phase, side, self.version)


class _Phase:
    """Phase in rad by which the right channel leads at the pair's tone, and how well it is known."""

    def __init__(self, value: float, line: Contribution, band: int | None) -> None:
        self.value = value
        self.line = line
        self.band = band


def _both_channel_band(bands: Sequence[Band]) -> Band | None:
    """The lateral tone (else the vertical one) nearest 1 kHz, which shows the phase between the channels."""
    return nearest_to_main(b for b in bands if b.kind == "tone") or nearest_to_main(
        b for b in bands if b.kind == "vertical"
    )


def _phase_between(pair: Pair, seen: Observation | None, polarity: str) -> _Phase:
    """From a both-channel tone, taken as a delay; polarity (a half turn) is the side's to tell.

    A both-channel tone gives R/L = (1 + g·x_LR)/(g + x_RL), which is solved for g: lean and coils together turn
    it a little too. An error δ of the phase shifts the tilt by δ times the common part in quadrature.
    """
    half_turn = math.pi if polarity == "inverted" else 0.0
    frequency = tone_hz(pair.left_band) or 0.0
    x_lr, x_rl = pair.left.right_over_left, pair.right.left_over_right
    if seen is not None and isinstance(seen.data, TonePair) and seen.data.right_over_left and x_lr and x_rl:
        ratio = seen.data.right_over_left
        gain = (1.0 - ratio.value * x_rl.value) / (ratio.value - x_lr.value)
        lead = math.remainder(-cmath.phase(gain), math.pi)
        share = frequency / (tone_hz(seen.band) or frequency)
        across = ratio.turned(1.0 / ratio.value).u_imag
        line = Contribution("phase between channels", across * share)
        return _Phase(half_turn + lead * share, line, seen.band.index)
    unknown = math.radians(PHASE_UNKNOWN_DEG) * frequency / 1000.0
    return _Phase(half_turn, rectangular("phase between channels", unknown), None)


def _concluded(pair: Pair, phase: _Phase, side: Side, version: int) -> Outcome:
    own_left, own_right = pair.left.left, pair.right.right
    x_lr, x_rl = pair.left.right_over_left, pair.right.left_over_right
    assert own_left is not None
    assert own_right is not None
    assert x_lr is not None
    assert x_rl is not None
    balance_db = own_left.dbfs - own_right.dbfs
    cut_left, cut_right = peak_velocity_cm_s(pair.left_band), peak_velocity_cm_s(pair.right_band)
    if cut_left is not None and cut_right is not None:
        balance_db -= DB_PER_NEPER * math.log(cut_left / cut_right)
    u_gain = math.hypot(own_left.standard_uncertainty_db, own_right.standard_uncertainty_db) / DB_PER_NEPER
    g = 10.0 ** (balance_db / 20.0) * cmath.exp(-1j * phase.value)
    from_right, from_left = x_rl.turned(1.0 / g), x_lr.turned(g)
    tangent = 0.5 * (from_right.value.real - from_left.value.real)
    common = Leak(
        0.5 * (from_right.value + from_left.value),
        tuple(  # type: ignore[arg-type]
            tuple(0.25 * (a + b) for a, b in zip(row_a, row_b, strict=True))
            for row_a, row_b in zip(from_right.covariance, from_left.covariance, strict=True)
        ),
    )
    value = math.degrees(math.atan(tangent))
    per_tangent = math.degrees(1.0 / (1.0 + tangent**2))
    noise = 0.5 * math.hypot(from_right.u_real, from_left.u_real)
    budget = kept(
        side,
        [
            Contribution("noise", noise * per_tangent),
            Contribution("channel balance", abs(common.value.real) * u_gain * per_tangent),
            Contribution(
                phase.line.name,
                abs(common.value.imag) * phase.line.standard_uncertainty * per_tangent,
                phase.line.distribution,
            ),
        ],
    )
    shared: dict[str, Any] = {
        "bands": pair.bands,
        "main": True,
        "frequency_hz": tone_hz(pair.left_band),
        "polarity": side.polarity,
        "balance_db": balance_db,
        "phase_between_channels_deg": math.degrees(math.remainder(phase.value, math.pi)),
        "phase_from_band": phase.band,
        "disc": AS_CUT,
    }
    if pair.exchanged:
        shared["channels"] = EXCHANGED
    conditions = dict(shared)
    conditions["tilt_tangent"] = tangent
    findings: tuple[Finding, ...] = ()
    if side.polarity in ("inverted", "swapped"):
        conditions["sign"] = f"doubtful: the channels look {side.polarity}; no move from this reading"
    elif side.polarity == "assumed":
        conditions["sign"] = "assumes that both channels are the right way round"
    if abs(value) > UPRIGHT_WITHIN_DEG:
        conditions["next_move"] = SET_UPRIGHT
        findings = (
            Finding(
                "headshell_leans",
                f"The headshell seems to lean {abs(value):.1f}°, more than {UPRIGHT_WITHIN_DEG:g}°: {SET_UPRIGHT}.",
                {"azimuth_error_deg": value, "bands": pair.bands},
            ),
        )
    size = leak_size(common, 10.0 ** (min(own_left.dbfs, own_right.dbfs) / 20.0))
    size_budget = kept(side, [Contribution("noise", size.standard_uncertainty_db)])
    common_conditions = shared | {
        "in_phase": common.value.real,
        "quadrature": common.value.imag,
        "below_noise": size.below_noise,
    }
    method = "signed leaks of the left-only and the right-only band, balance and phase between channels taken out"
    source = "readings contract; derived"
    return Outcome(
        (
            Reading(
                "azimuth_error",
                value,
                "°",
                coverage_half_width(budget),
                budget,
                method,
                source,
                method_version=version,
                conditions=conditions,
            ),
            Reading(
                "symmetric_crosstalk",
                size.value_db,
                "dB",
                coverage_half_width(size_budget),
                size_budget,
                method,
                source,
                method_version=version,
                conditions=common_conditions,
            ),
        ),
        findings,
    )
