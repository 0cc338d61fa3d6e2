"""95 % interval of a sum of errors.

Source: JCGM 101:2008 (clause numbers from memory), GUM worked example of the reference page 18 (derived there).
Witnesses: closed forms; scipy's distributions convolved on a grid; random draws.
"""

import itertools
import math

import numpy as np
import pytest
from scipy import signal as scipy_signal
from scipy import stats

from spindlewright.standards.jcgm_101_2008 import (
    Contribution,
    coverage_half_width,
    mean_of_repeats,
    rectangular,
)

KINDS = ("normal", "rectangular", "triangular", "arcsine")


def scipy_distribution(part: Contribution) -> stats.rv_continuous:
    u = part.standard_uncertainty
    if part.degrees_of_freedom is not None:
        return stats.t(part.degrees_of_freedom, scale=u)
    if part.distribution == "normal":
        return stats.norm(scale=u)
    edge = u * {"rectangular": 3.0, "triangular": 6.0, "arcsine": 2.0}[part.distribution] ** 0.5
    if part.distribution == "triangular":
        return stats.triang(0.5, -edge, 2.0 * edge)
    family = stats.uniform if part.distribution == "rectangular" else stats.arcsine
    return family(-edge, 2.0 * edge)


def by_convolution(parts: list[Contribution], probability: float = 0.95) -> float:
    """Half-width from the parts' cell probabilities, convolved; cells of 1e-4 (heavy tails: 1e-3) of the total."""
    total = math.sqrt(sum(part.standard_uncertainty**2 for part in parts))
    heavy = any(part.degrees_of_freedom is not None for part in parts)
    cells, step = (200_000, 2e-3 * total) if heavy else (80_000, 1.5e-4 * total)
    edges = (np.arange(-cells, cells + 2) - 0.5) * step
    density = np.ones(1)
    for part in parts:
        density = scipy_signal.fftconvolve(density, np.diff(scipy_distribution(part).cdf(edges)))
        extra = (len(density) - 2 * cells - 1) // 2
        density = density[extra : len(density) - extra] if extra > 0 else density
    inside = density[cells] / 2.0 + np.cumsum(density[cells:]) - density[cells]
    return float(np.interp(probability / 2.0, inside, (np.arange(cells + 1) + 0.5) * step))


@pytest.mark.parametrize(
    ("kind", "expected"),
    [
        ("normal", 1.959964),
        ("rectangular", 0.95 * math.sqrt(3.0)),
        ("triangular", math.sqrt(6.0) * (1.0 - math.sqrt(0.05))),
        ("arcsine", math.sqrt(2.0) * math.sin(0.475 * math.pi)),
    ],
)
def test_single_contribution_closed_form(kind: str, expected: float) -> None:
    assert coverage_half_width([Contribution("one", 0.3, kind)]) == pytest.approx(0.3 * expected, rel=1e-6)


def test_two_equal_rectangles_make_a_triangle() -> None:
    """Half-width a each: the sum is a triangle of half-width 2a (JCGM 101 6.4.5)."""
    found = coverage_half_width([rectangular("a", 0.5), rectangular("b", 0.5)])
    assert found == pytest.approx(1.0 - math.sqrt(0.05), rel=1e-6)


def test_two_unequal_rectangles() -> None:
    """A trapezoid from 0.7 down to 1.3: (1.3 - x)²/1.2 of it lies beyond x."""
    found = coverage_half_width([rectangular("a", 1.0), rectangular("b", 0.3)])
    assert found == pytest.approx(1.3 - math.sqrt(0.05 * 1.2), rel=1e-6)


def test_normals_add_in_power() -> None:
    found = coverage_half_width([Contribution("a", 3.0), Contribution("b", 4.0)])
    assert found == pytest.approx(5.0 * 1.959964, rel=1e-6)


def test_gum_example_of_the_reference_page() -> None:
    """Clock 50 ppm and disc 0.05 % rectangular, repeatability 0.010 %: uc 0.0307 %, U(k=2) 0.061 %."""
    parts = [rectangular("clock", 0.005), rectangular("disc", 0.05), Contribution("repeatability", 0.010)]
    uc = math.sqrt(sum(part.standard_uncertainty**2 for part in parts))
    assert uc == pytest.approx(0.0307, abs=5e-5)
    assert 2.0 * uc == pytest.approx(0.061, abs=5e-4)
    half_width = coverage_half_width(parts)
    assert half_width == pytest.approx(by_convolution(parts), rel=1e-5)
    assert half_width < 2.0 * uc  # a wide rectangle makes the 95 % interval narrower than 2u


@pytest.mark.parametrize("ratio", [1e-3, 0.003, 0.01, 0.03, 0.1, 0.3, 1.0])
@pytest.mark.parametrize(("first", "second"), list(itertools.product(KINDS, KINDS)))
def test_pairs_against_convolution(first: str, second: str, ratio: float) -> None:
    parts = [Contribution("a", 1.0, first), Contribution("b", ratio, second)]
    assert coverage_half_width(parts) == pytest.approx(by_convolution(parts), rel=1e-4)


def test_mixes_against_convolution() -> None:
    rng = np.random.default_rng(8)
    for _ in range(8):
        sizes = 10.0 ** rng.uniform(-2.0, 0.0, rng.integers(2, 8))
        parts = [Contribution("x", size, KINDS[rng.integers(4)]) for size in sizes]
        assert coverage_half_width(parts) == pytest.approx(by_convolution(parts), rel=1e-4)


