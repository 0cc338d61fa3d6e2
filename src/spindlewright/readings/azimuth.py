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
from dataclasses import dataclass
from typing import Any

from spindlewright.bands.band import Band
from spindlewright.readings.band_pairs import (
    AS_CUT,
    EXCHANGED,
    Pair,
    balance_of,
    by_disc_channel,
    can_pair,
    nearest_to_main,
    pairs,
    tone_hz,
)
from spindlewright.readings.budget_lines import kept
from spindlewright.readings.channel_pair import DB_PER_NEPER, ChannelPairState, Leak, TonePair
from spindlewright.readings.hum_at_tone import hum_amplitude, in_decibels, of_unknown_phase
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
        if not can_pair(side.bands):
            return False
        return band.kind in ("left", "right") or band == _both_channel_band(side.bands)

    def start(self, stretch: Stretch, side: Side) -> ChannelPairState:
        return ChannelPairState(stretch.rate_hz, side.platter_rate_hz)

    def conclude(
        self, observations: Sequence[Observation], side: Side, earlier: Mapping[str, Sequence[Reading]]
    ) -> Outcome:
        pair = next((p for p in pairs(observations) if p.main), None)
        if pair is None or pair.left.right_over_left is None or pair.right.left_over_right is None:
            return Outcome()
        told, _ = by_disc_channel(observations)
        chosen = _both_channel_band([o.band for o in observations if o.band.index in told])
        phase = _phase_between(pair, chosen, told.get(chosen.index) if chosen else None, side.polarity)
        leaks = _leaks(pair, phase)
        if leaks is None:
            return Outcome()
        shared = _conditions(pair, phase, side)
        hum = _hum_over_tone(pair, leaks, earlier)
        tilt, findings = self._tilt(leaks, phase, hum, side, shared)
        return Outcome((tilt, self._common(pair, leaks, hum, side, shared)), findings)

    def _tilt(
        self, leaks: _Leaks, phase: _Phase, hum: tuple[float, float], side: Side, shared: Mapping[str, Any]
    ) -> tuple[Reading, tuple[Finding, ...]]:
        value = math.degrees(math.atan(leaks.tangent))
        per_tangent = math.degrees(1.0 / (1.0 + leaks.tangent**2))
        common = leaks.common.value
        noise = 0.5 * math.hypot(leaks.from_right.u_real, leaks.from_left.u_real)
        by_phase = abs(common.imag) * phase.line.standard_uncertainty
        budget = kept(
            side,
            [
                Contribution("noise", noise * per_tangent),
                Contribution("channel balance", abs(common.real) * leaks.gain_relative_uncertainty * per_tangent),
                Contribution(phase.line.name, by_phase * per_tangent, phase.line.distribution),
                *(of_unknown_phase(0.5 * size * per_tangent) for size in hum),
            ],
        )
        conditions = {**shared, "tilt_tangent": leaks.tangent}
        findings: tuple[Finding, ...] = ()
        if side.polarity in ("inverted", "swapped"):
            conditions["sign"] = f"doubtful: the channels look {side.polarity}; no move from this reading"
        else:
            if side.polarity == "assumed":
                conditions["sign"] = "assumes that both channels are the right way round"
            if abs(value) > UPRIGHT_WITHIN_DEG:
                conditions["next_move"] = SET_UPRIGHT
                message = (
                    f"The headshell seems to lean {abs(value):.1f}°, beyond {UPRIGHT_WITHIN_DEG:g}°: {SET_UPRIGHT}."
                )
                evidence = {"azimuth_error_deg": value, "bands": shared["bands"]}
                findings = (Finding("headshell_leans", message, evidence),)
        return self._made(self.quantities[0], value, budget, conditions), findings

    def _common(
        self, pair: Pair, leaks: _Leaks, hum: tuple[float, float], side: Side, shared: Mapping[str, Any]
    ) -> Reading:
        common = leaks.common
        amplitudes = [own.amplitude for own in (pair.left.left, pair.right.right) if own is not None]
        size = leak_size(common, min(amplitudes))
        ratio = 10.0 ** (size.value_db / 20.0)
        lines = [Contribution("noise", size.standard_uncertainty_db)]
        lines += [in_decibels(0.5 * line, ratio) for line in hum]
        value = size.value_db
        if size.below_noise:
            value = DB_PER_NEPER * math.log(ratio + 0.5 * sum(hum))
        parts = {"in_phase": common.value.real, "quadrature": common.value.imag, "below_noise": size.below_noise}
        return self._made(self.quantities[1], value, kept(side, lines), {**shared, **parts})

    def _made(
        self,
        quantity: Quantity,
        value: float,
        budget: tuple[Contribution, ...],
        conditions: Mapping[str, Any],
    ) -> Reading:
        return Reading(
            quantity.name,
            value,
            quantity.unit,
            coverage_half_width(budget),
            budget,
            "signed leaks of the left-only and the right-only band, balance and phase between channels taken out",
            quantity.source,
            method_version=self.version,
            conditions=conditions,
        )


