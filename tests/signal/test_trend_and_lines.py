"""Trend, lines and what is left of a slow phase track, against what was put in."""

from __future__ import annotations

import math

import numpy as np
import pytest

from spindlewright.signal.slow_track import SlowPhase, joined_in_pairs
from spindlewright.signal.trend_and_lines import deviation_density, trend_and_lines

TONE_HZ, STEP_S = 3150.0, 0.02
TURNS = 100.0 / 180.0 / TONE_HZ


def track(
    seconds: float, lines: list[tuple[float, float, float]], slope: float = 0.0, noise: float = 0.0
) -> SlowPhase:
    """Phase with lines (Hz, relative peak, phase of the deviation's cosine at the middle)."""
    t = (np.arange(round(seconds / STEP_S)) + 0.5) * STEP_S
    u = t - 0.5 * (t[0] + t[-1])
    phase = slope * u + noise * np.random.default_rng(2).standard_normal(len(t))
    for hz, peak, angle in lines:
        phase += TONE_HZ * peak / hz * np.sin(2.0 * math.pi * hz * u + angle) * np.sinc(hz * STEP_S)
    return SlowPhase(t, phase, np.ones(len(t)), STEP_S, 0.0)


def test_slope_and_lines_come_back() -> None:
    lines = [(100.0 / 180.0, 1e-3, 0.4), (200.0 / 180.0, 3e-4, 2.0), (0.49, 2e-4, -1.0), (4.3, 4e-4, 0.2)]
    found = trend_and_lines(track(60.0, lines, slope=0.5), TONE_HZ, TURNS)
    assert found is not None
    assert found.slope_rad_s == pytest.approx(0.5, abs=5e-3)  # 2.5e-7 of the tone: the wow's leak
    for hz, peak, angle in lines:
        line = min(found.lines, key=lambda one, hz=hz: abs(one.frequency_hz - hz))  # type: ignore[misc]
        assert line.frequency_hz == pytest.approx(hz, rel=1e-3)
        assert line.peak == pytest.approx(peak, rel=0.01)
        assert math.cos(line.phase_rad - angle) > 0.999


def test_leak_of_a_line_is_the_worst_that_a_plain_fit_makes() -> None:
    hz, peak, seconds = 0.62, 1e-3, 11.0
    leak = []
    for angle in np.linspace(0.0, 2.0 * math.pi, 24, endpoint=False):
        slow = track(seconds, [(hz, peak, float(angle))])
        u = (slow.time_s - slow.time_s.mean()) / (0.5 * seconds)
        fit = np.polynomial.polynomial.polyfit(u, slow.phase_rad, 2)
        leak.append((fit[1] / (0.5 * seconds), 2.0 * fit[2] / (0.5 * seconds) ** 2))
    worst = np.max(np.abs(leak), axis=0) / (2.0 * math.pi * TONE_HZ)
    found = trend_and_lines(track(seconds, [(hz, peak, 0.3)]), TONE_HZ, 0.62 / TONE_HZ)
    assert found is not None
    assert np.max(found.leak_of_lines(1)) == pytest.approx(worst[0], rel=0.05)
    assert np.max(found.leak_of_lines(2)) == pytest.approx(worst[1], rel=0.05)


def test_leak_of_random_flutter_is_the_scatter_it_makes() -> None:
    slopes, stated = [], []
    for seed in range(60):
        rng = np.random.default_rng(seed)
        deviation = 3e-4 * rng.standard_normal(1000)
        phase = 2.0 * math.pi * TONE_HZ * STEP_S * np.cumsum(deviation)
        slow = SlowPhase((np.arange(1000) + 0.5) * STEP_S, phase, np.ones(1000), STEP_S, 0.0)
        found = trend_and_lines(slow, TONE_HZ, TURNS)
        assert found is not None
        slopes.append(found.slope_rad_s / (2.0 * math.pi * TONE_HZ))
        stated.append(found.leak_of_rest(1))
    assert np.median(stated) == pytest.approx(np.std(slopes), rel=0.35)


def test_noise_alone_shows_no_other_lines() -> None:
    found = trend_and_lines(track(60.0, [], noise=0.05), TONE_HZ, TURNS)
    assert found is not None
    assert [line.order for line in found.lines] == [1, 2, 3]


def test_density_of_white_deviation() -> None:
    deviation = 1e-3 * np.random.default_rng(3).standard_normal(20_000)
    phase = 2.0 * math.pi * TONE_HZ * STEP_S * np.concatenate([[0.0], np.cumsum(deviation)])
    hz, density = deviation_density(phase, STEP_S, TONE_HZ)
    low = density[(hz > 0.05) & (hz < 2.0)]
    assert np.mean(low) == pytest.approx(2.0 * 1e-6 * STEP_S, rel=0.08)  # one-sided: 2 sigma² dt


def test_pairs_keep_the_mean() -> None:
    slow = track(10.02, [(1.0, 1e-3, 0.0)])
    half = joined_in_pairs(slow)
    assert len(half.time_s) == len(slow.time_s) // 2
    np.testing.assert_allclose(half.phase_rad[0], slow.phase_rad[:2].mean())
    assert half.block_s == 2.0 * STEP_S


def test_too_short_gives_none() -> None:
    assert trend_and_lines(track(0.3, []), TONE_HZ, TURNS) is None
