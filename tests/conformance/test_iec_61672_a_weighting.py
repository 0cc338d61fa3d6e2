"""A-weighting against Table 3 of IEC 61672-1:2013, 34 nominal third octaves.

Source: the table, confirmed by look-up in two secondary sources that transcribe it; poles of the formula from memory.

Tolerance 0.05 dB: the table's own rounding.
"""

import numpy as np
import pytest
from scipy import signal as scipy_signal

from spindlewright.standards import iec_61672_1_2013 as standard


@pytest.mark.parametrize("row", standard.A_WEIGHTING_TABLE, ids=lambda row: f"{row.frequency_hz:g} Hz")
def test_formula_rounds_to_the_table(row: standard.CurvePoint) -> None:
    exact_hz = 10.0 ** (round(10.0 * np.log10(row.frequency_hz)) / 10.0)
    gain_db = 20.0 * np.log10(abs(complex(standard.a_weighting_response(exact_hz))))
    assert gain_db == pytest.approx(row.gain_db, abs=0.05)


def test_the_table_covers_every_third_octave() -> None:
    thirds = [round(10.0 * np.log10(row.frequency_hz)) for row in standard.A_WEIGHTING_TABLE]
    assert thirds == list(range(10, 44))


def test_size_of_the_formula_by_hand() -> None:
    """The closed form with squared frequencies that textbooks print, +2.00 dB."""
    f = np.geomspace(10.0, 20e3, 60)
    expected = 12194.217**2 * f**4
    expected /= (f**2 + 20.598997**2) * np.sqrt((f**2 + 107.65265**2) * (f**2 + 737.86223**2))
    expected /= f**2 + 12194.217**2
    difference = 20.0 * np.log10(np.abs(standard.a_weighting_response(f)) / expected)
    np.testing.assert_allclose(difference, 2.0, atol=0.0005)


def test_poles_and_gain_by_scipy() -> None:
    poles = [-2.0 * np.pi * pole for pole in standard.A_POLES_HZ]
    f = np.geomspace(10.0, 20e3, 30)
    _, expected = scipy_signal.freqs_zpk([0.0] * standard.A_ZEROS_AT_DC, poles, standard.A_GAIN, 2.0 * np.pi * f)
    np.testing.assert_allclose(standard.a_weighting_response(f), expected, rtol=1e-10)
