"""Once-per-turn wow of a disc off centre under a pivoted arm.

Source: reference page 14 (derived): peak e/(r·cos φ); e/r for an arm that moves on a straight line. Witness: the
crossing of the arm's circle with the off-centre groove, solved here by itself.
"""

import numpy as np
import pytest

from spindlewright.simulate.arm_geometry import stylus_angle, tangent_angle_rad
from spindlewright.simulate.spec import Arm
from spindlewright.standards.iec_60386_1972 import weighting_response

SIMPLE = [  # e mm, then % peak at r = 60.325, 66, 100, 120.9, 146.05
    (0.05, (0.0829, 0.0758, 0.0500, 0.0414, 0.0342)),
    (0.0635, (0.1053, 0.0962, 0.0635, 0.0525, 0.0435)),
    (0.1, (0.1658, 0.1515, 0.1000, 0.0827, 0.0685)),
    (0.2, (0.3315, 0.3030, 0.2000, 0.1654, 0.1369)),
    (0.5, (0.8288, 0.7576, 0.5000, 0.4136, 0.3423)),
    (1.0, (1.6577, 1.5152, 1.0000, 0.8271, 0.6847)),
]
RADII_MM = (60.325, 66.0, 100.0, 120.9, 146.05)
LENGTH_MM, PIVOT_MM = 230.0, 211.9467  # reference page 7.3


def arm() -> Arm:
    return Arm(effective_length_mm=LENGTH_MM, pivot_to_spindle_mm=PIVOT_MM)


def crossing_angle(radius_mm: float, eccentricity_mm: float, turned_rad: np.ndarray) -> np.ndarray:
    """Angle of the stylus about the groove's centre: Newton's iterations on |pivot - stylus| = arm length."""
    centre = eccentricity_mm * np.exp(1j * turned_rad)
    angle = np.full(
        turned_rad.shape, np.arccos((radius_mm**2 + PIVOT_MM**2 - LENGTH_MM**2) / (2 * radius_mm * PIVOT_MM))
    )
    for _ in range(30):
        stylus = centre + radius_mm * np.exp(1j * angle)
        away = stylus - PIVOT_MM
        slope = np.real(np.conj(away) * 1j * radius_mm * np.exp(1j * angle)) / np.abs(away)
        angle = angle - (np.abs(away) - LENGTH_MM) / slope
    return angle


def first_harmonics(values: np.ndarray) -> np.ndarray:
    """Peak of the lines at one and two per turn of a whole turn's samples."""
    spectrum = np.fft.rfft(values) / len(values)
    return 2.0 * np.abs(spectrum[1:3])


def deviation_percent(angle: np.ndarray) -> np.ndarray:
    """Speed deviation over one turn from the stylus' angle: rate of (turned - angle) less one."""
    spectrum = np.fft.fft(angle - angle.mean())
    order = np.fft.fftfreq(len(angle), 1.0 / len(angle))
    return -100.0 * np.fft.ifft(1j * order * spectrum).real


TURN = 2.0 * np.pi * np.arange(720) / 720


@pytest.mark.parametrize(("eccentricity_mm", "row"), SIMPLE)
def test_table_of_e_over_r(eccentricity_mm: float, row: tuple[float, ...]) -> None:
    """A straight-line arm through the simulator; the exact wave peaks at arcsin's slope, equal to 5 digits."""
    straight = Arm(tracking="tangential")
    for radius_mm, percent in zip(RADII_MM, row, strict=True):
        angle = stylus_angle(straight, np.full(720, radius_mm), eccentricity_mm * np.exp(1j * TURN))
        assert first_harmonics(deviation_percent(angle))[0] == pytest.approx(percent, abs=5.1e-5 + 2e-5 * percent)


@pytest.mark.parametrize("radius_mm", RADII_MM)
def test_pivoted_arm_adds_one_over_cosine(radius_mm: float) -> None:
    exact = deviation_percent(crossing_angle(radius_mm, 0.2, TURN))
    peak, second = first_harmonics(exact)
    phi = np.arcsin((radius_mm**2 + LENGTH_MM**2 - PIVOT_MM**2) / (2 * radius_mm * LENGTH_MM))
    assert peak == pytest.approx(100.0 * 0.2 / (radius_mm * np.cos(phi)), rel=1e-5)
    assert second < 0.0005


@pytest.mark.parametrize("radius_mm", RADII_MM)
def test_the_simulator_agrees_with_the_crossing(radius_mm: float) -> None:
    angle = stylus_angle(arm(), np.full(720, radius_mm), 0.2 * np.exp(1j * TURN))
    np.testing.assert_allclose(angle, crossing_angle(radius_mm, 0.2, TURN), atol=1e-12)


@pytest.mark.parametrize(("radius_mm", "excess_percent"), [(60.325, 10.1), (100.0, 8.6), (146.05, 11.1)])
def test_excess_over_the_simple_rule(radius_mm: float, excess_percent: float) -> None:
    assert 100.0 * (1.0 / np.cos(tangent_angle_rad(arm(), radius_mm)) - 1.0) == pytest.approx(excess_percent, abs=0.05)


def test_worked_numbers_at_the_inner_groove() -> None:
    """0.2 mm at 60.325 mm, straight and pivoted: peak, weighted and two-sigma figures as the page prints them."""
    weight = abs(complex(weighting_response(100.0 / 180.0)))
    pivoted = 20.0 / (60.325 * np.cos(tangent_angle_rad(arm(), 60.325)))
    for peak, printed, weighted, two_sigma in (
        (20 / 60.325, 0.3315, 0.1042, 0.1039),
        (pivoted, 0.3651, 0.1148, 0.1144),
    ):
        assert peak == pytest.approx(printed, abs=5.1e-5)
        assert peak * weight == pytest.approx(weighted, abs=5.1e-5)
        assert peak * weight * np.sin(0.95 * np.pi / 2) == pytest.approx(two_sigma, abs=5.1e-5)
