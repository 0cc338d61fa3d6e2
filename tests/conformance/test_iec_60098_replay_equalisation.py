"""Replay equalisation against the reference page 4.

Source: RIAA / IEC 60098 with and without the 7950 µs amendment; time constants confirmed by look-up in secondary
sources, the table derived there by another program and typed here.
"""

import numpy as np
import pytest
from scipy import signal as scipy_signal

from spindlewright.standards.iec_60098_2020 import riaa_replay_db, riaa_replay_response

WITH_AMENDMENT = [  # Hz, RIAA dB, with 7950 µs dB
    (2, 19.904, -0.147),
    (4, 19.884, 5.726),
    (8, 19.802, 11.192),
    (10, 19.743, 12.746),
    (16, 19.493, 15.401),
    (20, 19.274, 16.260),
    (25, 18.954, 16.802),
    (30, 18.593, 16.993),
    (31.5, 18.478, 17.005),
    (40, 17.792, 16.821),
    (50, 16.946, 16.300),
    (63, 15.852, 15.434),
    (70, 15.283, 14.942),
    (80, 14.506, 14.242),
    (90, 13.774, 13.564),
    (100, 13.088, 12.918),
    (125, 11.563, 11.453),
    (150, 10.271, 10.194),
    (160, 9.809, 9.742),
    (200, 8.219, 8.176),
    (250, 6.677, 6.649),
    (300, 5.484, 5.465),
    (315, 5.179, 5.161),
    (400, 3.784, 3.773),
    (500, 2.648, 2.641),
    (630, 1.642, 1.637),
    (700, 1.234, 1.230),
    (800, 0.751, 0.749),
    (900, 0.349, 0.347),
    (1000, 0.0, -0.002),
]
ABOVE_1_KHZ = [
    (1250, -0.744),
    (1600, -1.643),
    (2000, -2.589),
    (2500, -3.700),
    (3000, -4.740),
    (3150, -5.038),
    (4000, -6.605),
    (5000, -8.210),
    (6300, -9.980),
    (8000, -11.894),
    (10000, -13.734),
    (12500, -15.609),
    (16000, -17.708),
    (20000, -19.620),
    (50000, -27.541),
]


@pytest.mark.parametrize(("frequency_hz", "plain_db", "amended_db"), WITH_AMENDMENT)
def test_table_with_and_without_the_amendment(frequency_hz: float, plain_db: float, amended_db: float) -> None:
    assert float(riaa_replay_db(frequency_hz)) == pytest.approx(plain_db, abs=0.00051)
    assert float(riaa_replay_db(frequency_hz, amendment=True)) == pytest.approx(amended_db, abs=0.00051)


@pytest.mark.parametrize(("frequency_hz", "plain_db"), ABOVE_1_KHZ)
def test_table_above_1_khz(frequency_hz: float, plain_db: float) -> None:
    assert float(riaa_replay_db(frequency_hz)) == pytest.approx(plain_db, abs=0.00051)


def test_gain_at_dc_re_1_khz() -> None:
    assert float(riaa_replay_db(1e-6)) == pytest.approx(19.911, abs=0.0005)


def test_size_and_phase_by_scipy() -> None:
    frequency_hz = np.geomspace(5.0, 40e3, 50)
    top, bottom = [318e-6, 1.0], np.polymul([3180e-6, 1.0], [75e-6, 1.0])
    _, expected = scipy_signal.freqs(top, bottom, 2.0 * np.pi * frequency_hz)
    _, at_1_khz = scipy_signal.freqs(top, bottom, [2.0 * np.pi * 1000.0])
    np.testing.assert_allclose(riaa_replay_response(frequency_hz), expected / abs(at_1_khz[0]), rtol=1e-12)


def test_hum_is_raised_as_stated() -> None:
    """Reference page 19: 50 Hz 16.95 dB, 100 Hz 13.09 dB, 150 Hz 10.27 dB over 1 kHz."""
    np.testing.assert_allclose(riaa_replay_db([50.0, 100.0, 150.0]), [16.95, 13.09, 10.27], atol=0.0051)
