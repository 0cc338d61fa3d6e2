"""How groove wall velocities become two channels: mistracking, roll, coils, load and the treble of the replay curve.

Order: a wall that gives way is limited; the roll mixes the walls (``L' = c·l + s·r``, ``R' = −s·l + c·r``); the coils
leak into each other; each has its gain; coil and load shape the treble; leads may be exchanged or reversed.
"""

from __future__ import annotations

import numpy as np
from scipy import fft

from spindlewright.simulate.equalisation import matched_replay_section, replay_gain, section_response
from spindlewright.simulate.spec import REFERENCE_VELOCITY_CM_S, Cartridge, Electrical, Spec

_DESIGN = 1 << 14
"""Points of the frequency grid on which the treble filter is designed."""
_TRANSFORM = 1 << 13
"""Length of the transforms that apply it."""


def electrical_response(electrical: Electrical, frequency_hz: np.ndarray) -> np.ndarray:
    """Complex response of coil and load: 1/[(1 + Rc/RL) + s(L/RL + Rc C) + s² L C] (published-values 10, derived)."""
    s = 2j * np.pi * np.asarray(frequency_hz, float)
    coil, load = electrical.coil_resistance_ohm, electrical.load_resistance_kohm * 1e3
    inductance, capacitance = electrical.coil_inductance_mh * 1e-3, electrical.load_capacitance_pf * 1e-12
    return np.asarray(
        1.0 / ((1.0 + coil / load) + s * (inductance / load + coil * capacitance) + s * s * inductance * capacitance)
    )


def treble_response(cartridge: Cartridge, frequency_hz: np.ndarray) -> np.ndarray:
    """Complex response of coil and load with magnitude 1 at 1 kHz; ones without them."""
    if cartridge.electrical is None:
        return np.ones(np.shape(frequency_hz), complex)
    at_reference = abs(electrical_response(cartridge.electrical, np.array([1000.0]))[0])
    return np.asarray(electrical_response(cartridge.electrical, frequency_hz) / at_reference)


def channel_matrix(cartridge: Cartridge, frequency_hz: float = 1000.0) -> np.ndarray:
    """Complex (2, 2): outputs (left, right) per wall velocity (left, right), before leads are exchanged."""
    angle = np.deg2rad(cartridge.azimuth_deg)
    roll = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    leak = in_phase_leak(cartridge) + 1j * quadrature_leak_at_1_khz(cartridge) * frequency_hz / 1000.0
    coils = np.array([[1.0, leak], [leak, 1.0]])
    return np.asarray(np.diag(coil_gains(cartridge)) @ coils @ roll)


def output_matrix(cartridge: Cartridge, frequency_hz: float = 1000.0) -> np.ndarray:
    """The same as the plugs deliver it, with reversed or exchanged leads."""
    matrix = channel_matrix(cartridge, frequency_hz)
    if cartridge.inverted != "none":
        matrix[0 if cartridge.inverted == "left" else 1] *= -1.0
    return matrix[::-1] if cartridge.swapped else matrix


def coil_gains(cartridge: Cartridge) -> np.ndarray:
    """Gain of left and right."""
    half = 10.0 ** (cartridge.balance_db / 40.0)
    return np.array([half, 1.0 / half])


def in_phase_leak(cartridge: Cartridge) -> float:
    """Symmetric in-phase leak as a ratio."""
    if cartridge.crosstalk_db is None:
        return 0.0
    return float((-1.0 if cartridge.crosstalk_inverted else 1.0) * 10.0 ** (cartridge.crosstalk_db / 20.0))


def quadrature_leak_at_1_khz(cartridge: Cartridge) -> float:
    """Symmetric leak 90° ahead as a ratio at 1 kHz; it rises in proportion to frequency."""
    level = cartridge.crosstalk_quadrature_db
    return 0.0 if level is None else float(10.0 ** (level / 20.0))