@dataclass(frozen=True, slots=True)
class _Phase:
    """Phase in rad by which the right channel leads at the pair's tone, and how well it is known."""

    value: float
    line: Contribution
    band: int | None


def _both_channel_band(bands: Sequence[Band]) -> Band | None:
    """The lateral tone (else the vertical one) nearest 1 kHz, which shows the phase between the channels."""
    return nearest_to_main(b for b in bands if b.kind == "tone") or nearest_to_main(
        b for b in bands if b.kind == "vertical"
    )


def _phase_between(pair: Pair, band: Band | None, seen: TonePair | None, polarity: str) -> _Phase:
    """From a both-channel tone, taken as a delay; polarity (a half turn) is the side's to tell.

    A both-channel tone gives R/L = (1 + g·x_LR)/(g + x_RL), which is solved for g: lean and coils together turn
    it a little too. An error δ of the phase shifts the tilt by δ times the common part in quadrature.
    """
    half_turn = math.pi if polarity == "inverted" else 0.0
    frequency = tone_hz(pair.left_band) or 0.0
    x_lr, x_rl = pair.left.right_over_left, pair.right.left_over_right
    if band is not None and seen is not None and seen.right_over_left and x_lr and x_rl:
        ratio = seen.right_over_left
        gain = (1.0 - ratio.value * x_rl.value) / (ratio.value - x_lr.value)
        lead = math.remainder(-cmath.phase(gain), math.pi)
        share = frequency / (tone_hz(band) or frequency)
        across = ratio.turned(1.0 / ratio.value).u_imag
        line = Contribution("phase between channels", across * share)
        return _Phase(half_turn + lead * share, line, band.index)
    unknown = math.radians(PHASE_UNKNOWN_DEG) * frequency / 1000.0
    return _Phase(half_turn, rectangular("phase between channels", unknown), None)


@dataclass(frozen=True, slots=True)
class _Leaks:
    """Both leaks with gain and phase between the channels taken out, and the gain itself."""

    from_right: Leak
    from_left: Leak
    gain: complex
    gain_relative_uncertainty: float

    @property
    def tangent(self) -> float:
        """tan of the lean: the part that has opposite signs in the two directions, in phase."""
        return 0.5 * (self.from_right.value.real - self.from_left.value.real)

    @property
    def common(self) -> Leak:
        """The part that has the same sign both ways, complex."""
        a, b = self.from_right.covariance, self.from_left.covariance
        mixed = 0.25 * (a[0][1] + b[0][1])
        covariance = ((0.25 * (a[0][0] + b[0][0]), mixed), (mixed, 0.25 * (a[1][1] + b[1][1])))
        return Leak(0.5 * (self.from_right.value + self.from_left.value), covariance)


def _leaks(pair: Pair, phase: _Phase) -> _Leaks | None:
    own_left, own_right = pair.left.left, pair.right.right
    x_lr, x_rl = pair.left.right_over_left, pair.right.left_over_right
    if own_left is None or own_right is None or x_lr is None or x_rl is None:
        return None
    u_db = math.hypot(own_left.standard_uncertainty_db, own_right.standard_uncertainty_db)
    gain = 10.0 ** (balance_of(pair)[0] / 20.0) * cmath.exp(-1j * phase.value)
    return _Leaks(x_rl.turned(1.0 / gain), x_lr.turned(gain), gain, u_db / DB_PER_NEPER)


def _hum_over_tone(pair: Pair, leaks: _Leaks, earlier: Mapping[str, Sequence[Reading]]) -> tuple[float, float]:
    """Size of a mains line at the tone in the quiet channel of the left and of the right band, as leaks."""
    own_left, own_right, g = pair.left.left, pair.right.right, abs(leaks.gain)
    assert own_left is not None
    assert own_right is not None
    return (
        hum_amplitude(earlier, pair.left_band, "right") / own_left.amplitude * g,
        hum_amplitude(earlier, pair.right_band, "left") / own_right.amplitude / g,
    )


def _conditions(pair: Pair, phase: _Phase, side: Side) -> dict[str, Any]:
    told: dict[str, Any] = {
        "bands": pair.bands,
        "main": True,
        "frequency_hz": tone_hz(pair.left_band),
        "played_hz": pair.left_band.frequency_hz,
        "polarity": side.polarity,
        "balance_db": balance_of(pair)[0],
        "phase_between_channels_deg": math.degrees(math.remainder(phase.value, math.pi)),
        "phase_from_band": phase.band,
        "disc": AS_CUT,
    }
    if pair.exchanged:
        told["channels"] = EXCHANGED
    return told
