"""A-weighting of sound and noise levels.

Source: IEC 61672-1:2013. The weightings of Table 3 are confirmed by look-up in two secondary sources (public
copies of the table that agree in every row). The poles of the formula (Annex E) are from memory; the formula
rounds to the table in every row (tests/conformance).
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from spindlewright.standards.curve_point import CurvePoint
from spindlewright.standards.provenance import Clause

SOURCE = "IEC 61672-1:2013, A-weighting (Table 3 confirmed by look-up in secondary sources)"

CLAUSES = (
    Clause("Annex E", "A-weighting, analytic", True, "a_weighting_response (poles from memory, agree with Table 3)"),
    Clause("Table 3", "A-weighting, rounded to 0.1 dB", True, "A_WEIGHTING_TABLE (confirmed, secondary)"),
    Clause("Table 3", "C and Z weighting", False, "not needed"),
    Clause("Table 3", "acceptance limits", False, "made for sound level meters, not used here"),
)

A_POLES_HZ: tuple[float, ...] = (20.598997, 20.598997, 107.65265, 737.86223, 12194.217, 12194.217)
"""Real poles in Hz (the outer two double); four zeros at 0 Hz. Memory."""
A_ZEROS_AT_DC = 4
REFERENCE_HZ = 1000.0


def _unnormalised(s: npt.NDArray[np.complex128]) -> npt.NDArray[np.complex128]:
    response = s**A_ZEROS_AT_DC
    for pole in A_POLES_HZ:
        response = response / (s + 2.0 * math.pi * pole)
    return np.asarray(response, dtype=np.complex128)


def a_weighting_response(frequency_hz: npt.ArrayLike) -> npt.NDArray[np.complex128]:
    """Complex gain of the A-weighting, size 1 at 1 kHz; any shape, [Hz] in, ratio out. Range: 0 Hz up.

    >>> round(20 * math.log10(abs(complex(a_weighting_response(100.0)))), 2)
    -19.14
    """
    s = np.asarray(2j * math.pi * np.asarray(frequency_hz, dtype=np.float64))
    return np.asarray(_unnormalised(s) * A_GAIN, dtype=np.complex128)


A_GAIN = float(1.0 / np.abs(_unnormalised(np.asarray(2j * math.pi * REFERENCE_HZ))))
"""Gain of H(s) = gain · s⁴ / Π(s + 2π·pole), s in rad/s, that makes 1 kHz 0 dB exactly."""


A_WEIGHTING_TABLE: tuple[CurvePoint, ...] = tuple(
    CurvePoint(frequency_hz, gain_db, "confirmed")
    for frequency_hz, gain_db in (
        (10.0, -70.4),
        (12.5, -63.4),
        (16.0, -56.7),
        (20.0, -50.5),
        (25.0, -44.7),
        (31.5, -39.4),
        (40.0, -34.6),
        (50.0, -30.2),
        (63.0, -26.2),
        (80.0, -22.5),
        (100.0, -19.1),
        (125.0, -16.1),
        (160.0, -13.4),
        (200.0, -10.9),
        (250.0, -8.6),
        (315.0, -6.6),
        (400.0, -4.8),
        (500.0, -3.2),
        (630.0, -1.9),
        (800.0, -0.8),
        (1000.0, 0.0),
        (1250.0, 0.6),
        (1600.0, 1.0),
        (2000.0, 1.2),
        (2500.0, 1.3),
        (3150.0, 1.2),
        (4000.0, 1.0),
        (5000.0, 0.5),
        (6300.0, -0.1),
        (8000.0, -1.1),
        (10000.0, -2.5),
        (12500.0, -4.3),
        (16000.0, -6.6),
        (20000.0, -9.3),
    )
)
"""In dB re 1 kHz, rounded to 0.1 dB; read at the exact frequencies 10^(n/10) Hz that the nominal ones stand for."""
