"""The replay curve, as a formula and as a digital filter that follows it to the upper band edge.

RIAA/IEC time constants 3180, 318 and 75 µs (published-values 4, confirmed). The digital filter is the matched
first-order sections; what they lack near half the sample rate is made up by the FIR stage of the cartridge.
"""

from __future__ import annotations

import numpy as np

from spindlewright.standards.iec_60098_2020 import T1_S, T2_S, T3_S, riaa_replay_response

BASS_S, TURNOVER_S, TREBLE_S = (float(constant.value or 0.0) for constant in (T1_S, T2_S, T3_S))


def replay_gain(frequency_hz: np.ndarray | float) -> np.ndarray:
    """Magnitude of the replay response, 1 at 1 kHz; the recording curve is its inverse."""
    return np.asarray(np.abs(riaa_replay_response(frequency_hz)))


def subsonic_response(frequency_hz: np.ndarray, corner_hz: float | None) -> np.ndarray:
    """First-order high-pass of the replay amendment; one when there is none."""
    f = np.asarray(frequency_hz, float)
    return np.ones(f.shape) if corner_hz is None else 1j * f / (corner_hz + 1j * f)


def matched_replay_section(rate_hz: float) -> np.ndarray:
    """Second-order section (1, 6) with the curve's poles and zero matched, magnitude 1 at 1 kHz."""
    bass, turnover, treble = (np.exp(-1.0 / (rate_hz * t)) for t in (BASS_S, TURNOVER_S, TREBLE_S))
    section = np.array([[1.0, -turnover, 0.0, 1.0, -bass - treble, bass * treble]])
    section[0, :3] /= abs(section_response(section, np.array([1000.0]), rate_hz)[0])
    return section


def matched_recording_section(rate_hz: float) -> np.ndarray:
    """The inverse of :func:`matched_replay_section`: what a cutting head adds to a flat signal."""
    b0, b1, b2, a0, a1, a2 = matched_replay_section(rate_hz)[0]
    return np.asarray(np.array([[a0, a1, a2, b0, b1, b2]]) / b0)


def section_response(sections: np.ndarray, frequency_hz: np.ndarray, rate_hz: float) -> np.ndarray:
    """Complex response of second-order sections at given frequencies."""
    z = np.exp(-2j * np.pi * frequency_hz / rate_hz)
    out = np.ones(z.shape, complex)
    for b0, b1, b2, a0, a1, a2 in sections:
        out *= (b0 + b1 * z + b2 * z * z) / (a0 + a1 * z + a2 * z * z)
    return out


def high_pass_section(corner_hz: float, rate_hz: float) -> np.ndarray:
    """First-order high-pass as a section (1, 6), bilinear with the corner in its place."""
    k = np.tan(np.pi * corner_hz / rate_hz)
    return np.asarray(np.array([[1.0, -1.0, 0.0, 1.0 + k, k - 1.0, 0.0]]) / (1.0 + k))
