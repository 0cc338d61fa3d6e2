"""Mean of related values: coverage by random draws (the witness is the draw's own true mean)."""

from __future__ import annotations

import math

import numpy as np
import pytest

from spindlewright.signal.correlated_mean import inliers, long_run_covariance, steady_part


def coverage(count: int, memory: float, draws: int = 600) -> float:
    rng = np.random.default_rng(count)
    held = 0
    for _ in range(draws):
        shock = rng.standard_normal(count + 200)
        series = np.empty(count + 200)
        series[0] = shock[0]
        for i in range(1, count + 200):
            series[i] = memory * series[i - 1] + shock[i]
        series = series[200:]
        u = math.sqrt(long_run_covariance(series[:, None])[0, 0])
        held += abs(series.mean()) <= 1.96 * u
    return held / draws


@pytest.mark.parametrize("count", [10, 40, 300])
@pytest.mark.parametrize("memory", [0.0, -0.4])
def test_interval_holds_the_mean_of_unrelated_and_alternating_series(count: int, memory: float) -> None:
    # Binomial spread of 600 draws at 95 % is 0.9 %; short alternating series may only be too wide.
    found = coverage(count, memory)
    assert found > 0.92
    assert memory < 0.0 or found < 0.985


def test_interval_holds_the_mean_of_a_slowly_varying_series() -> None:
    # First-order memory 0.5: true standard error is 3 ** 0.5 times the plain one (closed form (1+m)/(1-m)).
    assert coverage(200, 0.5) > 0.91
    rng = np.random.default_rng(3)
    plain = coverage_of_plain_error(rng)
    assert plain < 0.80  # the naive error would not do, so the test can tell


def coverage_of_plain_error(rng: np.random.Generator) -> float:
    held = 0
    for _ in range(300):
        series = np.zeros(400)
        for i in range(1, 400):
            series[i] = 0.5 * series[i - 1] + rng.standard_normal()
        series = series[200:]
        held += abs(series.mean()) <= 1.96 * series.std(ddof=1) / math.sqrt(200)
    return held / 300


def test_covariance_of_independent_columns_is_diagonal_and_of_the_right_size() -> None:
    rng = np.random.default_rng(5)
    values = rng.standard_normal((4000, 2)) * np.array([1.0, 3.0])
    found = long_run_covariance(values)
    assert found[0, 0] == pytest.approx(1.0 / 4000, rel=0.3)  # variance over count
    assert found[1, 1] == pytest.approx(9.0 / 4000, rel=0.3)
    assert abs(found[0, 1]) < 0.3 * math.sqrt(found[0, 0] * found[1, 1])


def test_inliers_leaves_normal_values_and_drops_a_stray() -> None:
    rng = np.random.default_rng(7)
    values = rng.standard_normal((500, 2))
    values[17] = (0.0, 40.0)
    mask = inliers(values)
    assert not mask[17]
    assert mask.sum() >= 498
    assert inliers(np.ones((6, 1))).all()


@pytest.mark.parametrize("count", [40, 150])
def test_steady_part_is_read_under_what_comes_and_goes(count: int) -> None:
    # A line of 1.8 s (18 rows) and something that follows the speed, both ten times the noise; the mean is 2.
    rng = np.random.default_rng(count)
    angle = 2 * np.pi * np.arange(count) / 18.0
    held, wide = 0, []
    for _ in range(600):
        speed = rng.standard_normal(count)
        speed -= speed.mean()
        passing = np.column_stack([np.cos(angle), np.sin(angle), speed])
        values = 2.0 + 10.0 * np.cos(angle + rng.uniform(0, 6)) + 10.0 * speed + rng.standard_normal(count)
        mean, covariance = steady_part(values[:, None], passing)
        u = math.sqrt(covariance[0, 0])
        held += abs(mean[0] - 2.0) <= 1.96 * u
        wide.append(u)
    assert 0.92 <= held / 600 <= 0.985
    assert np.mean(wide) < 1.5 / math.sqrt(count)  # noise of 1 alone; the lines would give ten times that


def test_steady_part_without_columns_is_the_plain_mean() -> None:
    values = np.random.default_rng(9).standard_normal((50, 2))
    mean, covariance = steady_part(values, np.zeros((50, 0)))
    assert np.allclose(mean, values.mean(axis=0), rtol=1e-12)
    assert np.allclose(covariance, long_run_covariance(values), rtol=1e-12)
