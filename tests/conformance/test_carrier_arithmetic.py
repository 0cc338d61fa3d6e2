"""A tone with sinusoidal flutter: peak shift, modulation index and first sideband, through the mixing filter.

Source: reference page 1.6 (derived); closed form: Bessel functions of the modulation index.
"""

import numpy as np
import pytest
from scipy import special

from spindlewright.signal.decimating_filter import carrier_filter

RATE_HZ, TONE_HZ = 96000.0, 3150.0
ROWS = [  # deviation %, rate Hz, peak shift Hz, modulation index, first sideband re carrier dB
    (0.1, 4.0, 3.150, 0.7875, -7.38),
    (0.1, 50.0, 3.150, 0.0630, -30.03),
    (0.05, 50.0, 1.575, 0.0315, -36.05),
    (0.01, 100.0, 0.315, 0.00315, -56.05),  # the page prints -56.0; -56.054 by the Bessel functions
]


def baseband(deviation_percent: float, modulation_hz: float, seconds: float = 4.0) -> tuple[np.ndarray, float]:
    """Complex baseband (n,) of a modulated tone of peak 0.5, warm-up cut off, and its rate."""
    t = np.arange(int(seconds * RATE_HZ)) / RATE_HZ
    index = deviation_percent / 100.0 * TONE_HZ / modulation_hz
    tone = 0.5 * np.cos(2.0 * np.pi * TONE_HZ * t + index * np.sin(2.0 * np.pi * modulation_hz * t))
    made = carrier_filter(RATE_HZ, TONE_HZ)
    cut = len(tone) // made.decimation * made.decimation
    rows = made.feed(np.stack([tone, tone])[:, :cut].astype(np.float32))
    return rows[made.warm_up :, 0], made.output_rate_hz


def line(rows: np.ndarray, rate_hz: float, at_hz: float) -> float:
    """Size of one line by a Hann-windowed projection."""
    n = np.arange(len(rows))
    window = np.hanning(len(rows))
    return float(abs(np.sum(rows * window * np.exp(-2j * np.pi * at_hz * n / rate_hz))) / window.sum())


@pytest.mark.parametrize(("deviation_percent", "modulation_hz", "shift_hz", "index", "sideband_db"), ROWS)
def test_table(
    deviation_percent: float, modulation_hz: float, shift_hz: float, index: float, sideband_db: float
) -> None:
    assert deviation_percent / 100.0 * TONE_HZ == pytest.approx(shift_hz, abs=5e-5)
    assert shift_hz / modulation_hz == pytest.approx(index, rel=1e-4)
    rows, rate_hz = baseband(deviation_percent, modulation_hz)
    carrier, upper, lower = (line(rows, rate_hz, at) for at in (0.0, modulation_hz, -modulation_hz))
    expected_db = 20.0 * np.log10(special.j1(index) / special.j0(index))
    assert sideband_db == pytest.approx(expected_db, abs=0.051)
    for sideband in (upper, lower):
        assert 20.0 * np.log10(sideband / carrier) == pytest.approx(expected_db, abs=0.02)


def test_first_row_against_the_unmodulated_carrier() -> None:
    """-8.78 dB re the unmodulated carrier (J1), -8.10 dB by the rule of thumb index/2."""
    rows, rate_hz = baseband(0.1, 4.0)
    assert 20.0 * np.log10(line(rows, rate_hz, 4.0) / 0.5) == pytest.approx(-8.78, abs=0.01)
    assert 20.0 * np.log10(0.7875 / 2.0) == pytest.approx(-8.10, abs=0.005)


def test_peak_shift_of_once_per_turn_wow() -> None:
    """±0.1 % at 0.5556 Hz on 3150 Hz shifts the tone by 3.150 Hz (modulation index 5.670)."""
    rows, rate_hz = baseband(0.1, 100.0 / 180.0, seconds=6.0)
    shift_hz = np.diff(np.unwrap(np.angle(rows))) * rate_hz / (2.0 * np.pi)
    assert np.abs(shift_hz).max() == pytest.approx(3.150, rel=1e-3)
    assert pytest.approx(5.670, abs=5e-4) == 3.150 / (100.0 / 180.0)


def test_deviation_of_200_hz_passes() -> None:
    """Reference page: the demodulator must be at least ±200 Hz wide for the 200 Hz point of the weighting table."""
    rows, rate_hz = baseband(0.1, 200.0)
    swing = np.unwrap(np.angle(rows)) - np.angle(rows[0])
    assert line(swing, rate_hz, 200.0) * 2.0 == pytest.approx(0.001 * TONE_HZ / 200.0, rel=0.003)