@pytest.mark.parametrize("probability", [0.5, 0.6827, 0.9, 0.95, 0.99, 0.997])
def test_other_probabilities(probability: float) -> None:
    parts = [rectangular("a", 1.0), Contribution("b", 0.2), Contribution("c", 0.4, "triangular")]
    assert coverage_half_width(parts, probability) == pytest.approx(by_convolution(parts, probability), rel=1e-4)


def test_against_random_draws() -> None:
    """A million draws see the half-width to about 1e-3."""
    rng = np.random.default_rng(12)
    n = 1_000_000
    drawn = 0.05 * rng.uniform(-1, 1, n) + 0.02 * rng.standard_normal(n) + 0.03 * np.sin(rng.uniform(0, 2 * np.pi, n))
    parts = [
        rectangular("disc", 0.05),
        Contribution("noise", 0.02),
        Contribution("ripple", 0.03 / math.sqrt(2.0), "arcsine"),
    ]
    assert coverage_half_width(parts) == pytest.approx(float(np.quantile(np.abs(drawn), 0.95)), rel=2e-3)


@pytest.mark.parametrize(("repeats", "factor"), [(2, 12.7062), (3, 4.30265), (5, 2.77645), (10, 2.26216)])
def test_few_repeats_alone_give_students_factor(repeats: int, factor: float) -> None:
    """Table of Student's t, 95 % two-sided, n - 1 degrees of freedom (GUM Table G.2, memory)."""
    values = np.arange(float(repeats))
    s = values.std(ddof=1)
    found = coverage_half_width([mean_of_repeats("repeats", list(values))])
    assert found == pytest.approx(factor * s / math.sqrt(repeats), rel=2e-5)


@pytest.mark.parametrize("degrees", [1.0, 2.0, 4.0, 9.5, 60.0, 61.0, 800.0])
@pytest.mark.parametrize(
    "others",
    [
        [rectangular("disc", 1.0)],
        [Contribution("noise", 1.0)],
        [Contribution("noise", 0.02)],
        [Contribution("noise", 0.05), rectangular("disc", 5.0)],
        [rectangular("disc", 30.0)],
        [Contribution("other repeats", 0.7, "normal", 3.0)],
    ],
)
def test_students_t_with_others_against_convolution(degrees: float, others: list[Contribution]) -> None:
    parts = [Contribution("repeats", 1.0, "normal", degrees), *others]
    tolerance = 5e-3 if degrees < 2.0 else 2e-4  # the grid of the witness cuts the tails of one degree of freedom
    assert coverage_half_width(parts) == pytest.approx(by_convolution(parts), rel=tolerance)


def test_sum_of_two_cauchy_errors_is_cauchy() -> None:
    """One degree of freedom is a Cauchy distribution: scales add, so the half-width is 12.7062·(1 + 0.5)."""
    parts = [Contribution("a", 1.0, "normal", 1.0), Contribution("b", 0.5, "normal", 1.0)]
    assert coverage_half_width(parts) == pytest.approx(1.5 * math.tan(0.475 * math.pi), rel=1e-5)


@pytest.mark.parametrize("degrees", [2e4, 9e4, 1e6, 1e12])
def test_many_degrees_of_freedom_are_normal(degrees: float) -> None:
    parts = [Contribution("a", 1.0, "normal", degrees), rectangular("b", 0.8)]
    plain = [Contribution("a", 1.0), rectangular("b", 0.8)]
    assert coverage_half_width(parts) == pytest.approx(coverage_half_width(plain), rel=2e-4)


def test_nothing_and_zero() -> None:
    assert coverage_half_width([]) == 0.0
    assert coverage_half_width([Contribution("none", 0.0), rectangular("none either", 0.0)]) == 0.0


def test_scale_does_not_matter() -> None:
    parts = [Contribution("a", 1.0), rectangular("b", 2.0)]
    tiny = [Contribution("a", 1e-12), rectangular("b", 2e-12)]
    assert coverage_half_width(tiny) == pytest.approx(1e-12 * coverage_half_width(parts), rel=1e-9)


@pytest.mark.parametrize("wrong", [-0.1, math.nan, math.inf])
def test_impossible_uncertainties_are_refused(wrong: float) -> None:
    with pytest.raises(ValueError, match="standard uncertainty of 'disc'"):
        Contribution("disc", wrong)


@pytest.mark.parametrize(("distribution", "degrees"), [("rectangular", 3.0), ("normal", 0.5), ("normal", math.nan)])
def test_impossible_degrees_of_freedom_are_refused(distribution: str, degrees: float) -> None:
    with pytest.raises(ValueError, match="degrees of freedom"):
        Contribution("repeats", 1.0, distribution, degrees)


def test_one_repeat_tells_nothing() -> None:
    with pytest.raises(ValueError, match="at least 2"):
        mean_of_repeats("repeats", [1.0])


@pytest.mark.parametrize("probability", [0.0, 1.0, 95.0, math.nan])
def test_impossible_probability_is_refused(probability: float) -> None:
    with pytest.raises(ValueError, match="probability"):
        coverage_half_width([Contribution("a", 1.0)], probability)


def test_wide_probabilities_of_heavy_tails() -> None:
    """99.9 % of Student's t with three degrees of freedom, alone and beside a rectangle, by convolution."""
    part = Contribution("repeats", 1.0, "normal", 3.0)
    assert coverage_half_width([part], 0.999) == pytest.approx(float(stats.t.ppf(0.9995, 3.0)), rel=1e-9)
    with_disc = [part, rectangular("disc", 2.0)]
    assert coverage_half_width(with_disc, 0.999) == pytest.approx(by_convolution(with_disc, 0.999), rel=5e-4)
