"""What the spiral takes off the speed heard under a pivoted arm."""

import math

import numpy as np
import pytest

from spindlewright.readings.speed import SPIRAL_PERCENT

LENGTH_MM, PIVOT_MM = 230.0, 211.95


def _angle_of_stylus(radius_mm: float) -> float:
    """Angle at the spindle between pivot and stylus: law of cosines in the triangle spindle, pivot, stylus."""
    return math.acos((radius_mm**2 + PIVOT_MM**2 - LENGTH_MM**2) / (2.0 * radius_mm * PIVOT_MM))


@pytest.mark.parametrize("radius_mm", [60.0, 100.0, 146.0])
def test_the_arc_takes_tan_phi_times_pitch_off(radius_mm: float) -> None:
    """Exact geometry: per turn inwards by one pitch the stylus goes round by pitch·tan(phi)/radius."""
    pitch_mm = 1e-3
    turned = _angle_of_stylus(radius_mm) - _angle_of_stylus(radius_mm - pitch_mm)
    phi = math.asin((radius_mm**2 + LENGTH_MM**2 - PIVOT_MM**2) / (2.0 * radius_mm * LENGTH_MM))
    assert abs(turned) == pytest.approx(pitch_mm * math.tan(phi) / radius_mm, rel=1e-4)


def test_the_allowance_is_that_of_a_usual_test_band() -> None:
    """0.15 mm a turn at 100 mm radius: 0.010 % of the speed."""
    phi = math.asin((100.0**2 + LENGTH_MM**2 - PIVOT_MM**2) / (2.0 * 100.0 * LENGTH_MM))
    percent = 100.0 * 0.15 * math.tan(phi) / (2.0 * np.pi * 100.0)
    assert percent == pytest.approx(SPIRAL_PERCENT, rel=0.05)
