"""Levels of rumble, hum and groove noise as the readings define them, from the spectra put in."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from spindlewright.simulate.arm_resonance import resonance_response
from spindlewright.simulate.cartridge import output_matrix
from spindlewright.simulate.equalisation import replay_gain, subsonic_response
from spindlewright.simulate.groove import Groove
from spindlewright.simulate.groove_noise import mean_weighted_power, noise_shape, noise_velocity_cm_s
from spindlewright.simulate.modulation import WALLS
from spindlewright.simulate.spec import REFERENCE_VELOCITY_CM_S, Spec
from spindlewright.simulate.vibration import (
    RUMBLE_REFERENCE_CM_S,
    SLOW_GRID_HZ,
    line_rate_hz,
    line_velocity_cm_s,
    noise_density,
    noise_gain,
    unweighted_gain,
    weighted_gain,
)

Weight = Callable[[np.ndarray], np.ndarray]
DIRECTIONS = ("left", "right", "lateral", "vertical")


@dataclass(frozen=True, slots=True)
class RumbleLevels:
    """Levels in dB re the output for 10 cm/s peak at 1 kHz in the direction read; None: nothing there.

    ``rumble`` is what deck and warp make; ``with_groove_noise`` adds the groove's noise, ``everything`` the mains
    lines and the converter's noise too: the last is what a reading over a silent band should find.
    """

    rumble: float | None
    with_groove_noise: float | None
    everything: float | None


@dataclass(frozen=True, slots=True)
class NoiseLevels:
    """Rumble per direction, and A-weighted noise per channel re the output for 5 cm/s peak per wall at 1 kHz.

    Lateral is (left + right)/sqrt 2, vertical (left − right)/sqrt 2 after the gains have been made equal.
    """

    rumble_unweighted: dict[str, RumbleLevels]
    rumble_weighted: dict[str, RumbleLevels]
    surface_noise_left_db: float | None
    surface_noise_right_db: float | None


def noise_levels(spec: Spec, groove: Groove) -> NoiseLevels:
    """Levels from the spectra: nothing is rendered. Outputs are taken as the plugs deliver them."""
    matrix = output_matrix(spec.cartridge).real
    own = np.array([np.max(np.abs(matrix[0])), np.max(np.abs(matrix[1]))])
    readers = {
        "left": np.array([1.0 / own[0], 0.0]),
        "right": np.array([0.0, 1.0 / own[1]]),
        "lateral": np.array([1.0 / own[0], 1.0 / own[1]]) / np.sqrt(2.0),
        "vertical": np.array([1.0 / own[0], -1.0 / own[1]]) / np.sqrt(2.0),
    }
    surface = [_surface_db(spec, groove, matrix[i] / own[i]) for i in (0, 1)]
    return NoiseLevels(
        {d: _rumble(spec, groove, matrix, readers[d], unweighted_gain) for d in DIRECTIONS},
        {d: _rumble(spec, groove, matrix, readers[d], weighted_gain) for d in DIRECTIONS},
        surface[0],
        surface[1],
    )


def _db(power: float, reference_cm_s: float) -> float | None:
    """Power in (cm/s)² of equivalent velocity re a sine of the reference peak."""
    return None if power < 1e-30 else float(10.0 * np.log10(power / (0.5 * reference_cm_s**2)))


def _surface_db(spec: Spec, groove: Groove, row: np.ndarray) -> float | None:
    rate = groove.timebase.true_rate_hz
    power = float(mean_weighted_power(spec, rate) * noise_velocity_cm_s(spec, rate) ** 2 * np.sum(row**2))
    return _db(power, REFERENCE_VELOCITY_CM_S)


def _rumble(spec: Spec, groove: Groove, matrix: np.ndarray, reader: np.ndarray, weight: Weight) -> RumbleLevels:
    walls = reader @ matrix
    power = _deck_power(spec, groove, walls, weight)
    rate = groove.timebase.true_rate_hz
    density = (noise_shape(spec, SLOW_GRID_HZ, rate) * weight(SLOW_GRID_HZ)) ** 2
    groove_power = float(_mean(density, rate) * noise_velocity_cm_s(spec, rate) ** 2 * np.sum(walls**2))
    extra = _recorder_power(spec, rate, reader, weight)
    return RumbleLevels(
        _db(power, RUMBLE_REFERENCE_CM_S),
        _db(power + groove_power, RUMBLE_REFERENCE_CM_S),
        _db(power + groove_power + extra, RUMBLE_REFERENCE_CM_S),
    )


def _mean(density: np.ndarray, rate_hz: float) -> float:
    """Mean over 0 … half the rate of a density on the slow grid that has died out at its end."""
    inside = 0.5 * rate_hz >= SLOW_GRID_HZ
    return float(np.trapezoid(density[inside], SLOW_GRID_HZ[inside]) / (0.5 * rate_hz))


def _deck_power(spec: Spec, groove: Groove, walls: np.ndarray, weight: Weight) -> float:
    """Power of noise, lines and warp in (cm/s)² after replay, weighting and arm resonance."""
    rumble, arm = spec.deck.rumble, spec.arm

    def to_output(direction: str, f: np.ndarray) -> np.ndarray:
        left, right = WALLS[direction]
        lateral = (left + right) / np.sqrt(2.0)
        vertical = (left - right) / np.sqrt(2.0)
        share = lateral * (walls[0] + walls[1]) / np.sqrt(2.0) * resonance_response(
            f, arm.lateral_resonance_hz, arm.lateral_q
        ) + vertical * (walls[0] - walls[1]) / np.sqrt(2.0) * resonance_response(
            f, arm.vertical_resonance_hz, arm.vertical_q
        )
        chain = replay_gain(f) * weight(f) * np.abs(subsonic_response(f, spec.phono.subsonic_hz))
        return np.asarray((np.abs(share) * chain) ** 2)

    power = 0.0
    f = SLOW_GRID_HZ
    for direction, level in (("lateral", rumble.lateral_db), ("vertical", rumble.vertical_db)):
        if level is not None:
            density = noise_density(level, rumble) * noise_gain(f, rumble) ** 2
            power += float(np.trapezoid(density * to_output(direction, f), f))
    for line in rumble.lines:
        rate = line_rate_hz(line, spec, groove.speed)
        power += 0.5 * line_velocity_cm_s(line, rate) ** 2 * float(to_output(line.direction, np.array([rate]))[0])
    if spec.disc.warp_mm:
        rate = spec.disc.warp_order * groove.speed.mean_hz
        peak = 0.1 * spec.disc.warp_mm * 2.0 * np.pi * rate
        power += 0.5 * peak**2 * float(to_output("vertical", np.array([rate]))[0])
    return power


def _recorder_power(spec: Spec, rate_hz: float, reader: np.ndarray, weight: Weight) -> float:
    """Power of mains lines and converter noise, as velocity a RIAA chain would have given the same output for."""
    per_full_scale = REFERENCE_VELOCITY_CM_S / 10.0 ** (spec.phono.level_dbfs / 20.0)
    equalised = (lambda f: replay_gain(f)) if spec.phono.chain == "flat" else (lambda f: np.ones(np.shape(f)))
    power = 0.0
    for line in spec.hum.lines:
        f = np.array([line.order * spec.hum.mains_hz])
        phasors = np.array(
            [
                0.0 if level is None else 10.0 ** (level / 20.0) * np.exp(1j * np.deg2rad(phase))
                for level, phase in ((line.left_dbfs, line.left_phase_deg), (line.right_dbfs, line.right_phase_deg))
            ]
        )
        power += 0.5 * abs(reader @ phasors) ** 2 * float((weight(f) * equalised(f))[0] ** 2)
    if spec.recorder.noise_dbfs is not None:
        rms = 10.0 ** ((spec.recorder.noise_dbfs - spec.recorder.gain_db) / 20.0) / np.sqrt(2.0)
        f = SLOW_GRID_HZ
        power += rms**2 * float(np.sum(reader**2)) * _mean((weight(f) * equalised(f)) ** 2, rate_hz)
    return float(power * per_full_scale**2)
