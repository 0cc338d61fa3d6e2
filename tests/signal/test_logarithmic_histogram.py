"""Percentiles from the logarithmic histogram against closed forms and numpy's own."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import special

from spindlewright.signal.logarithmic_histogram import BINS_PER_OCTAVE, LogarithmicHistogram


def test_bins_are_at_most_a_fifth_of_a_percent_wide() -> None:
    assert 1.0 / BINS_PER_OCTAVE <= 0.002


@pytest.mark.parametrize("scale", [1e-6, 0.137, 0.9])
def test_percentiles_of_a_sine_and_of_gaussian_noise(scale: float) -> None:
    phase = (np.arange(200_000) + 0.5) / 200_000 * 2.0 * np.pi
    histogram = LogarithmicHistogram(2)
    gaussian = special.ndtri((np.arange(200_000) + 0.5) / 200_000)
    histogram.add(np.stack([scale * np.sin(phase), scale * gaussian]))
    for share in (0.05, 0.2, 0.5):
        assert histogram.exceeded(0, share) == pytest.approx(scale * math.sin((1 - share) * math.pi / 2), rel=1e-4)
        assert histogram.exceeded(1, share) == pytest.approx(scale * special.ndtri(1 - share / 2), rel=1e-4)


def test_blocks_weights_and_further_counts_add_up() -> None:
    values = np.random.default_rng(2).standard_normal(5000)
    once, parts, extra = (LogarithmicHistogram(1) for _ in range(3))
    once.add(np.concatenate([values, values, values])[None, :])
    parts.add(values[None, :1234], 3)
    extra.add(values[None, 1234:], 3)
    assert parts.exceeded(0, 0.05, extra.counts[0]) == once.exceeded(0, 0.05)
    assert once.exceeded(0, 0.05) == pytest.approx(np.quantile(np.abs(values), 0.95), rel=2e-3)


def test_zeros_and_sizes_beyond_the_range_are_counted_at_the_ends() -> None:
    histogram = LogarithmicHistogram(1)
    histogram.add(np.array([[0.0, 1e-300, 1e300]]))
    assert histogram.counts.sum() == 3
    assert histogram.counts[0, 0] == 2
    assert histogram.counts[0, -1] == 1


def test_nothing_counted_gives_zero() -> None:
    assert LogarithmicHistogram(1).exceeded(0, 0.05) == 0.0
