"""Flutter weighting against the table of IEC 60386:1972 / AES6-2008.

Source: the 17 points as recalled in the reference page 1.2 (memory, not confirmed by look-up); analytic points of 1.3
(derived there by another program). Tolerance ±0.5 dB: own choice of the reference page, not the standard's.
"""

import numpy as np
import pytest
from scipy import signal as scipy_signal

from spindlewright.signal.flutter_filters import FlutterFilters
from spindlewright.standards import iec_60386_1972 as standard

TABLE = [  # modulation frequency Hz, gain dB re 4 Hz: typed here from the reference page, not read from the module
    (0.1, -48.0),
    (0.2, -30.6),
    (0.315, -19.7),
    (0.4, -15.0),
    (0.63, -8.4),
    (0.8, -6.0),
    (1.0, -4.2),
    (1.6, -1.8),
    (2.0, -0.9),
    (4.0, 0.0),
    (6.3, -0.9),
    (10.0, -2.1),
    (20.0, -5.9),
    (40.0, -10.4),
    (63.0, -14.2),
    (100.0, -17.3),
    (200.0, -23.0),
]
HANDY = [  # Hz, dB: reference page 1.3
    (0.5555556, -10.05),
    (0.75, -6.60),
    (1.1111, -3.46),
    (1.3043, -2.51),
    (5.0, -0.20),
    (8.0, -1.34),
    (50.0, -12.24),
]


def weighting_db(frequency_hz: float) -> float:
    return 20.0 * np.log10(abs(complex(standard.weighting_response(frequency_hz))))


def test_the_table_in_the_module_is_the_recalled_one() -> None:
    assert [(row.frequency_hz, row.gain_db) for row in standard.WEIGHTING_TABLE] == TABLE
    assert {row.status for row in standard.WEIGHTING_TABLE} == {"memory"}


@pytest.mark.parametrize(("frequency_hz", "gain_db"), TABLE)
def test_response_keeps_to_the_table(frequency_hz: float, gain_db: float) -> None:
    assert weighting_db(frequency_hz) == pytest.approx(gain_db, abs=0.5)


def test_worst_departure_is_the_stated_one() -> None:
    worst = max(abs(weighting_db(frequency_hz) - gain_db) for frequency_hz, gain_db in TABLE)
    assert worst == pytest.approx(0.27, abs=0.005)


def test_reference_is_4_hz() -> None:
    assert weighting_db(4.0) == pytest.approx(0.0, abs=0.001)


@pytest.mark.parametrize(("frequency_hz", "gain_db"), HANDY)
def test_handy_points(frequency_hz: float, gain_db: float) -> None:
    assert weighting_db(frequency_hz) == pytest.approx(gain_db, abs=0.0051)


def test_maximum_lies_just_below_4_hz() -> None:
    frequency_hz = np.linspace(3.0, 5.0, 20001)
    gain_db = 20.0 * np.log10(np.abs(standard.weighting_response(frequency_hz)))
    assert gain_db.max() == pytest.approx(0.020, abs=0.0005)
    assert frequency_hz[gain_db.argmax()] == pytest.approx(3.632, abs=0.002)


def test_poles_zeros_and_gain_give_the_same_response_by_another_program() -> None:
    """scipy's analogue response of the numbers printed in rad/s in the reference page 1.3."""
    zeros = [0.0, 0.0, 0.0, -200.891]
    poles = [-2.265105 + 1.642232j, -2.265105 - 1.642232j, -8.975700, -54.418027, -275.636717]
    frequency_hz = np.geomspace(0.05, 400.0, 200)
    _, expected = scipy_signal.freqs_zpk(zeros, poles, 87.356616, 2.0 * np.pi * frequency_hz)
    np.testing.assert_allclose(standard.weighting_response(frequency_hz), expected, rtol=2e-6)


def test_about_six_decibels_an_octave_each_side() -> None:
    """Shape in words of AES6 (confirmed): some 6 dB/octave each side of 4 Hz, steeper below 0.5 Hz."""
    assert weighting_db(200.0) - weighting_db(100.0) == pytest.approx(-6.0, abs=0.5)
    assert weighting_db(0.2) - weighting_db(0.1) > 15.0


@pytest.mark.parametrize("frequency_hz", [0.2, 0.315, 0.63, 1.0, 2.0, 4.0, 10.0, 40.0, 100.0, 200.0])
def test_the_filter_of_the_readings_keeps_to_the_table(frequency_hz: float) -> None:
    """A tone's phase with sine modulation through the real streaming filter; both settled, sizes by projection."""
    rate_hz = 2000.0
    seconds = max(12.0, 8.0 / frequency_hz)
    t = np.arange(2 * int(seconds * rate_hz / 2)) / rate_hz
    deviation = 1e-3  # peak of the frequency deviation in rad/s
    phase = -deviation / (2.0 * np.pi * frequency_hz) * np.cos(2.0 * np.pi * frequency_hz * t)
    filters = FlutterFilters(rate_hz, 6.0)
    weighted = filters.feed(phase, np.zeros_like(phase))[0][0]
    at = np.arange(len(weighted)) / filters.rate_hz
    keep = slice(round(len(at) / 2), None)
    basis = np.exp(2j * np.pi * frequency_hz * at[keep])
    design = np.column_stack([basis.real, basis.imag])
    cosine, sine = np.linalg.lstsq(design, weighted[keep], rcond=None)[0]
    gain_db = 20.0 * np.log10(np.hypot(cosine, sine) / deviation)
    assert gain_db == pytest.approx(dict(TABLE)[frequency_hz], abs=0.5)
    assert gain_db == pytest.approx(weighting_db(frequency_hz), abs=0.06)
