"""The two rumble curves against what is known of DIN 45539.

Source: reference page 3; the straight-line table there is derived from a slope given from memory, and the curves are
the contract page's working model. No published table was seen, so nothing here claims to meet the standard's.
"""

import numpy as np
import pytest
from scipy import signal as scipy_signal

from spindlewright.standards import din_45539_1971 as standard
from spindlewright.standards.iec_60098_2020 import riaa_replay_db

STRAIGHT_LINES = [  # Hz, dB: 12 dB/octave both sides of 315 Hz, as the page prints them
    (20, -47.9),
    (31.5, -40.0),
    (40, -35.9),
    (50, -32.0),
    (63, -28.0),
    (80, -23.8),
    (100, -19.9),
    (125, -16.1),
    (160, -11.8),
    (200, -7.9),
    (250, -4.0),
    (315, 0.0),
    (400, -4.2),
    (500, -8.0),
    (630, -12.0),
    (800, -16.2),
    (1000, -20.1),
]


def db(response: np.ndarray) -> np.ndarray:
    return 20.0 * np.log10(np.abs(response))


@pytest.mark.parametrize(("frequency_hz", "line_db"), STRAIGHT_LINES)
def test_weighted_curve_hugs_the_straight_lines(frequency_hz: float, line_db: float) -> None:
    """The rounded peak, 1/(1 + (x - 1/x)²), lies above the lines by at most 2.5 dB, and by under 0.4 dB far off."""
    assert -abs(40.0 * np.log10(frequency_hz / 315.0)) == pytest.approx(line_db, abs=0.07)
    above = float(db(standard.weighted_response(frequency_hz))) - line_db
    assert -0.07 <= above <= 2.51
    if abs(np.log2(frequency_hz / 315.0)) >= 2.3:
        assert above <= 0.4


def test_weighted_curve_closed_form_by_scipy() -> None:
    frequency_hz = np.geomspace(5.0, 5000.0, 60)
    w0 = 2.0 * np.pi * 315.0
    _, once = scipy_signal.freqs([w0, 0.0], [1.0, w0, w0**2], 2.0 * np.pi * frequency_hz)
    np.testing.assert_allclose(standard.weighted_response(frequency_hz), once**2, rtol=1e-10)
    assert abs(complex(standard.weighted_response(315.0))) == pytest.approx(1.0, rel=1e-12)


def test_unweighted_curve_is_the_butterworth_pair_by_scipy() -> None:
    frequency_hz = np.geomspace(1.0, 5000.0, 60)
    w = 2.0 * np.pi * frequency_hz
    high = scipy_signal.butter(2, 2.0 * np.pi * 10.0, "highpass", analog=True)
    low = scipy_signal.butter(4, 2.0 * np.pi * 500.0, "lowpass", analog=True)
    expected = scipy_signal.freqs(*high, w)[1] * scipy_signal.freqs(*low, w)[1]
    np.testing.assert_allclose(standard.unweighted_response(frequency_hz), expected, rtol=1e-9)


def test_315_hz_is_flat_in_the_unweighted_curve() -> None:
    """Why the calibration tone is 315 Hz (confirmed): peak of the weighted, flat part of the unweighted curve."""
    assert float(db(standard.unweighted_response(315.0))) == pytest.approx(0.0, abs=0.15)


@pytest.mark.parametrize("edge_hz", [10.0, 500.0])
def test_edges_of_the_unweighted_curve(edge_hz: float) -> None:
    assert float(db(standard.unweighted_response(edge_hz))) == pytest.approx(-3.0103, abs=0.001)


def test_calibration_tone_and_reference_differ_by_the_known_slip() -> None:
    """Printed 5.42 cm/s (5.32 dB); the replay curve gives 5.179 dB, 5.509 cm/s: 0.14 dB apart (reference page 21)."""
    computed = 10.0 * 10.0 ** (-float(riaa_replay_db(315.0)) / 20.0)
    assert computed == pytest.approx(5.509, abs=0.0005)
    printed = standard.CALIBRATION_VELOCITY_CM_S.value
    assert printed is not None
    assert 20.0 * np.log10(printed / 10.0) == pytest.approx(-5.32, abs=0.005)
    assert 20.0 * np.log10(computed / printed) == pytest.approx(0.14, abs=0.005)


def test_nab_reference_through_the_replay_curve() -> None:
    """1.4 cm/s peak at 100 Hz (memory) equals 6.32 cm/s at 1 kHz (derived)."""
    assert 1.4 * 10.0 ** (float(riaa_replay_db(100.0)) / 20.0) == pytest.approx(6.32, abs=0.005)
