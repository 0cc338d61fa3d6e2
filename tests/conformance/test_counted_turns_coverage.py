"""Coverage of the speed by counted turns, and the accuracy the trade gives for it (trade practice 3.1)."""

from __future__ import annotations

import numpy as np
import pytest

from spindlewright.readings.counted_turns import counted_turns

TRUE_RPM = 100.0 / 3.0


@pytest.mark.parametrize(("count", "hand_s"), [(4, 0.03), (6, 0.08), (11, 0.03), (31, 0.05)])
def test_the_interval_covers_the_truth(count: int, hand_s: float) -> None:
    """700 sets of random taps: 92 to 98 % of the 95 % intervals hold the true speed."""
    rng = np.random.default_rng(count)
    times = 60.0 / TRUE_RPM * np.arange(count) + rng.normal(0.0, hand_s, (700, count))
    readings = [counted_turns(list(row)) for row in times]
    covered = np.mean([abs(reading.value - TRUE_RPM) <= reading.uncertainty for reading in readings])
    assert 0.92 <= covered <= 0.98


def test_the_interval_covers_the_truth_with_one_tap_missed() -> None:
    rng = np.random.default_rng(5)
    hits = []
    for _ in range(500):
        times = 1.8 * np.arange(12) + rng.normal(0.0, 0.03, 12)
        reading = counted_turns(list(np.delete(times, rng.integers(1, 11))))
        hits.append(abs(reading.value - TRUE_RPM) <= reading.uncertainty)
    assert 0.92 <= np.mean(hits) <= 0.98


@pytest.mark.parametrize(("turns", "percent"), [(10, 1.1), (30, 0.4), (100, 0.1)])
def test_it_is_no_worse_than_a_stopwatch_over_the_same_turns(turns: int, percent: float) -> None:
    """Stopwatch by hand, reaction 0.2 s (trade practice 3.1): 10 turns 1.1 %, 30 turns 0.4 %, 100 turns 0.1 %.

    With 0.2 s as two standard deviations of one tap, the taps' scatter is the closed form of least squares,
    s·√(12/(n(n² − 1))), and twice that is within the stopwatch's figure.
    """
    rng = np.random.default_rng(turns)
    n = turns + 1
    errors = [
        counted_turns(list(1.8 * np.arange(n) + rng.normal(0.0, 0.1, n))).conditions["deviation_percent"]
        for _ in range(150)
    ]
    expected = 100.0 * 0.1 * np.sqrt(12.0 / (n * (n**2 - 1.0))) / 1.8
    assert np.std(errors) == pytest.approx(expected, rel=0.2)
    assert 1.96 * expected < percent
