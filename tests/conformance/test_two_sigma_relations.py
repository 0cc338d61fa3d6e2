"""Two-sigma rule on known waveforms.

Source: ratios of the reference page 1.5 (derived); closed forms named below. The 5 % of the rule is from memory.
"""

import numpy as np
import pytest
from scipy import special

from spindlewright.signal.logarithmic_histogram import LogarithmicHistogram
from spindlewright.standards.iec_60386_1972 import TWO_SIGMA_EXCEEDED

TURNS = (np.arange(200_000) + 0.5) / 200_000


def two_sigma(values: np.ndarray) -> float:
    histogram = LogarithmicHistogram(1)
    assert TWO_SIGMA_EXCEEDED.value is not None
    for block in np.array_split(values, 7):
        histogram.add(block[None, :])
    return histogram.exceeded(0, TWO_SIGMA_EXCEEDED.value)


def test_rule_is_five_per_cent_from_memory() -> None:
    assert TWO_SIGMA_EXCEEDED.value == 0.05
    assert TWO_SIGMA_EXCEEDED.status == "memory"


def test_single_sine() -> None:
    """sin(0.95·pi/2) of the peak: the sine is above that for 5 % of a quarter turn."""
    sine = 0.0123 * np.sin(2.0 * np.pi * TURNS)
    assert two_sigma(sine) / 0.0123 == pytest.approx(np.sin(0.95 * np.pi / 2.0), rel=2e-4)
    assert two_sigma(sine) / 0.0123 == pytest.approx(0.99692, abs=2e-4)
    assert two_sigma(sine) / sine.std() == pytest.approx(1.40985, rel=2e-4)


def test_triangle() -> None:
    triangle = 0.2 * (4.0 * np.abs(TURNS - 0.5) - 1.0)
    assert two_sigma(triangle) / 0.2 == pytest.approx(0.9500, rel=5e-4)
    assert two_sigma(triangle) / triangle.std() == pytest.approx(1.64545, rel=5e-4)


def test_two_equal_unrelated_sines() -> None:
    """Table 0.9230 of the summed peak; independent phases on a full grid stand for unrelated frequencies."""
    a = np.sin(2.0 * np.pi * (np.arange(2000) + 0.5) / 2000)
    both = np.add.outer(a, a).ravel()
    assert two_sigma(both) / 2.0 == pytest.approx(0.9230, abs=5e-4)
    assert two_sigma(both) / both.std() == pytest.approx(1.8460, abs=1e-3)


def test_gaussian_noise() -> None:
    """Five per cent of a normal distribution lie beyond 1.95996 sigma; two sigma are passed 4.55 % of the time."""
    gaussian = special.ndtri(TURNS)
    assert two_sigma(gaussian) == pytest.approx(1.95996, rel=5e-4)
    assert np.mean(np.abs(gaussian) > 2.0) == pytest.approx(0.0455, abs=1e-4)


def test_square() -> None:
    square = np.where(TURNS < 0.5, 0.3, -0.3)
    assert two_sigma(square) == pytest.approx(0.3, rel=2e-3)  # within one bin of 0.2 %