class Pickup:
    """The cartridge as a streaming stage; ``delay`` samples of look-ahead are taken out by the caller."""

    def __init__(self, spec: Spec, rate_hz: float, gain: float = 1.0) -> None:
        self.cartridge = spec.cartridge
        self.limits = (spec.cartridge.mistracking_left_db, spec.cartridge.mistracking_right_db)
        quadrature = quadrature_leak_at_1_khz(self.cartridge)
        self._straight_mix = gain * output_matrix(self.cartridge, 0.0).real
        self._leak_mix = gain * output_matrix(self.cartridge, 1000.0).imag if quadrature else None
        riaa = spec.phono.chain == "riaa"
        needs_fir = riaa or self.cartridge.electrical is not None or quadrature > 0.0
        self.delay = max(64, round(256 * rate_hz / 96_000.0)) if needs_fir else 0
        if not needs_fir:
            return
        frequency = np.arange(_DESIGN // 2 + 1) * rate_hz / _DESIGN
        target = np.abs(treble_response(self.cartridge, frequency))
        if riaa:
            digital = np.abs(section_response(matched_replay_section(rate_hz), frequency, rate_hz))
            target = target * replay_gain(frequency) / digital
        self._straight = fft.rfft(_windowed(target, self.delay), _TRANSFORM)
        self._leak = fft.rfft(_windowed(1j * frequency / 1000.0 * target, self.delay), _TRANSFORM)
        self._tail = np.zeros((2, 2 * self.delay))

    def process(self, walls: np.ndarray) -> np.ndarray:
        """Channel signals (2, n) in cm/s of equivalent wall velocity from wall velocities (2, n)."""
        for wall, limit in zip(walls, self.limits, strict=True):
            if limit is not None:
                _give_way(wall, REFERENCE_VELOCITY_CM_S * 10.0 ** (limit / 20.0))
        if self.delay == 0:
            return _mixed(self._straight_mix, walls)
        count, before = walls.shape[1], 2 * self.delay
        hop = _TRANSFORM - before
        parts = -(-count // hop)
        x = np.zeros((2, before + parts * hop))
        x[:, :before] = self._tail
        x[:, before : before + count] = walls
        self._tail = x[:, count : count + before].copy()
        windows = np.lib.stride_tricks.sliding_window_view(x, _TRANSFORM, axis=1)[:, ::hop]
        spectrum = fft.rfft(windows, axis=2)
        out = _mixed(self._straight_mix, spectrum)
        out *= self._straight
        if self._leak_mix is not None:
            out += _mixed(self._leak_mix, spectrum) * self._leak
        y = fft.irfft(out, _TRANSFORM, axis=2, overwrite_x=True)[:, :, before:]
        return np.asarray(y.reshape(2, -1)[:, :count])


def _mixed(matrix: np.ndarray, x: np.ndarray) -> np.ndarray:
    """``matrix`` (2, 2) on the first axis of ``x``; entries that are nothing cost nothing."""
    out = np.empty_like(x)
    for row, shares in zip(out, matrix, strict=True):
        if shares[0] and shares[1]:
            np.multiply(x[0], shares[0], out=row)
            row += x[1] * shares[1]
        else:
            np.multiply(x[1] if shares[1] else x[0], shares[1] if shares[1] else shares[0], out=row)
    return out


def _windowed(response: np.ndarray, half: int) -> np.ndarray:
    """Taps (2·half + 1) of the FIR with the given response (its delay is ``half``), Kaiser window."""
    impulse = fft.irfft(response)
    taps = np.concatenate([impulse[-half:], impulse[: half + 1]])
    return np.asarray(taps * np.kaiser(2 * half + 1, 7.0))


def _give_way(wall: np.ndarray, limit: float) -> None:
    """Beyond its limit the stylus follows the wall with a fifth of the slope (crude, but rich in odd harmonics)."""
    over = np.abs(wall) - limit
    beyond = over > 0.0
    wall[beyond] = np.sign(wall[beyond]) * (limit + 0.2 * over[beyond])
