"""Plain scipy and numpy ways to listen to a rendered side; nothing here comes from the program."""

from __future__ import annotations

import numpy as np
from scipy import fft, signal


def stretch(side, band, trim_s: float = 0.5) -> np.ndarray:
    """Samples (n, 2) of a band of the truth, its ends left out, as float64."""
    a, b = round((band.start_s + trim_s) * side.rate_hz), round((band.end_s - trim_s) * side.rate_hz)
    return side.samples[a:b].astype(float)


def lock_in(x: np.ndarray, frequency_hz: float, rate_hz: float) -> np.ndarray:
    """Complex amplitude (peak, phase of the cosine) of a line in each column, by a windowed Fourier sum."""
    window = signal.windows.blackmanharris(len(x), sym=False)
    turn = np.exp(-2j * np.pi * frequency_hz * np.arange(len(x)) / rate_hz)
    return 2.0 * (window * turn) @ x / window.sum()


def decibels(ratio) -> np.ndarray:
    return 20.0 * np.log10(np.abs(ratio))


def analytic_phase(x: np.ndarray) -> np.ndarray:
    """Unwrapped phase of the analytic signal (Hilbert) in rad."""
    return np.unwrap(np.angle(signal.hilbert(x, fft.next_fast_len(x.size))[: x.size]))


def line_of(values: np.ndarray, frequency_hz: float, rate_hz: float) -> complex:
    """Complex amplitude of one line in a series by least squares beside mean, slope, half and double rate."""
    t = np.arange(values.size) / rate_hz
    w = 2.0 * np.pi * frequency_hz * t
    columns = [np.ones_like(t), t] + [f(k * w) for k in (1.0, 0.5, 2.0) for f in (np.cos, np.sin)]
    fit = np.linalg.lstsq(np.stack(columns, axis=1), values, rcond=None)[0]
    return complex(fit[2], -fit[3])
