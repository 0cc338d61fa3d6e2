"""Linear-phase filters by the window method: a sinc under a Kaiser window.

Source: window method and Kaiser's formula for the window's shape, textbook (from memory; the tests hold both against
another library's).
"""

from __future__ import annotations

import numpy as np


def kaiser_beta(stop_band_db: float) -> float:
    """Shape of the Kaiser window whose filters stop by ``stop_band_db``, above 50 dB (Kaiser's formula).

    >>> round(kaiser_beta(56.0), 4)
    5.2125
    """
    if not stop_band_db > 50.0:
        raise ValueError(f"{stop_band_db} dB: this formula holds above 50 dB")
    return 0.1102 * (stop_band_db - 8.7)


def low_pass(taps: int, edge_hz: float, beta: float, rate_hz: float) -> np.ndarray:
    """Taps (float64) of a low-pass, -6 dB at ``edge_hz``, unity gain at 0 Hz."""
    kernel = _ideal(taps, edge_hz, rate_hz) * np.kaiser(taps, beta)
    return np.asarray(kernel / kernel.sum())


def band_pass(taps: int, low_hz: float, high_hz: float, beta: float, rate_hz: float) -> np.ndarray:
    """Taps (float64) of a band-pass, -6 dB at both edges, unity gain half-way between them."""
    kernel = (_ideal(taps, high_hz, rate_hz) - _ideal(taps, low_hz, rate_hz)) * np.kaiser(taps, beta)
    middle = np.cos(np.pi * (low_hz + high_hz) / rate_hz * _places(taps))
    return np.asarray(kernel / (kernel @ middle))


def _ideal(taps: int, edge_hz: float, rate_hz: float) -> np.ndarray:
    share = 2.0 * edge_hz / rate_hz
    return np.asarray(share * np.sinc(share * _places(taps)))


def _places(taps: int) -> np.ndarray:
    return np.arange(taps) - (taps - 1) / 2.0
